"""Answers to questions that were asked before, each a small whole number, looked up by the question's name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np
from numpy.typing import NDArray

from solver.ledgers.names import Names, Rows

Small = NDArray[np.uint8]
Arrays = Mapping[str, NDArray[Any]]

MOST_ANSWERS = 2_000_000
"""A ledger that knows so many answers forgets them all before it learns more: 17 bytes each."""


@dataclass(frozen=True)
class Run:
    """Questions that were answered: names (n, 2) in order of the first number, each once, and their answers (n,)."""

    names: Names
    answers: Small

    @staticmethod
    def of(names: Names, answers: Small) -> Run:
        """Return questions and answers in order; of two with one first number the one that comes first."""
        _, first = np.unique(names[:, 0], return_index=True)
        return Run(names[first], answers[first])

    def __len__(self) -> int:
        return len(self.answers)

    def joined(self, other: Run) -> Run:
        """Return what is known here or there."""
        return Run.of(np.concatenate([self.names, other.names]), np.concatenate([self.answers, other.answers]))

    def find(self, names: Names, found: Small, missing: Rows) -> Rows:
        """Write the answers of the missing questions into `found`; return those of them that are not known here."""
        asked = names[missing]
        place = np.minimum(np.searchsorted(self.names[:, 0], asked[:, 0]), len(self) - 1)
        there = (self.names[place] == asked).all(axis=1)
        found[missing[there]] = self.answers[place[there]]
        left: Rows = missing[~there]
        return left


class Answers:
    """All answers of one ledger. `runs` are what was learned, the longest first: each is at least twice as long as the next."""

    kind: ClassVar[str] = "answers"

    def __init__(self) -> None:
        self.runs: tuple[Run, ...] = ()

    def __len__(self) -> int:
        return sum(map(len, self.runs))

    @property
    def size(self) -> int:
        """How many bytes it takes, about."""
        return 17 * len(self)

    def ask(self, names: Names, compute: Callable[[Rows], Small]) -> tuple[Small, Arrays | None]:
        """Return the answers (n,) of questions by their names (n, 2), and what was learned by it, None if nothing.

        `compute` returns the answers of some of the questions, given their rows; each depends on that question alone.
        """
        found, missing = np.zeros(len(names), dtype=np.uint8), np.arange(len(names))
        for run in self.runs:
            if len(missing):
                missing = run.find(names, found, missing)
        if not len(missing):
            return found, None
        _, first, same = np.unique(names[missing, 0], return_index=True, return_inverse=True)
        asked = missing[first]
        if (names[asked[same]] != names[missing]).any():  # two names that begin alike: found, but not kept
            found[missing] = compute(missing)
            return found, None
        order = np.argsort(asked)
        answers = np.empty(len(asked), dtype=np.uint8)
        answers[order] = compute(asked[order])
        found[missing] = answers[same]
        new: Arrays = {"names": names[asked], "answers": answers}
        self.take_in(new)
        return found, new

    def arrays(self) -> Arrays:
        """Return all it knows: `names` (n, 2) and `answers` (n,)."""
        found = Run(np.zeros((0, 2), dtype=np.uint64), np.zeros(0, dtype=np.uint8))
        for run in self.runs[::-1]:
            found = run.joined(found)
        return {"names": found.names, "answers": found.answers}

    def take_in(self, arrays: Arrays) -> None:
        """Know more, as `arrays` gives it."""
        new = Run.of(arrays["names"], arrays["answers"])
        if not len(new):
            return
        runs = [*self.runs, new] if len(self) + len(new) <= MOST_ANSWERS else [new]
        while len(runs) > 1 and len(runs[-2]) < 2 * len(runs[-1]):
            last = runs.pop()
            runs[-1] = runs[-1].joined(last)
        self.runs = tuple(runs)
