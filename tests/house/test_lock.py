"""The lock files are complete, fixed, and free of any machine's settings."""

import re
import tomllib
from importlib.metadata import PackageNotFoundError, distribution

import pytest
from house_sources import ROOT
from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet
from packaging.utils import canonicalize_name

OLDEST_PYTHON = "3.11.2"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
LOCKS = {"requirements.lock": ["test", "check", "docs", "build"], "requirements-peers.lock": ["peers"]}


def pins(lock: str) -> dict[str, str]:
    """Each package in a lock with its version."""
    text = (ROOT / lock).read_text(encoding="utf-8")
    return {canonicalize_name(n): v for n, v in re.findall(r"^([\w.-]+)==(\S+) \\$", text, flags=re.MULTILINE)}


@pytest.mark.parametrize("lock", LOCKS)
def test_lock_has_nothing_but_pins_hashes_and_origins(lock: str) -> None:
    form = re.compile(r"[\w.-]+==[\w.]+ \\|    --hash=sha256:[0-9a-f]{64}(?: \\)?|    # .*|# Written by 'make lock'.*")
    lines = (ROOT / lock).read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if not form.fullmatch(line)] == []


@pytest.mark.parametrize("lock", LOCKS)
def test_lock_holds_what_the_project_asks_for(lock: str) -> None:
    asked = [Requirement(text) for group in LOCKS[lock] for text in PROJECT["dependency-groups"][group]]
    if lock == "requirements.lock":
        asked += [Requirement(text) for text in PROJECT["project"]["dependencies"]]
    pinned = pins(lock)
    missing = [str(r) for r in asked if canonicalize_name(r.name) not in pinned]
    assert missing == []
    assert [str(r) for r in asked if pinned[canonicalize_name(r.name)] not in r.specifier] == []


def test_locks_agree() -> None:
    main, peers = pins("requirements.lock"), pins("requirements-peers.lock")
    assert {n: (main[n], peers[n]) for n in main.keys() & peers.keys() if main[n] != peers[n]} == {}


def test_lock_runs_on_the_oldest_python() -> None:
    """No pinned release refuses Debian 12's Python; releases that are not installed here are left out."""
    refused = []
    for package, version in pins("requirements.lock").items():
        try:
            found = distribution(package)
        except PackageNotFoundError:
            continue
        if found.version == version and OLDEST_PYTHON not in SpecifierSet(found.metadata["Requires-Python"] or ""):
            refused.append(f"{package} {version}: Python {found.metadata['Requires-Python']}")
    assert refused == []
