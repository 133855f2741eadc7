"""No more lines of one kind than help: the first few a second are written, then how many were not."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

MOST_A_SECOND = 10
_WINDOW_S = 1.0
_MOST_KINDS = 1000
"""Kinds that are kept count of; beyond, all are forgotten and counted anew, so that made-up kinds take no memory."""

Kind = tuple[str, int, str]


@dataclass(slots=True)
class _Count:
    began: float
    written: int = 0
    kept_back: int = 0


class RepeatedLines(logging.Filter):
    """Lets so many lines of one kind pass a second; a kind is a logger, a level and a message before its values are put in.

    Parameters
    ----------
    tell : callable
        Called a second later, in a thread of its own, with the line that says how many were kept back.
    """

    def __init__(self, tell: Callable[[logging.LogRecord], object], most: int = MOST_A_SECOND) -> None:
        super().__init__()
        self._tell, self._most = tell, most
        self._lock = threading.Lock()
        self._counts: dict[Kind, _Count] = {}

    def filter(self, record: logging.LogRecord) -> bool:
        """Return whether the line is to be written."""
        kind, at = (record.name, record.levelno, str(record.msg)), time.monotonic()
        with self._lock:
            count = self._counts.get(kind)
            if count is None or (at - count.began >= _WINDOW_S and not count.kept_back):
                if count is None and len(self._counts) >= _MOST_KINDS:
                    self._counts.clear()
                count = self._counts[kind] = _Count(at)
            if count.written < self._most:
                count.written += 1
                return True
            count.kept_back += 1
            first = count.kept_back == 1
        if first:
            later = threading.Timer(max(0.0, count.began + _WINDOW_S - at), self._told, (kind, count))
            later.daemon = True
            later.start()
        return False

    def _told(self, kind: Kind, count: _Count) -> None:
        with self._lock:
            kept_back = count.kept_back
            if self._counts.get(kind) is count:
                del self._counts[kind]
        name, level, message = kind
        self._tell(
            logging.LogRecord(name, level, __file__, 0, "suppressed %d more lines like: %s", (kept_back, message[:300]), None)
        )
