"""Which quantities are planned next, so that every quantity asked for has its price with as few plans as can be.

First the two ends. Then, as long as something between is not proved, the quantities at which one known kit takes over from
another: there the known price stands highest above what is proved. (M. J. Eisner, D. G. Severance, "Mathematical Techniques for
Efficient Record Segmentation in Large Shared Databases", J. ACM 23 (1976) 619-635: the method, source not checked.)
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from solver.quotes.break_even import break_even
from solver.quotes.envelope import Envelope
from solver.quotes.other_ways import OtherWays

MOST_PLANS = 40
"""So many quantities of one request are planned at most; what is not proved then has a gap."""
MOST_UNPROVED = 8
"""So many, once a plan was not proved in its time: more of them would not be either."""


@dataclass(frozen=True, slots=True)
class WantedPrices:
    """What is to be known of a request.

    Parameters
    ----------
    quantities : tuple of int
        Those that are asked for, in any order, at least one.
    other_ways : OtherWays or None
        What the fixture is compared with, at any quantity; None: it is not.
    plans : int
        So many quantities are planned at most; if it is one, the middle one of those asked for.
    """

    quantities: tuple[int, ...]
    other_ways: OtherWays | None = None
    plans: int = MOST_PLANS


def next_quantities(wanted: WantedPrices, known: Envelope) -> tuple[int, ...]:
    """Return quantities to plan next, each by itself, in any order; none if all is known that can be.

    Pass what is known again once they are planned.
    """
    done = {each.quantity: each for each in known.planned}
    if any(each.status == "infeasible" for each in known.planned):
        return ()
    room = min(wanted.plans, MOST_PLANS if all(each.proved for each in known.planned) else MOST_UNPROVED) - len(done)
    for step in (_ends, _asked_ends, _changes, _left_over):
        missing = sorted({quantity for quantity in step(wanted, known) if quantity not in done})
        if missing:
            return tuple(missing[: max(0, room)])
    return ()


def _ends(wanted: WantedPrices, known: Envelope) -> Iterator[int]:
    if wanted.plans == 1:
        yield sorted(wanted.quantities)[len(wanted.quantities) // 2]
    elif wanted.other_ways is None:
        yield from (min(wanted.quantities), max(wanted.quantities))
    else:
        yield from (1, known.largest)


def _asked_ends(wanted: WantedPrices, known: Envelope) -> Iterator[int]:
    """Yield the asked ends where the plans far out are not proved: then nothing is sure between them."""
    if not all(each.proved for each in known.planned):
        yield from (min(wanted.quantities), max(wanted.quantities))


def _changes(wanted: WantedPrices, known: Envelope) -> Iterator[int]:
    """Yield, for each change of the cheapest known kit that matters, the quantity beside it that is least proved."""
    done = {each.quantity: each for each in known.planned}
    planned = sorted(done)
    open_spans: set[tuple[int, int]] | None = None
    if wanted.other_ways is None:
        open_spans = {_span(planned, each) for each in wanted.quantities if each not in done and not known.proved(each)}
    for piece in known.pieces[:-1]:
        beside = (piece.last, piece.last + 1)
        if (
            open_spans is not None
            and _span(planned, piece.last) not in open_spans
            and _span(planned, piece.last + 1) not in open_spans
        ):
            continue
        if any(each in done and not done[each].proved for each in beside):
            continue
        gaps = {each: (known.price(each) or 0) - known.bound(each) for each in beside if each not in done}
        if gaps and max(gaps.values()) > 0:
            yield max(gaps, key=lambda each: (gaps[each], -each))


def _left_over(wanted: WantedPrices, known: Envelope) -> Iterator[int]:
    """Yield what is still open by a cent of rounding though all around it is proved; and the quantities beside a break-even."""
    if not known.pieces or not all(each.proved for each in known.planned):
        return
    yield from (each for each in wanted.quantities if not known.proved(each))
    if wanted.other_ways is not None:
        found = break_even(known, wanted.other_ways)
        yield from (each for each in found.beside if not known.proved(each))


def _span(planned: Sequence[int], quantity: int) -> tuple[int, int]:
    """Return the planned quantities around one."""
    at = bisect_left(planned, quantity)
    return planned[max(0, at - 1)], planned[min(at, len(planned) - 1)]


def complete(known: Envelope) -> bool:
    """Whether the cheapest kit is proved at the ends of all quantities and wherever one takes over from another."""
    beside = {1, known.largest, *(each for one, other in pairwise(known.pieces) for each in (one.last, other.first))}
    return all(known.proved(each) for each in beside)
