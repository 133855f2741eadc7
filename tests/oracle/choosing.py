"""The cheapest choice among offers by necessary conditions: counted, located, clamped, apart, torch and ways free.

Only a searcher: what it returns is no fixture until the checker says so, and it may be asked for the next one.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from inventory.items import KINDS
from inventory.shapes import Array
from inventory.stock import StockSnapshot
from solver.rule_book import VALUES
from tests.oracle.blocking import Torches, Way, passes
from tests.oracle.boxes import around, gaps
from tests.oracle.laying import Lying, Mate
from tests.oracle.offers import Contact, Offer
from tests.oracle.price import free
from tests.oracle.pushing import away, pushed_groups, reach, served

LEVEL = ((0, 1), (0, -1), (1, 1), (1, -1))
"""Axis and sense of the level directions."""
CENTS = 100
WORK = 1.0
"""Work one solve may take, deterministic units."""
AROUND = 16


@dataclass(frozen=True)
class Chosen:
    """A choice: offers, and for each part the direction of its side."""

    offers: tuple[int, ...]
    sides: tuple[tuple[int, int], ...]
    load_ways: tuple[int, ...]
    unload_way: int


@dataclass
class Chooser:
    """A small program over the offers of one position, with its parts' contacts and order of loading settled.

    `patches` holds for each part the flat box by which it lies on the table, None if it does not. Without `torches` it is a rough
    one: whether bodies keep apart, and torch and ways are free, is not asked, and parts may carry each other both ways.
    """

    lying: Lying
    stock: StockSnapshot
    mates: Sequence[Mate]
    order: Sequence[int]
    offers: Sequence[Offer]
    patches: Sequence[Array | None]
    torches: Torches | None
    ways: Sequence[Way]
    most: float
    program: cp_model.CpModel = field(init=False)
    open: bool = True

    def __post_init__(self) -> None:
        self.program = cp_model.CpModel()
        self.x = [self.program.new_bool_var("") for _ in self.offers]
        self.sides: list[dict[tuple[int, int], cp_model.IntVar]] = []
        self.load_ways: list[list[cp_model.IntVar]] = []
        self.by_face: dict[tuple[int, int, int], list[tuple[int, Contact]]] = defaultdict(list)
        for k, offer in enumerate(self.offers):
            for contact in offer.contacts:
                if not offer.stack.clamps:
                    axis = contact.flat.axis
                    self.by_face[contact.part, axis, int(contact.normal[axis])].append((k, contact))
        for part in range(len(self.lying.parts)):
            self.open = self.open and self._supported(part) and self._located(part) and self._clamped(part)
        if self.open:
            self._counted()
            self._unopposed()
            self._clamps()
            if self.torches is not None:
                self._apart()
                self._torch(self.torches)
                self._routes()
            price = sum(round(CENTS * offer.cents) * x for offer, x in zip(self.offers, self.x, strict=True))
            self.program.add(price <= math.floor(CENTS * self.most))
            self.program.minimize(price)

    def possible(self) -> bool:
        """Return whether there is any choice at all."""
        return self.open and self._solver(one=True).solve(self.program) in (cp_model.OPTIMAL, cp_model.FEASIBLE)

    def _solver(self, *, one: bool = False) -> cp_model.CpSolver:
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = 7
        solver.parameters.max_deterministic_time = WORK
        solver.parameters.stop_after_first_solution = one
        return solver

    def next(self) -> Chosen | None:
        """Return the cheapest choice not forbidden yet."""
        if not self.open:
            return None
        solver = self._solver()
        if solver.solve(self.program) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        chosen = tuple(k for k, x in enumerate(self.x) if solver.value(x))
        sides = tuple(next(side for side, on in options.items() if solver.value(on)) for options in self.sides)
        loads = tuple(next(k for k, on in enumerate(row) if solver.value(on)) for row in self.load_ways)
        return Chosen(chosen, sides, loads, next(k for k, on in enumerate(self.unload) if solver.value(on)))

    def forbid(self, offers: Sequence[int]) -> None:
        """Never return this choice again."""
        if not self.open:
            return
        self.program.add(sum(self.x[k] for k in offers) <= len(offers) - 1)

    # --- located ---

    def _supported(self, part: int) -> bool:
        lying, centre = self.lying.parts[part], self.lying.parts[part].centre[:2]
        rules = self.lying.request.rules
        width = float(np.min(lying.box[3:5] - lying.box[:2]))
        margin = min(rules["locate.support_margin"], rules["locate.support_margin_ratio"] * width)
        given = [mate.patch for mate in self.mates if mate.part == part and mate.normal[2] > 0.5]
        patch = self.patches[part]
        given += [patch] if patch is not None else []
        rests = self.by_face[part, 2, 1]
        if not given:
            if len(rests) < 3:
                return False
            self.program.add(sum(self.x[k] for k, _ in rests) >= 3)
        for turn in np.linspace(0, 2 * math.pi, AROUND, endpoint=False):
            u = np.array([math.cos(turn), math.sin(turn)])
            if any(reach(box, u) - float(centre @ u) >= margin - 1e-3 for box in given):
                continue
            beyond = [self.x[k] for k, contact in rests if reach(contact.patch, u) - float(centre @ u) >= margin - 1e-3]
            if not beyond:
                return False
            self.program.add_bool_or(beyond)
        return True

    def _located(self, part: int) -> bool:
        """One direction has two points far enough apart, another an end."""
        options: dict[tuple[int, int], cp_model.IntVar] = {}
        given = {d: [m for m in self.mates if m.part == part and round(m.normal[d[0]]) == d[1]] for d in LEVEL}
        for axis, sense in LEVEL:
            here, mates = self.by_face[part, axis, sense], given[axis, sense]
            across = 1 - axis
            ends = [self.x[k] for s in (1, -1) for k, _ in self.by_face[part, across, s]]
            end_given = bool(given[across, 1] or given[across, -1])
            if (not here and not mates) or (not ends and not end_given):
                continue
            if not self._long(part, axis):
                continue
            chosen = self.program.new_bool_var("")
            if not self._spread(part, axis, here, mates, chosen):
                continue
            if not end_given:
                self.program.add_bool_or(ends).only_enforce_if(chosen)
            options[axis, sense] = chosen
        self.sides.append(options)
        if options:
            self.program.add_exactly_one(options.values())
        return bool(options)

    def _long(self, part: int, axis: int) -> bool:
        """Return whether a part is long enough along a side, where the rule book asks for that."""
        name, box = "locate.side_face_ratio", self.lying.parts[part].box
        least = self.lying.request.rules[name] if name in VALUES else 0.0
        across = 1 - axis
        return bool(box[across + 3] - box[across] >= least * float(np.max(box[3:5] - box[:2])) - 1e-6)

    def _spread(self, part: int, axis: int, here: list[tuple[int, Contact]], mates: list[Mate], chosen: cp_model.IntVar) -> bool:
        rules, box, across = self.lying.request.rules, self.lying.parts[part].box, 1 - axis
        length = float(box[across + 3] - box[across])
        need = min(rules["locate.side_spacing_ratio"] * length, rules["locate.side_spacing_max"]) - 1e-3
        spans = [(float(c.patch[across]), float(c.patch[across + 3]), self.x[k]) for k, c in here]
        fixed = [(float(m.patch[across]), float(m.patch[across + 3])) for m in mates]
        if not mates:
            if len(here) < 2:
                return False
            self.program.add(sum(self.x[k] for k, _ in here) >= 2).only_enforce_if(chosen)
        if any(high - low >= need for low, high in fixed):
            return True
        starts = []
        for low in sorted({low for low, _, _ in spans} | {low for low, _ in fixed}):
            after = [x for _, high, x in spans if high >= low + need]
            if not after and not any(high >= low + need for _, high in fixed):
                continue
            start = self.program.new_bool_var("")
            if not any(a <= low for a, _ in fixed):
                self.program.add_bool_or([x for a, _, x in spans if a <= low]).only_enforce_if(start)
            if not any(high >= low + need for _, high in fixed):
                self.program.add_bool_or(after).only_enforce_if(start)
            starts.append(start)
        if starts:
            self.program.add_bool_or(starts).only_enforce_if(chosen)
        return bool(starts)

    def _unopposed(self) -> None:
        """Locators do not face each other across a part, or across parts that lie against each other that way."""
        if self.lying.request.rules["locate.opposed"]:
            return
        for axis in (0, 1):
            for group in pushed_groups(self.lying, self.mates, axis):
                plus = self.program.new_bool_var("")
                for part in group:
                    for k, _ in self.by_face[part, axis, 1]:
                        self.program.add_implication(self.x[k], plus)
                    for k, _ in self.by_face[part, axis, -1]:
                        self.program.add_implication(self.x[k], ~plus)

    # --- clamped ---

    def _clamped(self, part: int) -> bool:
        need = max(1, math.ceil(self.lying.parts[part].length / self.lying.request.rules["clamp.per_length"] - 1e-9))
        serving = [self.x[k] for k, offer in enumerate(self.offers) if offer.stack.clamps and part in served(self.lying, offer)]
        if len(serving) < need:
            return False
        self.program.add(sum(serving) >= need)
        return True

    def _clamps(self) -> None:
        over = self.lying.request.rules["clamp.over_support"]
        for k, offer in enumerate(self.offers):
            clamp = offer.stack.top.clamp
            if clamp is None:
                continue
            (contact,) = offer.contacts
            part, axis, push = contact.part, contact.flat.axis, int(contact.normal[contact.flat.axis])
            rows = [m.normal for m in self.mates if m.part == part]
            if self.patches[part] is not None:
                rows.append(np.array([0.0, 0.0, 1.0]))
            if self.torches is not None and any(row[axis] * push > 0.087 for row in rows):
                self.program.add(self.x[k] == 0)
                continue
            for other, _ in self.by_face[part, axis, push]:
                self.program.add_bool_or(~self.x[k], ~self.x[other])
            if not any(row[axis] * push < -0.087 for row in rows):
                against = [self.x[other] for other, _ in self.by_face[part, axis, -push]]
                self.program.add_bool_or([~self.x[k], *against])
            if KINDS[offer.stack.top.kind].pushes_down or (axis == 2 and push < 0):
                supports = [m.patch for m in self.mates if m.part == part and m.normal[2] > 0.5]
                patch = self.patches[part]
                supports += [patch] if patch is not None else []
                if not any(away(offer.tip, box) <= over for box in supports):
                    rests = [self.x[r] for r, c in self.by_face[part, 2, 1] if away(offer.tip, c.patch) <= over]
                    self.program.add_bool_or([~self.x[k], *rests])

    # --- counted, apart, free ---

    def _counted(self) -> None:
        request = self.lying.request
        if request.shortage == "price":
            return
        for item in self.stock.items:
            used = [(Counter(offer.stack.items)[item], x) for offer, x in zip(self.offers, self.x, strict=True)]
            if any(count for count, _ in used):
                self.program.add(sum(count * x for count, x in used if count) <= free(request, self.stock, item))

    def _apart(self) -> None:
        by_hole: dict[tuple[int, int], list[int]] = defaultdict(list)
        for k, offer in enumerate(self.offers):
            for peg in offer.pegs:
                by_hole[peg].append(k)
        for ks in by_hole.values():
            self.program.add_at_most_one(self.x[k] for k in ks)
        clear = self.lying.request.rules["clear.body"]
        whole = np.array([around(offer.both) for offer in self.offers])
        close = np.triu(gaps(whole, whole) < clear, 1)
        for i, j in zip(*map(np.ndarray.tolist, np.nonzero(close)), strict=True):
            one, other = self.offers[i], self.offers[j]
            if not one.pegs & other.pegs and bool((gaps(one.both, other.both) < clear).any()):
                self.program.add_bool_or(~self.x[i], ~self.x[j])

    def _torch(self, torches: Torches) -> None:
        hits = np.array([offer.torches for offer in self.offers])
        for sample in range(len(self.lying.samples)):
            rows = np.flatnonzero(torches.sample == sample)
            kept = {tuple(np.flatnonzero(hits[:, t]).tolist()) for t in rows}
            if () in kept:
                continue
            options = []
            for shut in sorted(kept, key=lambda ks: (len(ks), ks)):
                free_way = self.program.new_bool_var("")
                for k in shut:
                    self.program.add_implication(free_way, ~self.x[k])
                options.append(free_way)
            self.program.add_bool_or(options)

    def _routes(self) -> None:
        """Parts go in one after the other, each past those in already; all leave together; clamps are open."""
        for part in range(len(self.lying.parts)):
            before = self.order[: list(self.order).index(part)]
            row = []
            for number, way in enumerate(self.ways):
                on = self.program.new_bool_var("")
                row.append(on)
                if not all(passes(self.lying, part, other, way) for other in before) or not self._off_table(part, way):
                    self.program.add(on == 0)
                    continue
                for k, offer in enumerate(self.offers):
                    if offer.ways[part, number]:
                        self.program.add_implication(on, ~self.x[k])
            self.program.add_exactly_one(row)
            self.load_ways.append(row)
        self.unload = []
        for number, way in enumerate(self.ways):
            on = self.program.new_bool_var("")
            self.unload.append(on)
            if not all(self._off_table(part, way) for part in range(len(self.lying.parts))):
                self.program.add(on == 0)
            for k, offer in enumerate(self.offers):
                if offer.ways[:, number].any():
                    self.program.add_implication(on, ~self.x[k])
        self.program.add_exactly_one(self.unload)

    def _off_table(self, part: int, way: Way) -> bool:
        bottom = float(self.lying.parts[part].box[2])
        return len(way) == 1 or bottom < 0.05 or bottom >= self.lying.request.rules["way.clear"]
