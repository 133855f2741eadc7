"""The CP-SAT library without the data frames it would also take: loading those takes longer than all of the rest.

No call of ours passes a data frame, so while the library is loaded an empty stand-in takes their place. Whoever imports pandas
afterwards gets the real one.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


def _without_data_frames() -> Any:
    """Return the library; its annotations need the names of two classes."""
    if "pandas" not in sys.modules:
        stand_in = ModuleType("pandas")
        stand_in.__dict__.update(Index=type("Index", (), {}), Series=type("Series", (), {}))
        sys.modules["pandas"] = stand_in
        try:
            return import_module("ortools.sat.python.cp_model")
        finally:
            del sys.modules["pandas"]
    return import_module("ortools.sat.python.cp_model")


if not TYPE_CHECKING:
    cp_model = _without_data_frames()

__all__ = ["cp_model"]
