"""The line on a terminal that says how far a plan is while it is worked out, and is gone once there is something to read."""

from __future__ import annotations

import math
import os
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
        self._limit_s: float | None = None
        self._newest: Mapping[str, Any] = {}
        self._shown = ""

    def __enter__(self) -> ProgressLine:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self._show("")

    def hear(self, event: Mapping[str, Any]) -> None:
        """Take an event in: warnings, the start, or how far the search is."""
        if "warnings" in event:
            self._show("")
            for warning in event["warnings"]:
                note(f"warning: {warning}")
        if "limit_s" in event:
            self._began, self._limit_s = time.monotonic(), event["limit_s"]
        if "elapsed_s" in event:
            self._newest = event
        self.tick()

    def tick(self) -> None:
        """Bring the line up to date: the seconds go on where nothing else is new."""
        self._show(standing(time.monotonic() - self._began, self._limit_s, self._newest, self._currency))

    def _show(self, line: str) -> None:
        if self._live and line != self._shown:
            sys.stderr.write(_CLEARED + line[: _room()])
            sys.stderr.flush()
            self._shown = line


def standing(elapsed_s: float, limit_s: float | None, event: Mapping[str, Any], currency: str) -> str:
    """Return how far a search is: seconds of those it has, the best price so far, what is proved, the gap between the two.

    Before the first plan: how many positions were tried. Once the best is proved cheapest: how many alternatives there are.
    """
    if limit_s is None:
        return f"{elapsed_s:.0f} s, reading"
    spent = f"{elapsed_s:.0f} of {limit_s:.0f} s"
    best, bound, gap = (event.get(name) for name in ("incumbent_cents", "bound_cents", "gap"))
    if best is None:
        tried, positions = event.get("positions_tried"), event.get("positions")
        return f"{spent}, no plan yet" + (f", {tried} of {positions} positions tried" if positions else "")
    said = f"{spent}, best {money(best, currency)}"
    if not bound or gap is None:
        return said
    if bound >= best:
        count = event.get("alternatives", 1)
        return f"{said}, proved cheapest; {count} alternative{'s' if count != 1 else ''} so far"
    return f"{said}, cheapest at least {money(math.floor(bound), currency)}, gap {math.ceil(1000 * gap) / 10:.1f} %"


def _room() -> int:
    """Return how many characters fit into one line of the terminal: a line that wraps could not be taken back."""
    try:
        return (os.get_terminal_size(sys.stderr.fileno()).columns or 80) - 1
    except (OSError, ValueError):
        return 79
