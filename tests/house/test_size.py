"""Files and functions stay small; docstrings, comments and blank lines are free."""

import tomllib
from pathlib import Path

from house_sources import ROOT, body_size, code_files, functions, lines_with_code, name, tree

MOST_FILE_LINES = 300
MOST_BODY_LINES = 40
EXCEPTIONS = Path(__file__).with_name("size_exceptions.toml")

EXAMPLE = '''"""Module docstring."""

import os  # 1

NAME = """two
lines"""  # 2 and 3


def outer(
    number,
):  # 4 to 6
    """Docstring.

    With a blank line.
    """
    # a comment

    def inner():  # 7
        return number  # 8

    return inner  # 9
'''


def test_counter_leaves_out_what_explains() -> None:
    counted = lines_with_code(EXAMPLE)
    assert counted == {3, 5, 6, 9, 10, 11, 18, 19, 21}


def test_body_leaves_out_the_signature(tmp_path: Path) -> None:
    path = tmp_path / "example.py"
    path.write_text(EXAMPLE)
    sizes = {n: body_size(f, lines_with_code(EXAMPLE)) for n, f in functions(tree(path))}
    assert sizes == {"outer": 3, "outer.inner": 1}


def test_no_file_is_too_long() -> None:
    sizes = {name(path): len(lines_with_code(path.read_text(encoding="utf-8"))) for path in code_files()}
    too_long = {path: size for path, size in sizes.items() if size > MOST_FILE_LINES}
    assert too_long == {}, f"files above {MOST_FILE_LINES} code lines: split by subject"


def test_no_function_is_too_long() -> None:
    listed = tomllib.loads(EXCEPTIONS.read_text(encoding="utf-8"))
    found = {}
    for path in code_files():
        coded = lines_with_code(path.read_text(encoding="utf-8"))
        for function, node in functions(tree(path)):
            if (size := body_size(node, coded)) > MOST_BODY_LINES:
                found[f"{name(path)}::{function}"] = size
    assert found == listed, (
        f"function bodies above {MOST_BODY_LINES} code lines, against {EXCEPTIONS.relative_to(ROOT)}"
    )
