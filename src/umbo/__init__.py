"""umbo: from coupler and ear recordings to a verified hearing-aid fitting."""

__all__ = ["__version__"]

__version__ = "0.1.0"
