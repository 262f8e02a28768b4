"""``python -m umbo``."""

from umbo.cli import entry

if __name__ == "__main__":
    entry()
