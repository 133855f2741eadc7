"""The line on a terminal that says how far a plan is while it is worked out, and is gone once there is something to read."""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Mapping
from types import TracebackType
from typing import Any

from service.command_line.printing.console import note
from service.text import money

_CLEARED = "\r\x1b[K"


class ProgressLine:
    """Shows the events of a planning child: warnings always, progress on a terminal only; leaves no line behind.

    Parameters
    ----------
    currency : str
        Shown with the best price so far.
    quiet : bool
        Whether to show no progress even on a terminal.
    """

    def __init__(self, currency: str, quiet: bool = False) -> None:
        self._currency = currency
        self._live = not quiet and sys.stderr.isatty()
        self._began = time.monotonic()
        self._newest: Mapping[str, Any] = {}
        self._shown = ""

    def __enter__(self) -> ProgressLine:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self._show("")

    def hear(self, event: Mapping[str, Any]) -> None:
        """Take an event in: the start with its warnings, or how far the search is."""
        if "pid" in event:
            self._show("")
            for warning in event["warnings"]:
                note(f"warning: {warning}")
        else:
            self._newest = event
        self.tick()

    def tick(self) -> None:
        """Bring the line up to date: the seconds go on where nothing else is new."""
        self._show(standing(time.monotonic() - self._began, self._newest, self._currency))

    def _show(self, line: str) -> None:
        if self._live and line != self._shown:
            sys.stderr.write(_CLEARED + line)
            sys.stderr.flush()
            self._shown = line


def standing(elapsed_s: float, event: Mapping[str, Any], currency: str) -> str:
    """Return how far a search is: seconds, the best price so far, how much cheaper a fixture may still be."""
    best, bound = event.get("incumbent_cents"), event.get("bound_cents")
    if best is None:
        return f"{elapsed_s:.0f} s, no fixture yet"
    proved = above_cheapest(best, bound)
    return f"{elapsed_s:.0f} s, best {money(best, currency)}" + (f", {proved}" if proved else "")


def above_cheapest(best_cents: int, bound_cents: float | None) -> str:
    """Return how far a price is proved to be from the cheapest, rounded up; nothing if nothing is proved."""
    if not bound_cents:
        return ""
    above = max(0, best_cents - bound_cents) / bound_cents
    return f"at most {math.ceil(1000 * above) / 10:.1f} % above the cheapest"
