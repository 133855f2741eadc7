"""The oracle's search: every lie, many places of the lattice, every seat; the checker has the last word.

It proves nothing. It looks for a fixture that is cheaper than a price, over a space of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from random import Random

from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.request import Request
from tests.oracle.blocking import Torches, torches_of
from tests.oracle.floors import Floors
from tests.oracle.laying import Lying, lay
from tests.oracle.meetings import Meeting, meetings
from tests.oracle.offers import offers_at
from tests.oracle.places import Effort, Fixture, Place, Position, Tally
from tests.oracle.price import base_price, share_of
from tests.oracle.stacks import Stack, stacks_of


@dataclass
class Oracle:
    """The search for one request; `left` tells the seconds left."""

    request: Request
    stock: StockSnapshot
    left: Callable[[], float]
    effort: Effort = field(default_factory=Effort)
    tally: Tally = field(default_factory=Tally)

    def cheaper(self, price: int | None) -> Fixture | None:
        """Return the cheapest fixture found below a price in the time there is, or (None) the first at any price."""
        best: Fixture | None = None
        stacks = stacks_of(self.request, self.stock)
        cents = {id(stack): share_of(self.request, self.stock, stack) for stack in stacks}
        for lying, table, found, torches, phase, floor in self._positions(stacks, cents):
            if self.left() <= 0 or self.tally.tried >= self.effort.positions:
                break
            most = best.cents if best else price
            if most is not None and floor > most - 0.5:
                continue
            self.tally.tried += 1
            best = self._position(lying, table, torches, phase, found, cents).cheaper(most) or best
            if best is not None and price is None:
                break
        return best

    def at(self, place: Place, price: int | None = None) -> Fixture | None:
        """Return the cheapest fixture at one place, if there is one below a price."""
        stacks = stacks_of(self.request, self.stock)
        cents = {id(stack): share_of(self.request, self.stock, stack) for stack in stacks}
        lying, table = lay(self.request, place.down, place.turn, place.lift), self.stock.tables[place.table]
        torches = torches_of(lying)
        if torches is None:
            return None
        return self._position(lying, table, torches, place.phase, meetings(lying, stacks), cents).cheaper(price)

    def _position(
        self, lying: Lying, table: Table, torches: Torches, phase: tuple[float, float], found: Sequence[Meeting],
        cents: dict[int, float],
    ) -> Position:  # fmt: skip
        offers = offers_at(lying, found, phase, table.pitch, cents)
        return Position(self.request, self.stock, self.effort, self.tally, lying, table, torches, phase, offers)

    def _positions(
        self, stacks: Sequence[Stack], cents: dict[int, float]
    ) -> Iterator[tuple[Lying, Table, list[Meeting], Torches, tuple[float, float], float]]:
        """Yield lattice positions of all lies, the most promising first."""
        found: list[tuple[float, Lying, Table, list[Meeting], Torches, tuple[float, float]]] = []
        for down, turn, name in product(self.request.down, self.request.turn, self.request.tables):
            table = self.stock.tables[name]
            for lift in (0.0, *self._lifts(stacks, down, turn)):
                lying = lay(self.request, down, turn, lift)
                torches = torches_of(lying)
                if torches is None:
                    continue
                met = meetings(lying, stacks)
                floors = Floors.of(lying, met, cents, table.pitch, self.effort.grid)
                for cost, phase in floors.promising():
                    found.append((base_price(self.request) + cost, lying, table, met, torches, phase))
        draw = Random(1)
        self.tally.positions = len(found)
        for floor, lying, table, met, torches, phase in sorted(found, key=lambda entry: (round(entry[0]), draw.random())):
            yield lying, table, met, torches, phase, floor

    def _lifts(self, stacks: Sequence[Stack], down: str, turn: float) -> list[float]:
        """Return the heights at which rests bring a pad under a part."""
        flat = lay(self.request, down, turn)
        unders = {face.plane for part in flat.parts for face in part.flats if face.axis == 2 and face.sense < 0}
        heights = {
            float(pad.box[2]) for stack in stacks if not stack.clamps for pad in stack.pads if pad.axis == 2 and pad.sense > 0
        }
        return sorted({round(height - under, 6) for height in heights for under in unders if height - under > 0.5})
