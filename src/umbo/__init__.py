"""umbo: from coupler and ear recordings to a verified hearing-aid fitting."""

__version__ = "0.1.0"
