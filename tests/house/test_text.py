"""What no text file of the project says."""

import re

import pytest
from house_sources import name, project_files

# Written so that this file does not contain what it looks for.
MACHINE_PATHS = r"(?<![\w.~-])/(?:wor[k]|tm[p]|hom[e]|roo[t]|User[s])/|\b[A-Z]:\\User[s]\b"
REGISTRIES = (
    r"pyp[i]\.(?:org|io)|pythonhosted\.or[g]|npmj[s]\.(?:org|com)|yarnpkg\.co[m]|deb\.debia[n]\.org|crate[s]\.io"
    r"|proxy\.golan[g]\.org|conda\.anacond[a]\.org|--(?:extra-)?inde[x]-url|--find-link[s][= ]"
)
UNFINISHED = r"\b(?:TO[D]O|FIXM[E]|XX[X])\b"


def hits(pattern: str) -> list[str]:
    """Places where a pattern matches in the project's text files."""
    found = []
    for path in project_files():
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        if re.search(pattern, text):
            lines = enumerate(text.splitlines(), start=1)
            found += [f"{name(path)}:{n}: {line.strip()[:100]}" for n, line in lines if re.search(pattern, line)]
    return found


@pytest.mark.parametrize(
    ("pattern", "text"),
    [
        (MACHINE_PATHS, "read /wor" + "k/x"),
        (MACHINE_PATHS, '"/tm' + 'p/x"'),
        (MACHINE_PATHS, "C:\\User" + "s\\x"),
        (REGISTRIES, "https://pyp" + "i.org/simple"),
        (REGISTRIES, "--inde" + "x-url x"),
        (UNFINISHED, "# TO" + "DO: later"),
    ],
)
def test_patterns_find(pattern: str, text: str) -> None:
    assert re.search(pattern, text)


@pytest.mark.parametrize(
    ("pattern", "text"), [(MACHINE_PATHS, "docs/work/x and ../tmp/"), (REGISTRIES, "a package on PyPI")]
)
def test_patterns_spare(pattern: str, text: str) -> None:
    assert not re.search(pattern, text)


def test_no_path_of_a_machine() -> None:
    assert hits(MACHINE_PATHS) == []


def test_no_address_of_a_registry() -> None:
    assert hits(REGISTRIES) == []


def test_no_unfinished_mark() -> None:
    assert hits(UNFINISHED) == []
