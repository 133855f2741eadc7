"""The ledgers this process keeps, of bounded size in all, and how they come from and go to other processes.

The planner asks by what is asked for and by all that it depends on: `kept` for one thing, `kept_each` for thousands of small
ones. Whoever runs the planner may say where ledgers are found that other processes have left (`take_from`), and may take what is
new (`new_ledgers`). A child that does a share of the work hands what it has learned to the process that forked it (`learning`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TypeVar

import numpy as np

from solver.deadline import look
from solver.ledgers.answers import Answers, Arrays, Small
from solver.ledgers.content import Value, content_of
from solver.ledgers.names import Names, Rows
from solver.ledgers.records import Records

MOST_BYTES = 200_000_000
"""What all ledgers of a process take, about; those used longest ago are forgotten first."""
WORTH_WRITING = 0.05
"""A ledger is handed over as new once so great a share of it is: a few answers are as soon found anew."""

AT_ONCE = 2_000
"""So many questions are answered together, so that a look at the deadline is never far off."""

Source = Callable[[str], Arrays | None]
News = list[tuple[str, Arrays]]
T = TypeVar("T", Answers, Records)


@dataclass
class _Kept:
    """Ledgers by name, the last used one last; by name how many entries are new; where others are found; what is being noted."""

    ledgers: dict[str, Answers | Records] = field(default_factory=dict)
    new: dict[str, int] = field(default_factory=dict)
    source: Source | None = None
    noted: News | None = None

    def ledger(self, kind: type[T], name: str) -> T:
        """Return a ledger: as it is kept, as the source has it, or empty."""
        found = self.ledgers.pop(name, None)
        if not isinstance(found, kind):
            found = kind()
            arrays = None if self.source is None else self.source(name)
            if arrays is not None:
                found.take_in(arrays)
        self.ledgers[name] = found
        return found

    def learned(self, name: str, arrays: Arrays) -> None:
        """Count something as new, note it, and forget ledgers if they have become too large."""
        self.new[name] = self.new.get(name, 0) + len(arrays["names"])
        if self.noted is not None:
            self.noted.append((name, arrays))
        size = sum(ledger.size for ledger in self.ledgers.values())
        for oldest in list(self.ledgers)[:-1]:
            if size <= MOST_BYTES:
                return
            size -= self.ledgers.pop(oldest).size
            self.new.pop(oldest, None)


_KEPT = _Kept()


def kept(what: str, depends: tuple[Value, ...], about: tuple[Value, ...], compute: Callable[[], bytes]) -> bytes:
    """Return something that was found before, in this run or another, else compute it.

    Parameters
    ----------
    what : str
        A word for what it is.
    depends, about : tuple
        All that it depends on: what it has in common with others that are asked for together, and what is its own.
    """
    name = _name(Records, what, depends)
    found, new = _KEPT.ledger(Records, name).ask(content_of(*about), compute)
    if new is not None:
        _KEPT.learned(name, new)
    return found


def kept_each(what: str, depends: tuple[Value, ...], names: Names, compute: Callable[[Rows], Small]) -> Small:
    """Return the answers to many questions, small whole numbers: those that were asked before, else computed.

    Parameters
    ----------
    what : str
        A word for what is asked.
    depends : tuple
        All that the answers depend on and that the questions have in common.
    names : (n, 2) array
        The questions' names, for all that an answer depends on besides.
    compute : callable
        Returns the answers of some of the questions, given their rows; each depends on that question alone.
    """

    def in_turn(rows: Rows) -> Small:
        answers = np.empty(len(rows), dtype=np.uint8)
        for first in range(0, len(rows), AT_ONCE):
            look()
            answers[first : first + AT_ONCE] = compute(rows[first : first + AT_ONCE])
        return answers

    name = _name(Answers, what, depends)
    found, new = _KEPT.ledger(Answers, name).ask(names, in_turn)
    if new is not None:
        _KEPT.learned(name, new)
    return found


def _name(kind: type[Answers | Records], what: str, depends: tuple[Value, ...]) -> str:
    return f"{kind.kind}-{what}-{content_of(*depends).hex()}"


def take_from(source: Source | None) -> None:
    """Say where ledgers are found that this process does not have."""
    _KEPT.source = source


def new_ledgers(elsewhere: Source) -> Iterator[tuple[str, Arrays]]:
    """Yield the ledgers of which much is new, with all that is known of them here or elsewhere; they count as old then."""
    for name, many in list(_KEPT.new.items()):
        ledger = _KEPT.ledgers.get(name)
        if ledger is not None and many >= WORTH_WRITING * len(ledger):
            del _KEPT.new[name]
            others = elsewhere(name)
            if others is not None:
                ledger.take_in(others)
            yield name, ledger.arrays()


def forget_all() -> None:
    """Forget every ledger."""
    _KEPT.ledgers.clear()
    _KEPT.new.clear()


@contextmanager
def learning() -> Iterator[News]:
    """Note all that is learned meanwhile."""
    before = _KEPT.noted
    noted: News = []
    _KEPT.noted = noted
    try:
        yield noted
    finally:
        _KEPT.noted = before


def take_in(news: News) -> None:
    """Know what another process has learned."""
    for name, arrays in news:
        ledger = _KEPT.ledger(Answers, name) if name.startswith(Answers.kind) else _KEPT.ledger(Records, name)
        known = len(ledger)
        ledger.take_in(arrays)
        if len(ledger) > known:
            _KEPT.learned(name, arrays)
