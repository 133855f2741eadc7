"""What was looked at, how it is, what to do about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Verdict = Literal["ok", "warning", "wrong"]


@dataclass(frozen=True, slots=True)
class Examined:
    """One thing that was looked at.

    Parameters
    ----------
    verdict : str
        ``ok``; ``warning``: it works, but may not always; ``wrong``: a server cannot work so.
    do : str
        What would mend it; empty where there is nothing to mend.
    """

    what: str
    verdict: Verdict
    found: str
    do: str = ""
