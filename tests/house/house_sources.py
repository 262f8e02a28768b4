"""Which files the house rules look at, and how their code is counted."""

import ast
import io
import re
import shutil
import subprocess
import tokenize
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "umbo"
CODE_FOLDERS = ("src", "tests", "benchmarks", "docs", "tools")
GENERATED = re.compile(r"\.(?!ci$).*|__pycache__|_build|reference|out|dist|build")
NO_CODE = {
    tokenize.ENCODING,
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENDMARKER,
}
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def project_files() -> tuple[Path, ...]:
    """Every file that is, or would be, in the repository; without git every file that is not generated."""
    if (ROOT / ".git").exists() and shutil.which("git"):
        command = ["git", "ls-files", "-z", "-co", "--exclude-standard"]
        listed = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        if listed.returncode == 0:
            return tuple(path for name in sorted(listed.stdout.split("\0")) if (path := ROOT / name).is_file())
    return tuple(
        path
        for path in sorted(ROOT.rglob("*"))
        if path.is_file() and not any(map(GENERATED.fullmatch, path.relative_to(ROOT).parent.parts))
    )


def code_files(*folders: str) -> list[Path]:
    """The Python files below these folders (all that hold code, when none is named)."""
    wanted = folders or CODE_FOLDERS
    return [path for path in project_files() if path.suffix == ".py" and path.relative_to(ROOT).parts[0] in wanted]


def name(path: Path) -> str:
    """How a report names a file."""
    return path.relative_to(ROOT).as_posix()


@cache
def tree(path: Path) -> ast.Module:
    """The parsed file."""
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


@cache
def lines_with_code(text: str) -> frozenset[int]:
    """Numbers of the lines that hold code: no blank lines, no comments, no docstrings."""
    documented = {
        number
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant) and isinstance(node.value.value, str)
        for number in range(node.lineno, (node.end_lineno or node.lineno) + 1)
    }
    coded = {
        number
        for token in tokenize.generate_tokens(io.StringIO(text).readline)
        if token.type not in NO_CODE
        for number in range(token.start[0], token.end[0] + 1)
    }
    return frozenset(coded - documented)


def functions(module: ast.Module) -> Iterator[tuple[str, Function]]:
    """Every function of a module with its dotted name, inner ones too."""

    def walk(node: ast.AST, prefix: str) -> Iterator[tuple[str, Function]]:
        for child in ast.iter_child_nodes(node):
            if isinstance(child, Function):
                yield f"{prefix}{child.name}", child
            inner = f"{prefix}{child.name}." if isinstance(child, Function | ast.ClassDef) else prefix
            yield from walk(child, inner)

    return walk(module, "")


def body_size(function: Function, coded: frozenset[int]) -> int:
    """Code lines of a function's body."""
    body = range(function.body[0].lineno, (function.end_lineno or function.lineno) + 1)
    return len(coded.intersection(body))
