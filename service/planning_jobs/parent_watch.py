"""A child that does not outlive its parent."""

from __future__ import annotations

import os
import time


def end_with(parent: int) -> None:
    """End this process once its parent is gone; orphaned solves would keep the cores from everybody."""
    while os.getppid() == parent:
        time.sleep(1)
    os._exit(1)
