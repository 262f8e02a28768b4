"""What a start imports (decision 10)."""

import subprocess
import sys

_LOOK = (
    "import sys, umbo.cli._verify, umbo.cli._aid, umbo.report; "
    "print([m for m in sys.modules if m.split('.')[0] == 'scipy'])"
)


def test_verification_starts_without_scipy():
    """0.2 to 0.3 s of 1.5 s would go into importing it."""
    done = subprocess.run([sys.executable, "-c", _LOOK], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
