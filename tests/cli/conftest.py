"""Run the command as a user does, in this process."""

import sys

import pytest

from umbo.cli import main


@pytest.fixture
def umbo(monkeypatch, capsys):
    """Run ``umbo ARGS`` and return exit status, standard output and standard error."""

    def run(*arguments):
        monkeypatch.setattr(sys, "argv", ["umbo", *map(str, arguments)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as stop:
            main()
        out, err = capsys.readouterr()
        return stop.value.code or 0, out, err

    return run
