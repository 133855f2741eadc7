"""Why this fixture and not another: what the cheapest fixture with one choice forced costs more than one that was planned.

The question is a request like any other, with what is forced among its pins and pieces to avoid; this module puts it and reads
the plan it leads to.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from solver.answer.comparison import differs
from solver.described_pieces import DescribedPiece
from solver.plans import Alternative, Plan, Status
from solver.request import Request


@dataclass(frozen=True, slots=True)
class WhyQuestion:
    """Pieces to contain and to avoid, and the alternative that a fixture which does is compared with.

    `known_cents`: what every fixture of the request costs at least, as the plan proved; one that is forced costs no less.
    """

    base: Alternative
    pins: tuple[DescribedPiece, ...] = ()
    avoid: tuple[DescribedPiece, ...] = ()
    known_cents: int = 0

    def forced(self, request: Request, seconds: float) -> Request:
        """Return the request for the one cheapest fixture that keeps to what is forced, to be answered within so many seconds."""
        pins, avoid = (*request.pins, *self.pins), (*request.avoid, *self.avoid)
        known = self.known_cents if request.keep is None else request.proved_cents
        return replace(request, pins=pins, avoid=avoid, alternatives=1, time_limit_s=seconds, proved_cents=known)

    def words(self) -> str:
        """Return what is forced, in words."""
        return "; ".join([*(pin.words() for pin in self.pins), *(f"without {other.words()}" for other in self.avoid)])


@dataclass(frozen=True, slots=True)
class WhyAnswer:
    """What forcing a choice leads to: the plan of the forced request, held against the alternative asked about."""

    question: WhyQuestion
    plan: Plan

    @property
    def alternative(self) -> Alternative | None:
        """The cheapest fixture found that keeps to what is forced; None if none was."""
        return self.plan.alternatives[0] if self.plan.alternatives else None

    @property
    def difference_cents(self) -> int | None:
        """How much more it costs, cents, negative if less; None if there is none."""
        found = self.alternative
        return None if found is None else found.cost.total_cents - self.question.base.cost.total_cents

    @property
    def least_difference_cents(self) -> int | None:
        """How much more any such fixture costs at least, as far as proved, cents; None if nothing is known."""
        bound = max(self.question.known_cents, round(self.plan.cost_bound_cents or 0))
        return bound - self.question.base.cost.total_cents if bound else None

    @property
    def status(self) -> Status:
        """How far it is proved: what costs no more than any fixture of the request must is the cheapest."""
        exact = self.difference_cents is not None and self.difference_cents == self.least_difference_cents
        return "optimal" if exact else self.plan.status

    def changes(self) -> str:
        """Return in words in what it differs from the alternative asked about; empty if there is none."""
        found = self.alternative
        return "" if found is None else differs(found, self.question.base, money=False)

    def reasons(self) -> Sequence[str]:
        """Return why there is none, a sentence each."""
        return () if self.plan.refused is None else [reason.text for reason in self.plan.refused.because]
