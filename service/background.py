"""Work that a server does again and again beside answering."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable

log = logging.getLogger("holdwright.background")


class Rounds:
    """A thread that does a round of something every so often, sooner when it is woken.

    Parameters
    ----------
    what : str
        Names the thread, and the round in the log.
    every_s : float
        Seconds between the end of a round and the next.
    round : callable
        What is done. Whatever it raises is logged, and the next round comes all the same: the thread must outlive a full disk,
        a lost database and our own mistakes alike.
    """

    def __init__(self, what: str, every_s: float, round: Callable[[], object]) -> None:
        self._what, self._every_s, self._round = what, every_s, round
        self._wake, self._stopping = threading.Event(), threading.Event()
        self._thread = threading.Thread(target=self._loop, name=f"holdwright-{what}", daemon=True)

    def start(self) -> None:
        """Start the thread; its first round comes at once."""
        self._thread.start()

    def wake(self) -> None:
        """Have the next round now."""
        self._wake.set()

    def stop(self, within_s: float = 5.0) -> None:
        """Have no more rounds; wait for the one under way, but no longer than so many seconds."""
        self._stopping.set()
        self._wake.set()
        if self._thread.is_alive():
            self._thread.join(within_s)

    @property
    def alive(self) -> bool:
        """Whether the thread is there."""
        return self._thread.is_alive()

    @property
    def stopping(self) -> bool:
        """Whether it was told to stop: a long round looks here now and then."""
        return self._stopping.is_set()

    def _loop(self) -> None:
        while not self._stopping.is_set():
            self._wake.clear()
            try:
                self._round()
            except Exception:
                log.exception("a round of %s failed", self._what)
            self._wake.wait(self._every_s)
