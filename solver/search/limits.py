"""When a search must stop."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """When to stop: wall clock left (s), deterministic work left (None: no limit), and the caller's wish."""

    seconds_left: Callable[[], float]
    work: float | None
    should_stop: Callable[[], bool]

    @property
    def over(self) -> bool:
        """Whether time is up or the caller wants the search to end."""
        return self.seconds_left() <= 0 or self.should_stop()
