"""Print what pyproject.toml asks for: the run-time requirements and the dependency groups named as arguments."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

PYPROJECT = Path(__file__).resolve().parent.parent / "pyproject.toml"


def wanted(groups: list[str]) -> list[str]:
    """Requirements of the named groups; the name ``run`` stands for the run-time requirements."""
    project = tomllib.loads(PYPROJECT.read_text(encoding="utf-8"))
    offered = {"run": project["project"]["dependencies"], **project["dependency-groups"]}
    return [requirement for group in groups for requirement in offered[group]]


if __name__ == "__main__":
    sys.stdout.write("\n".join(wanted(sys.argv[1:])) + "\n")
