"""From which quantity the modular fixture is cheaper than marking out by hand, and up to which than a dedicated one.

What the fixture costs at a quantity is the money of the kit that is cheapest there: its total, which ranks it, without weights.
Along one kit it differs from the dedicated fixture by the same amount everywhere, and from marking out by hand by a line, up to
the cent of rounding; so each answer is found on the pieces of the envelope, and the few quantities that rounding decides are
looked at one by one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from solver.quotes.envelope import Envelope, Piece
from solver.quotes.other_ways import OtherWays

Quantity = int | Literal["always"] | None


@dataclass(frozen=True, slots=True)
class BreakEven:
    """Where the ways cross.

    Parameters
    ----------
    by_hand_from : int, "always" or None
        From this quantity on the fixture costs no more than by hand; "always": at any; None: it costs more at the largest.
    dedicated_up_to : int, "always" or None
        Up to this quantity it costs no more than a dedicated one; "always": at any; None: it costs more at one weldment.
    """

    by_hand_from: Quantity
    dedicated_up_to: Quantity

    @property
    def beside(self) -> tuple[int, ...]:
        """Each quantity found, with one to each side."""
        found = [each for each in (self.by_hand_from, self.dedicated_up_to) if isinstance(each, int)]
        return tuple(sorted({near for each in found for near in (each - 1, each, each + 1) if near >= 1}))


def break_even(known: Envelope, ways: OtherWays) -> BreakEven:
    """Return where the cheapest kits that are known cross the other ways; there must be one."""
    return BreakEven(_by_hand_from(known, ways), _dedicated_up_to(known, ways))


def _by_hand_from(known: Envelope, ways: OtherWays) -> Quantity:
    for piece in reversed(known.pieces):
        dearer = next(_dearer_from_above(piece, ways), None)
        if dearer is not None:
            return None if dearer == known.largest else dearer + 1
    return "always"


def _dearer_from_above(piece: Piece, ways: OtherWays) -> Iterator[int]:
    """Yield the quantities of a piece at which its kit costs more than marking out by hand, the largest first."""
    if ways.by_hand_each is None:
        return
    kit, rate = piece.kit, ways.rate
    once = kit.fixed_cents - kit.weights_cents
    saved = ways.by_hand_each - kit.cycle_s * rate.per_s  # by the fixture, of each weldment, cents
    # Rounding moves the difference by less than a cent: where it is a cent or more, either way, there is nothing to look at.
    last = piece.last if saved <= 0 else min(piece.last, math.ceil((once + 1) / saved))
    if last < piece.first or (saved == 0 and once < 1):
        return
    if once - last * saved >= 1:
        yield last
        return
    for quantity in range(last, piece.first - 1, -1):
        by_hand = ways.by_hand(quantity)
        if by_hand is not None and kit.money(quantity, rate) > by_hand:
            yield quantity


def _dedicated_up_to(known: Envelope, ways: OtherWays) -> Quantity:
    for piece in known.pieces:
        if piece.kit.fixed_cents - piece.kit.weights_cents > ways.dedicated_cents:
            return None if piece.first == 1 else piece.first - 1
    return "always"
