"""Print what pyproject.toml asks for, by the names of dependency groups; ``run`` is what umbo runs on."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

PYPROJECT = Path(__file__).resolve().parent.parent / "pyproject.toml"


def wanted(groups: list[str]) -> list[str]:
    """Collect the requirements of the named groups."""
    project = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))
    offered = {"run": project["project"]["dependencies"], **project["dependency-groups"]}
    return [requirement for group in groups for requirement in offered[group]]


if __name__ == "__main__":
    sys.stdout.write("\n".join(wanted(sys.argv[1:])) + "\n")
