"""Each package has one public door, and nothing goes around it."""

import ast
import importlib
import inspect
import pkgutil

import pytest
from house_sources import PACKAGE, code_files, name, tree

import umbo

#: What a door that opens late needs for itself.
OF_THE_DOOR = {"annotations", "TYPE_CHECKING", "later"}
LATER = "umbo._later"

FORBIDDEN_NAMES = {"util", "utils", "utilities", "common", "helper", "helpers", "misc"}


def public_modules() -> list[str]:
    """Every package and module of umbo without an underscore, the package itself among them."""
    found = pkgutil.walk_packages(umbo.__path__, "umbo.")
    return ["umbo", *(m.name for m in found if not any(part.startswith("_") for part in m.name.split(".")))]


@pytest.mark.parametrize("module_name", public_modules())
def test_all_is_what_can_be_imported(module_name: str) -> None:
    module = importlib.import_module(module_name)
    declared = getattr(module, "__all__", None)
    assert declared is not None, f"{module_name} has no __all__"
    assert sorted(set(declared)) == sorted(declared), "named twice"
    assert [n for n in declared if not hasattr(module, n)] == [], "named but not there"
    importable = {
        n
        for n, value in vars(module).items()
        if not n.startswith("_") and not inspect.ismodule(value) and n not in OF_THE_DOOR
    }
    if hasattr(module, "__path__"):
        assert importable - set(declared) == set(), "can be imported but is not in __all__"
    else:
        own = {n for n in importable if getattr(vars(module)[n], "__module__", module_name) == module_name}
        made_here = {n for n in own if inspect.isclass(vars(module)[n]) or inspect.isroutine(vars(module)[n])}
        assert made_here - set(declared) == set(), "public but not in __all__"


def test_doors_that_open_late_open_onto_what_type_checkers_are_told() -> None:
    late = 0
    for path in code_files("src"):
        if path.name != "__init__.py":
            continue
        body = tree(path).body
        told = {
            (node.module or "").rpartition(".")[2]: tuple(alias.name for alias in node.names)
            for block in body
            if isinstance(block, ast.If) and ast.unparse(block.test) == "TYPE_CHECKING"
            for node in block.body
            if isinstance(node, ast.ImportFrom)
        }
        given = [
            ast.literal_eval(node.value.args[1])
            for node in body
            if isinstance(node, ast.Assign)
            and isinstance(node.value, ast.Call)
            and ast.unparse(node.value.func) == "later"
        ]
        assert ([told] if told else []) == given, name(path)
        late += len(given)
    assert late


def test_every_folder_is_a_package() -> None:
    folders = {path.parent for path in code_files("src")}
    missing = sorted(
        name(folder) for folder in folders if folder != PACKAGE.parent and not (folder / "__init__.py").exists()
    )
    assert missing == []


def test_modules_are_private() -> None:
    """Only __init__, __main__ and the errors are modules without an underscore."""
    public = [name(p) for p in code_files("src") if not p.stem.startswith("_")]
    assert public == ["src/umbo/errors.py"]


def test_nobody_goes_around_a_door() -> None:
    """A private module is imported from within its own package only."""
    around = []
    for path in code_files("src"):
        home = ".".join(path.relative_to(PACKAGE.parent).parent.parts)
        for node in ast.walk(tree(path)):
            modules = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            modules += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            for module in modules:
                package, private, _ = module.partition("._")
                if package.startswith("umbo") and private and package != home and module != LATER:
                    around.append(f"{name(path)}:{node.lineno} imports {module}")
    assert around == []


def test_no_package_is_named_for_being_of_general_use() -> None:
    named = [
        name(path)
        for path in code_files("src")
        if FORBIDDEN_NAMES & {part.removesuffix(".py").strip("_") for part in path.relative_to(PACKAGE).parts}
    ]
    assert named == []
