"""A slow and plain oracle: every fixture from the stated candidates, in order of price, until the checker accepts one.

It takes from the planner what could stand where (positions, candidates, which bodies meet) and nothing of how the planner
chooses: no rows, no floors, no bounds, no solver. Whether a set of pieces is worth showing to the checker is decided by plain
counting; whether it is a fixture, by the checker alone.
"""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import product

import numpy as np
import pytest

from inventory.items import Item
from inventory.stock import StockSnapshot
from solver.access.torch import torch_blocks
from solver.answer import alternative as writing
from solver.cost import free_pieces, price
from solver.deadline import Deadline
from solver.hardware.candidates import bodies
from solver.laying.lay_out import drawn_samples
from solver.laying.requirements import clamps_needed, long_faces, side_spacing, support_margin, touched_long
from solver.model.choice import Choice
from solver.model.position_model import PositionModel
from solver.plans import Alternative
from solver.position.floors.match_floors import MatchFloors
from solver.position.problem import Problem
from solver.request import Request
from solver.search import lies_to_positions
from solver.search.lattice_position import Found, LatticePosition
from solver.search.loading_orders import in_orders
from solver.search.position_batches import seated, survey_together
from solver.search.position_models import model_at
from solver.search.search import Search
from tests.solver.position.without_floors import give_nothing_up

Kind = tuple[str, ...]
"""The items of a stack, the lowest first."""
LOOSE = 0.1
"""Counting is this generous, mm: the checker has the last word."""


class TooMany(Exception):
    """The job is too large to be enumerated."""


@dataclass
class Budget:
    """How many partial choices and how many checks one job may take."""

    nodes: int = 400_000
    checks: int = 250

    def node(self) -> None:
        self.nodes -= 1
        if self.nodes < 0:
            raise TooMany

    def check(self) -> None:
        self.checks -= 1
        if self.checks < 0:
            raise TooMany


def cheapest(request: Request, stock: StockSnapshot, most: int | None, budget: Budget) -> int | None:
    """Return the price in cents of the cheapest fixture that costs at most `most` (None: any price), None if there is none.

    Weldments carried above the table and pieces on arms are asked only where nothing else holds a fixture.
    """
    samples, shut = drawn_samples(request.weldment, request.rules)
    if shut:
        return None
    with pytest.MonkeyPatch.context() as patch:
        # nothing that bounds or screens by price or count takes part
        patch.setattr(lies_to_positions, "feasible", lambda *_: "optimal")
        give_nothing_up(patch)
        patch.setattr(MatchFloors, "floors", lambda _, x, y, slanted=None: np.zeros(len(x.meets)))
        search = Search(request, stock, samples, Deadline(lambda: 1000.0))
        search.open()
        _open(search, ("orders",))
        found = _stage(search, most, budget)
        if found is None:
            search.positions = []
            _open(search, ("orders", "lift", "arms"))
            found = _stage(search, most, budget)
        return found


def _open(search: Search, codes: Sequence[str]) -> None:
    """Open all of some sorts, and what comes to light by it."""
    while ahead := [opening for opening in search.openings if opening.code in codes]:
        search.openings.remove(ahead[0])
        search.positions += ahead[0].open(None)


def _stage(search: Search, most: int | None, budget: Budget) -> int | None:
    """Return the cheapest price among the positions the search holds now."""
    shelves = [Shelf(search, position, model) for position, model in _models(search)]
    kits = sorted({kit for shelf in shelves for kit in shelf.kits(most)})
    for total, kit in kits:
        for shelf in shelves:
            if shelf.fixture(dict(kit), budget):
                return total
    return None


def _made_ready(search: Search, position: LatticePosition) -> Iterator[LatticePosition]:
    """Yield a surveyed position in every order of loading meant, on every seat."""
    several = position.orientation.several
    for ordered in in_orders(search, position, 10**12) if several else [position]:
        yield from seated(search, ordered)


def _models(search: Search) -> Iterator[tuple[LatticePosition, PositionModel]]:
    """Return every position with its model: of it only the problem is used, and the words for writing a plan down."""
    by_orientation: dict[int, list[LatticePosition]] = {}
    for position in search.positions:
        by_orientation.setdefault(id(position.orientation), []).append(position)
    for positions in by_orientation.values():
        for position in (there for surveyed in survey_together(search, positions) for there in _made_ready(search, surveyed)):
            if position.seat is not None and position.sites is not None and len(position.sites):
                yield position, model_at(search, position)


