"""The oracle's search: every lie, many places of the lattice, every seat; the checker has the last word.

It proves nothing. It looks for a fixture that is cheaper than a price, over a space of its own.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import permutations, product
from random import Random

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.checks import check
from solver.request import Request
from tests.oracle.blocking import FAR, Torches, Way, block, over_slab, torches_of, ways
from tests.oracle.choosing import Chooser
from tests.oracle.document import Document, written
from tests.oracle.floors import Floors
from tests.oracle.laying import Lying, Mate, lay
from tests.oracle.meetings import Meeting, meetings
from tests.oracle.offers import Hole, Offer, offers_at
from tests.oracle.standing import Standing
from tests.oracle.price import base_price, lines, share_of
from tests.oracle.stacks import Stack, stacks_of


@dataclass(frozen=True)
class Effort:
    """How hard the oracle tries."""

    grid: float = 1.0
    seats: int = 12
    tries: int = 4
    positions: int = 1_000_000


@dataclass(frozen=True)
class Fixture:
    """A fixture the checker accepts: its price in cents and its plan document."""

    cents: int
    document: Document


@dataclass
class Tally:
    """What the search did."""

    positions: int = 0
    tried: int = 0
    chosen: int = 0
    checked: int = 0
    failed: dict[str, int] = field(default_factory=dict)


@dataclass
class Oracle:
    """The search for one request; `left` tells the seconds left."""

    request: Request
    stock: StockSnapshot
    left: Callable[[], float]
    effort: Effort = field(default_factory=Effort)
    tally: Tally = field(default_factory=Tally)

    def cheaper(self, price: int | None) -> Fixture | None:
        """Return the cheapest fixture found below a price (None: any price) in the time there is; None if none was found."""
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
            here = Position(self, lying, table, torches, phase, offers_at(lying, found, phase, table.pitch, cents))
            better = here.cheaper(most)
            best = better or best
        return best

    def _positions(
        self, stacks: Sequence[Stack], cents: dict[int, float]
    ) -> Iterator[tuple[Lying, Table, list[Meeting], Torches, tuple[float, float], float]]:
        """Yield lattice positions of all lies, the most promising first."""
        found = []
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
                    found.append((base_price(self.request) + cost, len(found), lying, table, met, torches, phase))
        draw = Random(1)
        self.tally.positions = len(found)
        for floor, _, lying, table, met, torches, phase in sorted(found, key=lambda entry: (round(entry[0]), draw.random())):
            yield lying, table, met, torches, phase, floor

    def _lifts(self, stacks: Sequence[Stack], down: str, turn: float) -> list[float]:
        """Return the heights at which rests bring a pad under a part."""
        flat = lay(self.request, down, turn)
        unders = {face.plane for part in flat.parts for face in part.flats if face.axis == 2 and face.sense < 0}
        heights = {
            float(pad.box[2]) for stack in stacks if not stack.clamps for pad in stack.pads if pad.axis == 2 and pad.sense > 0
        }
        return sorted({round(height - under, 6) for height in heights for under in unders if height - under > 0.5})


@dataclass
class Position:
    """One place of the lattice under a lie."""

    oracle: Oracle
    lying: Lying
    table: Table
    torches: Torches
    phase: tuple[float, float]
    offers: list[Offer]

    def cheaper(self, most: int | None) -> Fixture | None:
        """Return a fixture below a price."""
        all_ways = ways(self.lying.request.rules["way.lift"])
        endless = [self._patch(part, np.array([-FAR, -FAR, -1.0, FAR, FAR, 0.0])) for part in range(len(self.lying.parts))]
        both = [*self.lying.mates, *(mate.other_way for mate in self.lying.mates if abs(mate.normal[2]) < 0.5)]
        if not self._chooser(self.offers, endless, both, (), None, (), most).possible():
            return None
        block(self.lying, self.torches, self.offers, all_ways)
        best: Fixture | None = None
        hopeful = [
            (mates, order)
            for mates, order in self._orders()
            if self._chooser(self.offers, endless, mates, order, self.torches, all_ways, most).possible()
        ]
        for seat, some, patches in self._seats() if hopeful else ():
            for mates, order in hopeful:
                limit = best.cents if best else most
                found = self._on(seat, some, patches, mates, order, all_ways, limit)
                best = found or best
        return best

    def _chooser(
        self, offers: list[Offer], patches: list[Array | None], mates: list[Mate], order: tuple[int, ...],
        torches: Torches | None, all_ways: Sequence[Way], most: int | None,
    ) -> Chooser:  # fmt: skip
        left = math.inf if most is None else most - base_price(self.oracle.request) - 0.5
        return Chooser(
            self.lying, self.oracle.stock, mates, order, offers, patches, torches, all_ways, min(left, 1e7)
        )

    def _on(
        self, seat: Hole, offers: list[Offer], patches: list[Array | None], mates: list[Mate], order: tuple[int, ...],
        all_ways: Sequence[Way], most: int | None,
    ) -> Fixture | None:  # fmt: skip
        oracle = self.oracle
        chooser = self._chooser(offers, patches, mates, order, self.torches, all_ways, most)
        for _ in range(oracle.effort.tries):
            chosen = chooser.next()
            if chosen is None:
                return None
            oracle.tally.chosen += 1
            cents = lines(oracle.request, oracle.stock, [offers[k].stack for k in chosen.offers])["total_cents"]
            if most is not None and cents >= most:
                return None
            shift = self._shift(seat)
            document = written(
                self.lying, oracle.stock, self.table, seat, shift, offers, mates, order, self.torches, all_ways, chosen
            )
            report = check(oracle.request, oracle.stock, document)
            oracle.tally.checked += 1
            if report.ok:
                return Fixture(cents, document)
            for finding in report.failed:
                oracle.tally.failed[finding.rule] = oracle.tally.failed.get(finding.rule, 0) + 1
            chooser.forbid(chosen.offers)
        return None

    def _shift(self, seat: Hole) -> Array:
        first, pitch = self.table.first, self.table.pitch
        return np.array([first[0] + pitch * seat[0] - self.phase[0], first[1] + pitch * seat[1] - self.phase[1], 0.0])

    def _orders(self) -> Iterator[tuple[list[Mate], tuple[int, ...]]]:
        """Yield which part lies on which, and the orders of loading that suit it."""
        lying = self.lying
        level = [mate for mate in lying.mates if abs(mate.normal[2]) < 0.5]
        upright = [mate for mate in lying.mates if abs(mate.normal[2]) >= 0.5]
        for order in permutations(range(len(lying.parts))):
            if any(order.index(mate.on) > order.index(mate.part) for mate in upright):
                continue
            yield [*upright, *(m if order.index(m.on) < order.index(m.part) else m.other_way for m in level)], order

    def _seats(self) -> Iterator[tuple[Hole, list[Offer], list[Array | None]]]:
        """Yield the seats on the table, those that shut fewest holes first; seats that leave the same are one."""
        found: dict[tuple[object, ...], tuple[int, Hole, list[Offer], list[Array | None]]] = {}
        box = np.concatenate([self.lying.boxes[:, :3].min(axis=0), self.lying.boxes[:, 3:].max(axis=0)])
        steps = [
            range(-math.ceil((box[a + 3] + self.table.pitch) / self.table.pitch), count + math.ceil((box[a + 3]) / self.table.pitch) + 1)
            for a, count in enumerate((self.table.columns, self.table.rows))
        ]
        standing = Standing.of(self.offers, self.table, self.oracle.request)
        for seat in product(*steps):
            shift = self._shift(seat)
            slab = over_slab(self.table, shift)
            patches = [self._patch(part, slab) for part in range(len(self.lying.parts))]
            if all(patch is None for patch in patches) and self.lying.lift == 0:
                continue
            free = np.flatnonzero(standing.free(seat, slab)).tolist()
            key = (tuple(free), tuple(None if p is None else tuple(np.round(p, 3).tolist()) for p in patches))
            if free and key not in found:
                found[key] = (-len(free), seat, [self.offers[k] for k in free], patches)
        best = sorted(found.values(), key=lambda entry: (entry[0], entry[1]))
        for _, seat, some, patches in best[: self.oracle.effort.seats]:
            yield seat, some, patches

    def _patch(self, part: int, slab: Array) -> Array | None:
        """Return what of a part's underside lies on the table."""
        for flat in self.lying.parts[part].flats:
            if flat.axis == 2 and flat.sense < 0 and abs(flat.plane) < 0.01:
                low, high = np.maximum(flat.box[:2], slab[:2]), np.minimum(flat.box[3:5], slab[3:5])
                if (high - low).min() > 0.5:
                    return np.array([*low, 0.0, *high, 0.0])
        return None
