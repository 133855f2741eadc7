"""What `.ci/run` installs while the tests begin: those that need it wait for it, and hear how that went."""

from __future__ import annotations

import os
import time
from pathlib import Path

PATIENCE_S = 300.0


def told_once_installed(variable: str) -> str | None:
    """Wait for the file that an environment variable names, there once something is installed or could not be had.

    Returns what the file says of how that went; None where nobody installs anything.
    """
    by = os.environ.get(variable)
    if by is None:
        return None
    ends = time.monotonic() + PATIENCE_S
    while not Path(by).exists():
        if time.monotonic() > ends:
            return f"not done after {PATIENCE_S:.0f} s"
        time.sleep(0.2)
    return Path(by).read_text(errors="replace")
