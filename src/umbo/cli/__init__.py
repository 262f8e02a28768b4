"""The command line: the only place, beside the web pages, where files, simulators and reports are wired together."""

from umbo.cli._app import app, entry, main

__all__ = ["app", "entry", "main"]
