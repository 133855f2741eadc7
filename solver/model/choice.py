"""A solution of a position's program in the words of the trade: what stands, and why a choice was turned away."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Choice:
    """A set of candidates that stand, which side group serves each part, the objective in cents, and which may be pulled.

    `seat` is the number of the seat, where the model chose it. `around_end` are contacts (candidate, its meeting) that are the
    ends of upright round parts, where that matters. `variants` are the choices for the variants that run on the same set-up.
    """

    candidates: tuple[int, ...]
    sides: tuple[int, ...]
    cents: int
    pulled: frozenset[int] = frozenset()
    seat: int | None = None
    around_end: frozenset[tuple[int, int]] = frozenset()
    variants: tuple[Choice, ...] = ()


@dataclass(frozen=True)
class Refusal:
    """A choice that is located, clamped and reachable but broke `rule`: what exactly, and what it would have cost, cents."""

    rule: str
    what: str
    cents: int
