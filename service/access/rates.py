"""How much each may ask for: requests a minute by key, by address where no key is given; each server counts for itself."""

from __future__ import annotations

import ipaddress
import math
import time

from limits import RateLimitItemPerMinute
from limits.storage import MemoryStorage
from limits.strategies import SlidingWindowCounterRateLimiter

MOST_CALLERS = 10_000
"""So many are told apart within a minute; whoever comes on top shares one limit, so that memory stays bounded."""


class RequestRate:
    """So many requests a minute each.

    The window moves with the clock: this minute's requests count in full, those of the minute before by how much of it the last
    60 s still cover. That takes two numbers for each caller, however much it asks.
    """

    def __init__(self, per_minute: int, most_callers: int = MOST_CALLERS) -> None:
        self._limit, self._most_callers = RateLimitItemPerMinute(per_minute), most_callers
        self._storage = MemoryStorage()
        self._window = SlidingWindowCounterRateLimiter(self._storage)

    def wait_s(self, who: str) -> int | None:
        """Count a request; return after how many whole seconds to ask again if it is one too many, else None."""
        counted = self._counted(who)
        return None if self._window.hit(self._limit, counted) else self._until_free(counted)

    def full_s(self, who: str) -> int | None:
        """Return as `wait_s`, without counting."""
        counted = self._counted(who)
        return None if self._window.test(self._limit, counted) else self._until_free(counted)

    def _until_free(self, counted: str) -> int:
        until = self._window.get_window_stats(self._limit, counted).reset_time
        return max(1, math.ceil(until - time.time()))

    def _counted(self, who: str) -> str:
        if len(self._storage.storage) < self._most_callers:
            return who
        known = self._window.get_window_stats(self._limit, who).remaining < self._limit.amount
        return who if known else "everybody else"


def network_of(address: str) -> str:
    """Return what an address is counted by: itself, or the /64 network that one IPv6 site has to itself at least (RFC 6177)."""
    try:
        parsed = ipaddress.ip_address(address)
    except ValueError:
        return address
    return str(ipaddress.ip_network((parsed, 64), strict=False)) if parsed.version == 6 else address
