"""One place of the lattice under a lie: what may stand there, on which seats, and the cheapest fixture of it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import permutations, product

import numpy as np

from inventory.shapes import Array
from inventory.stock import StockSnapshot
from inventory.tables import Table
from solver.checks import check
from solver.request import Request
from tests.oracle.blocking import FAR, Torches, Way, block, over_slab, ways
from tests.oracle.choosing import Chooser
from tests.oracle.document import Document, written
from tests.oracle.laying import Lying, Mate
from tests.oracle.offers import Hole, Offer
from tests.oracle.price import base_price, lines
from tests.oracle.standing import Standing


@dataclass(frozen=True)
class Effort:
    """How hard the oracle tries: mm between places of the lattice, seats at a place, choices shown to the checker, places."""

    grid: float = 1.0
    seats: int = 12
    tries: int = 4
    positions: int = 1_000_000


@dataclass(frozen=True)
class Place:
    """A lie, and where the lattice runs under it: a hole stands at `phase` (x, y) from the weldment's least corner, modulo pitch."""

    down: str
    turn: float
    lift: float
    table: str
    phase: tuple[float, float]


@dataclass(frozen=True)
class Fixture:
    """A fixture the checker accepts: its price in cents, its plan document, and where it was found."""

    cents: int
    document: Document
    place: Place


@dataclass
class Tally:
    """What the search did."""

    positions: int = 0
    tried: int = 0
    chosen: int = 0
    checked: int = 0
    failed: dict[str, int] = field(default_factory=dict)


@dataclass
class Position:
    """One place of the lattice under a lie."""

    request: Request
    stock: StockSnapshot
    effort: Effort
    tally: Tally
    lying: Lying
    table: Table
    torches: Torches
    phase: tuple[float, float]
    offers: list[Offer]
    refused: dict[tuple[object, ...], list[frozenset[int]]] = field(default_factory=dict)
    """Choices the checker refused, by order of loading and what lies on the table: no other seat would make them good."""

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
        left = math.inf if most is None else most - base_price(self.request) - 0.5
        return Chooser(self.lying, self.stock, mates, order, offers, patches, torches, all_ways, min(left, 1e7))

    def _on(
        self, seat: Hole, offers: list[Offer], patches: list[Array | None], mates: list[Mate], order: tuple[int, ...],
        all_ways: Sequence[Way], most: int | None,
    ) -> Fixture | None:  # fmt: skip
        chooser = self._chooser(offers, patches, mates, order, self.torches, all_ways, most)
        bears = tuple(None if patch is None else tuple(np.round(patch, 3).tolist()) for patch in patches)
        refused = self.refused.setdefault((order, bears), [])
        number = {id(offer): k for k, offer in enumerate(offers)}
        for choice in refused:
            if all(offer in number for offer in choice):
                chooser.forbid([number[offer] for offer in choice])
        for _ in range(self.effort.tries):
            chosen = chooser.next()
            if chosen is None:
                return None
            self.tally.chosen += 1
            cents = lines(self.request, self.stock, [offers[k].stack for k in chosen.offers])["total_cents"]
            if most is not None and cents >= most:
                return None  # the share of each stack was rounded: there is nothing below the price
            shift = self._shift(seat)
            document = written(
                self.lying, self.stock, self.table, seat, shift, offers, mates, order, self.torches, all_ways, chosen
            )
            report = check(self.request, self.stock, document)
            self.tally.checked += 1
            if report.ok:
                return Fixture(cents, document, self._place)
            for finding in report.failed:
                self.tally.failed[finding.rule] = self.tally.failed.get(finding.rule, 0) + 1
            chooser.forbid(chosen.offers)
            refused.append(frozenset(id(offers[k]) for k in chosen.offers))
        return None

    @property
    def _place(self) -> Place:
        lying = self.lying
        return Place(lying.down, lying.turn, lying.lift, self.table.id, self.phase)

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
            range(
                -math.ceil((box[a + 3] + self.table.pitch) / self.table.pitch),
                count + math.ceil((box[a + 3]) / self.table.pitch) + 1,
            )
            for a, count in enumerate((self.table.columns, self.table.rows))
        ]
        standing = Standing.of(self.offers, self.table, self.request)
        for seat in product(steps[0], steps[1]):
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
        for _, seat, some, patches in best[: self.effort.seats]:
            yield seat, some, patches

    def _patch(self, part: int, slab: Array) -> Array | None:
        """Return what of a part's underside lies on the table."""
        for flat in self.lying.parts[part].flats:
            if flat.axis == 2 and flat.sense < 0 and abs(flat.plane) < 0.01:
                low, high = np.maximum(flat.box[:2], slab[:2]), np.minimum(flat.box[3:5], slab[3:5])
                if (high - low).min() > 0.5:
                    return np.array([*low, 0.0, *high, 0.0])
        return None
