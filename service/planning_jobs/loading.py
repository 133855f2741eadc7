"""Modules loaded to stay: the collector of garbage looks neither through what is being loaded nor, ever after, through what is.

Loading makes many objects and next to no garbage. Without this the collector goes through all of them again and again: a tenth of
the time of loading, some hundredths of that of a solve.
"""

from __future__ import annotations

import gc
from importlib import import_module


def load(*modules: str) -> None:
    """Import modules, and keep them and all there is by then out of the collector's sight."""
    gc.disable()
    try:
        for module in modules:
            import_module(module)
    finally:
        gc.freeze()
        gc.enable()