@dataclass
class Shelf:
    """The candidates of one position, and how a kit may be set from them."""

    search: Search
    position: LatticePosition
    model: PositionModel
    problem: Problem = field(init=False)
    kinds: list[Kind] = field(init=False)
    clash: list[set[int]] = field(init=False)
    seen: set[frozenset[int]] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.problem = self.model.problem
        candidates = self.problem.candidates
        self.kinds = [tuple(level.item.id for level in candidate.stack.levels) for candidate in candidates]
        self.clash = [set() for _ in candidates]
        for i, j in self.problem.conflicts:
            self.clash[i].add(j)
            self.clash[j].add(i)

    def kits(self, most: int | None) -> list[tuple[int, tuple[tuple[Kind, int], ...]]]:
        """Return all kits (price, pieces by kind) the stock allows that cost at most `most`."""
        request, stock = self.search.request, self.search.stock
        items = stock.items
        free = {item: free_pieces(request, stock, item) for item in items}
        kinds = sorted(set(self.kinds))
        found = []
        for counts in product(*(range(min(free[item] for item in kind) + 1) for kind in kinds)):
            used: Counter[str] = Counter()
            for kind, count in zip(kinds, counts, strict=True):
                used.update({item: count * times for item, times in Counter(kind).items()})
            clamps = any(count and items[kind[-1]].clamp is not None for kind, count in zip(kinds, counts, strict=True))
            if not clamps or any(count > free[item] for item, count in used.items()):
                continue
            pieces = [
                piece for kind, count in zip(kinds, counts, strict=True) for _ in range(count) for piece in _pieces(kind, items)
            ]
            total = price(request, stock, pieces).cost.total_cents
            if most is None or total <= most:
                found.append((total, tuple((kind, count) for kind, count in zip(kinds, counts, strict=True) if count)))
        return found

    def fixture(self, kit: dict[Kind, int], budget: Budget) -> bool:
        """Return whether some choice of exactly this kit passes the checker."""
        self.seen.clear()
        return self._locate((), kit, budget)

    def _options(
        self, chosen: tuple[int, ...], kit: Mapping[Kind, int], *, clamp: bool, part: int | None = None
    ) -> Iterator[int]:
        taken = set().union(*(self.clash[index] for index in chosen)) if chosen else set()
        for index, candidate in enumerate(self.problem.candidates):
            if candidate.clamp == clamp and kit.get(self.kinds[index], 0) and index not in chosen and index not in taken:
                serves = part is None or (index in self.problem.serving[part] if clamp else part in candidate.parts)
                if serves:
                    yield index

    def _locate(self, chosen: tuple[int, ...], kit: dict[Kind, int], budget: Budget) -> bool:
        """Add locators part by part until all are located, then whatever locators the kit still holds, then clamps."""
        if self._known(chosen, budget):
            return False
        part = next((p for p in range(len(self.problem.laid.parts)) if not self._located(p, chosen)), None)
        left = any(count and self._locates(kind) for kind, count in kit.items())
        if part is None and not left:
            return self._clamp(chosen, kit, budget)
        return any(
            self._locate((*chosen, index), _less(kit, self.kinds[index]), budget)
            for index in self._options(chosen, kit, clamp=False, part=part)
        )

    def _clamp(self, chosen: tuple[int, ...], kit: dict[Kind, int], budget: Budget) -> bool:
        if not any(kit.values()):
            return self._accepted(chosen, budget)
        if self._known(chosen, budget) and any(self.problem.candidates[k].clamp for k in chosen):
            return False
        return any(
            self._clamp((*chosen, index), _less(kit, self.kinds[index]), budget)
            for index in self._options(chosen, kit, clamp=True)
            if self._presses_well(index, chosen)
        )

    def _known(self, chosen: tuple[int, ...], budget: Budget) -> bool:
        budget.node()
        key = frozenset(chosen)
        known = key in self.seen
        self.seen.add(key)
        return known

    def _locates(self, kind: Kind) -> bool:
        return self.search.stock.items[kind[-1]].clamp is None

    def _presses_well(self, clamp: int, chosen: Sequence[int]) -> bool:
        """Return whether a clamp bears on a support and pushes its part against something."""
        over = self.problem.over.get(clamp)
        return over is None or all(any(rest in chosen for rest in rests) for rests in over)

    def _located(self, part: int, chosen: Sequence[int]) -> bool:
        """Return whether a part has a wide enough side on a long face, an end, and its centre of gravity inside its supports."""
        laid = self.problem.laid
        held = laid.parts[part]
        level: list[tuple[np.ndarray, np.ndarray, int, bool]] = []
        under: list[np.ndarray] = []
        long = long_faces(laid, held)
        touches = [(touch.normal, touch.patch, 2, touched_long(held, touch, long)) for touch in laid.touches_of(part)]
        met = [m for k in chosen for m in self.problem.candidates[k].meetings if m.part == part]
        meetings = [(m.normal, m.patch, 1, long.get(m.face, True)) for m in met]
        for normal, patch, points, on_long in (*touches, *meetings):
            if normal[2] > 0.5:
                under.append(patch)
            flat = float(np.hypot(normal[0], normal[1]))
            if flat > 0.3:
                level.append((normal[:2] / flat, patch, points, on_long))
        if not under or not _inside(np.concatenate(under)[:, :2], held.centre[:2], support_margin(laid, held) - LOOSE):
            return False
        for side, *_ in level:
            same = [(patch, points, on_long) for normal, patch, points, on_long in level if float(normal @ side) > 1 - 1e-4]
            across = np.array([-side[1], side[0]])
            along = np.concatenate([patch[:, :2] @ across for patch, *_ in same])
            wide = float(np.ptp(along)) >= side_spacing(laid, held, np.array([*side, 0.0])) - LOOSE
            ends = any(abs(float(normal @ side)) <= 0.95 for normal, *_ in level)
            if wide and ends and sum(points for _, points, _ in same) >= 2 and any(on_long for *_, on_long in same):
                return True
        return False

    def _accepted(self, chosen: tuple[int, ...], budget: Budget) -> bool:
        """Return whether the checker accepts this choice, written down in full."""
        problem = self.problem
        for part in problem.laid.parts:
            serving = sum(index in problem.serving[part.index] for index in chosen)
            if serving < clamps_needed(problem.laid, part):
                return False
        candidates = [problem.candidates[index] for index in chosen]

        shut = {way for way, _ in torch_blocks(self.position.orientation.torch, bodies(candidates))}
        open_samples = {int(s) for way, s in enumerate(self.position.orientation.torch.sample) if way not in shut}
        if len(open_samples) < len(self.position.orientation.torch.samples):
            return False
        budget.check()
        return any(self._written(Choice(tuple(sorted(chosen)), sides, 0)) is not None for sides in self._sides(chosen))

    def _sides(self, chosen: Sequence[int]) -> Iterator[tuple[int, ...]]:
        """Return for each part the groups of level contacts that could be called its side."""
        problem = self.problem
        options: list[list[int]] = []
        for part in range(len(problem.laid.parts)):
            here = []
            for number, group in enumerate(problem.groups):
                points = [p for p in group.points if p.candidate is None or p.candidate in chosen]
                if group.part == part and sum(p.points for p in points) >= 2:
                    here.append((-(max(p.high for p in points) - min(p.low for p in points)), number))
            options.append([number for _, number in sorted(here)[:2]])
        return iter(product(*options))

    def _written(self, choice: Choice) -> Alternative | None:
        assert self.position.seat is not None
        found = Found(self.position, self.model, choice)
        writing.log.setLevel(logging.CRITICAL)
        try:
            return writing.alternative_of(found, self.search.request, self.search.stock, thorough=False)
        finally:
            writing.log.setLevel(logging.NOTSET)


def _pieces(kind: Kind, items: Mapping[str, Item]) -> list[tuple[Item, bool]]:
    return [(items[item], depth > 0) for depth, item in enumerate(kind)]


def _less(kit: dict[Kind, int], kind: Kind) -> dict[Kind, int]:
    return {**kit, kind: kit[kind] - 1}


def _inside(points: np.ndarray, at: np.ndarray, margin: float) -> bool:
    """Return whether a point lies inside the hull of points by a margin, by looking along many directions."""
    angles = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    directions = np.stack([np.cos(angles), np.sin(angles)])
    return bool((((points - at) @ directions).max(axis=0) >= margin).all())
