"""When work must end: the time that is left, and the caller's wish to stop. One object, asked everywhere.

Whoever answers a question puts its deadline in force; whatever works for it, however deep, takes a look at it as it goes, several
times in a tenth of a second. Once it is over the look gives the work up, and who asked goes on with what there is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass

from inventory.errors import HoldwrightError


class DeadlinePassed(HoldwrightError):
    """The deadline in force is over: work under it is given up, and what it was for is not known."""


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

    def overrun(self, seconds: float) -> Deadline:
        """Return a deadline that lets work go on for at most so many seconds once this one is found to be over."""
        since: list[float] = []

        def seconds_left() -> float:
            if not since and self.over:
                since.append(self.seconds_left())
            return seconds - (since[0] - self.seconds_left() if since else 0.0)

        return Deadline(seconds_left)

    @contextmanager
    def in_force(self) -> Iterator[None]:
        """Have this deadline in force meanwhile, instead of any other."""
        before = _IN_FORCE.set(self)
        try:
            yield
        finally:
            _IN_FORCE.reset(before)


_IN_FORCE: ContextVar[Deadline | None] = ContextVar("deadline", default=None)


def current() -> Deadline | None:
    """Return the deadline in force, None if work may take as long as it takes."""
    return _IN_FORCE.get()


def look() -> None:
    """Give up the work at hand if the deadline in force is over.

    Raises
    ------
    DeadlinePassed
    """
    deadline = _IN_FORCE.get()
    if deadline is not None and deadline.over:
        raise DeadlinePassed("the time for this work is up")
