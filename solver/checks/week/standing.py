"""A job as the answer has it: its alternative read from its plan, where it stands, what it takes, what it costs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from inventory.items import Item
from inventory.shapes import Array
from inventory.stock import StockByDay
from inventory.tables import Hole, Table, hole_label, parse_hole
from solver.checks.scene.reading import read_alternative
from solver.checks.week.footprint import body_corners, footprint
from solver.plans import Alternative
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook

EDGE = 1e-6


@dataclass(frozen=True, slots=True)
class StandingJob:
    """A job with its alternative on a table over days."""

    job: Mapping[str, Any]
    alternative: Alternative
    table: Table
    shift: Hole
    first: date
    last: date
    held: date
    stays_after: str | None
    holes: Mapping[str, str] | None
    room: Array
    items: Mapping[str, Item]

    @property
    def id(self) -> str:
        """The job's id."""
        return str(self.job["id"])

    @property
    def taken(self) -> dict[str, int]:
        """Pieces from the shelf, by item; what is bought is none of them."""
        return {line.item: line.count - line.buy for line in self.alternative.kit}

    @property
    def place(self) -> list[tuple[Any, ...]]:
        """Every piece by where it stands, stacks from the hole up."""
        by_id = {piece.id: piece for piece in self.alternative.placements}

        def stack(id: str) -> tuple[Any, ...]:
            piece = by_id[id]
            own = (piece.item, piece.hole or "", piece.turn % 360, piece.setting_mm or 0.0)
            return own if piece.stands_on is None else (*stack(piece.stands_on), *own)

        return sorted(stack(id) for id in by_id)

    @property
    def load_kg(self) -> float | None:
        """What stands on the table, kg; None if the plan does not say what the weldment weighs."""
        weldments = [station.unload.mass_kg for station in self.alternative.stations]
        if any(mass is None for mass in weldments):
            return None
        hardware = [self.items[piece.item].mass_kg for piece in self.alternative.placements]
        return math.fsum([*hardware, *(mass for mass in weldments if mass is not None)])

    def lines(self, items: Mapping[str, Item]) -> dict[str, int]:
        """Return the lines of its price, cents."""
        cost = self.alternative.cost
        days = (self.last - self.held).days + 1
        late = max(0, (self.last - date.fromisoformat(self.job["due"])).days)
        return {
            "setup_cents": cost.setup_cents if self.stays_after is None else 0,
            "cycle_cents": cost.cycle_cents,
            "tie_up_cents": days * sum(items[piece.item].day_rate_cents for piece in self.alternative.placements),
            "shortage_cents": cost.shortage_cents,
            "weights_cents": cost.weights_cents,
            "late_cents": late * (self.job.get("late_cents_per_day") or 0),
        }

    def misfits(self, tables: Mapping[str, Table]) -> Iterator[str]:
        """Yield what keeps it from standing where it does."""
        own, table = tables[self.alternative.table], self.table
        for name in ("size", "first", "pitch", "columns", "rows", "hole_diameter", "thickness"):
            if getattr(own, name) != getattr(table, name):
                yield f"table {table.id} is not like {own.id}, for which it was planned"
                return
        if table.max_load_kg is not None and (own.max_load_kg is None or own.max_load_kg > table.max_load_kg):
            yield f"table {table.id} carries less than {own.id}, for which it was planned"
        if not table.blocked_holes <= own.blocked_holes:
            yield f"table {table.id} has holes blocked that {own.id} has not"
        for piece in self.alternative.placements:
            yield from self._pegs(piece.id, piece.item, piece.hole, piece.turn)
        corners = body_corners(self.alternative)
        for axis, steps in enumerate(self.shift):
            if steps:
                moved = corners[:, axis] + steps * table.pitch
                if (
                    min(corners[:, axis].min(), moved.min()) < -EDGE
                    or max(corners[:, axis].max(), moved.max()) > table.size[axis] + EDGE
                ):
                    yield "what is shifted lies over the slab, before and after"

    def _pegs(self, id: str, item: str, hole: str | None, turn: float) -> Iterator[str]:
        if hole is None:
            return
        at = np.array(parse_hole(hole)) + self.shift
        angle = math.radians(turn)
        spin = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
        for peg in self.items[item].pegs:
            column, row = (int(step) for step in np.rint(spin @ np.array(peg)) + at)
            if not self.table.has((column, row)) or (column, row) in self.table.blocked_holes:
                yield f"a peg of {id} finds no hole"
        label = hole_label((int(at[0]), int(at[1]))) if min(at) >= 0 else "none"
        if self.holes is not None and self.holes.get(id) != label:
            yield f"{id} stands in {label}, not in {self.holes.get(id)}"


def standing_job(job: Mapping[str, Any], entry: Mapping[str, Any], plan: Mapping[str, Any], stock: StockByDay) -> StandingJob:
    """Return a job as an entry of the answer has it."""
    document = next(one for one in plan["alternatives"] if one["rank"] == entry["rank"])
    alternative, table = read_alternative(document), stock.whole.tables[entry["table"]]
    shift = (entry["seat"]["columns"], entry["seat"]["rows"])
    rules = RuleBook({name: value for name, value in (plan.get("rules") or {}).items() if name in VALUES})
    # Of several variants each moves differently: such a set-up stands alone.
    room = np.array([[-np.inf] * 2, [np.inf] * 2]) if alternative.variants else footprint(alternative, rules)
    holes = None if entry["holes"] is None else {each["id"]: each["hole"] for each in entry["holes"]}
    return StandingJob(
        job, alternative, table, shift,
        date.fromisoformat(entry["days"]["from"]), date.fromisoformat(entry["days"]["to"]),
        date.fromisoformat(entry["held"]["from"]),
        entry["stays_after"], holes, room + np.array(shift) * table.pitch, stock.whole.items,
    )  # fmt: skip
