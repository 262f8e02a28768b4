"""``python -m umbo``."""

from umbo.cli import main

if __name__ == "__main__":
    main()
