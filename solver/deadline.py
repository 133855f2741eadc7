"""When work must end: the time that is left, and the caller's wish to stop. One object, asked everywhere."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass


def _never() -> bool:
    return False


@dataclass(frozen=True, slots=True)
class Deadline:
    """The end of the time for a piece of work.

    Parameters
    ----------
    seconds_left : callable
        Seconds of wall clock left; 0 or less once it has passed.
    should_stop : callable
        Whether the caller wants the work to end now, with what it has.
    """

    seconds_left: Callable[[], float]
    should_stop: Callable[[], bool] = _never

    @classmethod
    def on(cls, clock: Callable[[], float], seconds: float, should_stop: Callable[[], bool] = _never) -> Deadline:
        """Return the deadline so many seconds from now on a clock, such as `time.monotonic`."""
        ends = clock() + seconds
        return cls(lambda: ends - clock(), should_stop)

    @property
    def over(self) -> bool:
        """Whether time is up or the caller wants the work to end."""
        return self.seconds_left() <= 0 or self.should_stop()

    def earlier(self, seconds: float) -> Deadline:
        """Return a deadline so many seconds before this one."""
        return Deadline(lambda: self.seconds_left() - seconds, self.should_stop)

    def within(self, seconds: float) -> Deadline:
        """Return a deadline at most so many seconds from now."""
        return self.earlier(max(0.0, self.seconds_left() - seconds))

    def leaving(self, share: float) -> Deadline:
        """Return an earlier deadline that leaves a share of what is left now for something else."""
        return self.earlier(share * max(0.0, self.seconds_left()))
