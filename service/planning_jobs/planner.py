"""Which planner solves: named as `module:function`, so that children import it themselves instead of receiving code."""

from __future__ import annotations

import importlib
from collections.abc import Callable
from typing import Any

PLANNER = "solver.planning:plan"


def named(function: str) -> Callable[..., Any]:
    """Return the function a `module:function` text names; raises ImportError or AttributeError if there is none."""
    module, _, name = function.partition(":")
    found: Callable[..., Any] = getattr(importlib.import_module(module), name)
    return found
