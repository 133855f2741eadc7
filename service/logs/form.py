"""How lines of the log are written, as a value that the processes a server starts are given."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from typing import TextIO


@dataclass(frozen=True, slots=True)
class LogForm:
    """How lines are written: as JSON or as text, in colour or not."""

    json: bool
    colour: bool = False

    @classmethod
    def of(cls, asked: str, stream: TextIO | None = None) -> LogForm:
        """Return the form a setting asks for; `json` where it says nothing and nobody reads on a terminal."""
        terminal = (stream or sys.stderr).isatty()
        return cls(asked == "json" or (not asked and not terminal), terminal)


_now: LogForm | None = None


def remember(form: LogForm) -> None:
    """Keep how this process writes its log."""
    global _now  # noqa: PLW0603 - a process has one log, as it has one standard error
    _now = form


def log_form() -> LogForm | None:
    """Return how this process writes its log, for the processes it starts; None where nobody said."""
    return _now
