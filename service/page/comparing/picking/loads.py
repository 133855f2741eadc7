"""What each piece bears, as far as a plan knows it: the reaction at its pads, the force it clamps with, what stands on it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from inventory.stock import StockSnapshot
from solver.plans import Alternative, Placement

_REACTION = "stack.reaction"
_BOUNDED = "not computed one by one"


@dataclass(frozen=True, slots=True)
class Load:
    """One force a piece bears: where, newtons, the most its stack may bear, and whether the force is exact or a bound."""

    where: str
    force_n: float
    limit_n: float | None = None
    bounded: bool = False

    @property
    def bar(self) -> float:
        """The share of what it may bear, 0 to 100."""
        return 100 * min(1.0, self.force_n / self.limit_n) if self.limit_n else 0.0


def loads(one: Alternative, placement: Placement, stock: StockSnapshot) -> list[Load]:
    """Return the forces on a piece: at its own pads, and through it from those that stand on it."""
    found = list(_own(one, placement, stock, ""))
    for other in _on_top(one, placement):
        found += _own(one, other, stock, f" through {other.id}")
    return found


def _own(one: Alternative, placement: Placement, stock: StockSnapshot, through: str) -> Iterator[Load]:
    clamp = stock.items[placement.item].clamp
    if clamp is not None:
        parts = ", ".join(dict.fromkeys(contact.part for contact in placement.contacts))
        yield Load(f"pressing on {parts}{through}", clamp.force_n)
    for each in one.findings:
        piece, _, part = each.subject.partition(" ")
        if each.rule == _REACTION and piece == placement.id and each.value is not None:
            yield Load(f"from {part}{through}", each.value, each.limit, each.text.startswith(_BOUNDED))


def _on_top(one: Alternative, placement: Placement) -> Iterator[Placement]:
    """Yield the pieces that stand on a piece, and on those, each once."""
    seen, below = {placement.id}, [placement.id]
    while below:
        under = below.pop()
        for other in one.placements:
            if other.stands_on == under and other.id not in seen:
                seen.add(other.id)
                below.append(other.id)
                yield other
