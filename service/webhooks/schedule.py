"""When a message that did not arrive is sent again: the example schedule of Standard Webhooks 1.0.0, "Deliverability"."""

from __future__ import annotations

import random

_MINUTE, _HOUR = 60.0, 3600.0
DELAYS_S = (
    5.0, 5 * _MINUTE, 30 * _MINUTE, 2 * _HOUR, 5 * _HOUR, 10 * _HOUR, 14 * _HOUR, 20 * _HOUR, 24 * _HOUR,
)  # fmt: skip
"""Seconds between an attempt and the next; after the last one, about three days on, a message is given up."""
_JITTER = 0.1
LONGEST_WISH_S = 24 * _HOUR


def again_in_s(attempt: int, asked_s: float = 0.0) -> float | None:
    """Return in how many seconds a message is sent again; None if it is given up.

    Parameters
    ----------
    attempt : int
        Which one has failed, from 1.
    asked_s : float
        How long the receiver asks to wait (``Retry-After``), s; kept to up to a day.
    """
    if attempt > len(DELAYS_S):
        return None
    spread = random.uniform(1 - _JITTER, 1 + _JITTER)  # those that failed together do not come back together
    return max(DELAYS_S[attempt - 1] * spread, min(asked_s, LONGEST_WISH_S))
