"""One alternative in full, each share of its screen worked out when a template asks for it."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import Any
from urllib.parse import urlencode

from inventory.stock import StockSnapshot
from service.drawings.models.ways import way_documents
from service.drawings.place_lines import PlaceLine, place_lines
from service.drawings.setup_sheet.operation import LoadLine, OutLine, WeldLine, load_steps, ways_out, weld_lines
from service.drawings.subject import Subject
from service.page.comparing.columns import Accuracy, KitRow, accuracy_of, kit_of
from service.page.comparing.picking.finding_rows import FindingRow, Shown, finding_rows, not_computed, picked_out
from service.page.comparing.picking.picked import Picked, picked
from service.page.comparing.planned_job import PlannedJob
from service.page.comparing.replanning.before_after import BeforeAfter, before_after
from service.page.comparing.replanning.missing_pieces import TableRemark, broken_items
from service.steps import cautions
from solver.plans import Alternative, Station
from solver.weldment import LengthUnit


class AlternativeScreen:
    """One alternative of a finished plan as it is looked at.

    Parameters
    ----------
    stock : StockSnapshot
        Tables, items and what is free on the plan's days.
    units : {"mm", "inch"}
        Lengths are shown in.
    pick : str
        What is picked, as drawings name it, such as ``piece:p3``; empty for nothing.
    shown : {"failed", "near", "all"}
        Which findings are listed.
    entries : tuple of TableRemark
        What was said to be missing so far.
    """

    def __init__(
        self,
        planned: PlannedJob,
        rank: int,
        stock: StockSnapshot,
        units: LengthUnit,
        pick: str = "",
        shown: Shown = "near",
        entries: tuple[TableRemark, ...] = (),
    ) -> None:
        self.planned, self.stock, self.units = planned, stock, units
        self.one: Alternative = planned.alternative(rank)
        self.pick, self.shown, self.entries = pick, shown, entries

    @property
    def address(self) -> str:
        """Where the screen is had."""
        return f"/jobs/{self.planned.job.id}/{self.one.rank}"

    def asked(self, **changed: str) -> str:
        """Return the address of the same screen with something picked, or other findings shown."""
        asked = {"pick": self.pick, "shown": "" if self.shown == "near" else self.shown, **changed}
        pairs = [(name, value) for name, value in asked.items() if value]
        pairs += [("entry", entry.text) for entry in self.entries]
        return f"?{urlencode(pairs)}" if pairs else self.address

    @cached_property
    def subject(self) -> Subject:
        """What is drawn; raises StockChanged."""
        return self.planned.subject(self.one, self.stock, self.units)

    @cached_property
    def places(self) -> Sequence[PlaceLine]:
        """Every piece in the order the hands place them."""
        return list(place_lines(self.subject))

    @cached_property
    def picked(self) -> Picked | None:
        """What is picked; raises NotFound if nothing is called so."""
        lines = {line.piece: line for line in self.places}
        return picked(self.subject, self.pick, lines) if self.pick else None

    @property
    def welds(self) -> Sequence[WeldLine]:
        """Every weld as it is made in the fixture."""
        return list(weld_lines(self.subject))

    @property
    def load(self) -> Sequence[LoadLine]:
        """The parts in the order they go in."""
        return list(load_steps(self.subject))

    @property
    def out(self) -> Sequence[tuple[str, OutLine]]:
        """The way out of every station, with the name its drawing has."""
        names = [_out_name(station) for station in self.one.stations]
        return list(zip(names, ways_out(self.subject), strict=True))

    @property
    def ways(self) -> Sequence[Mapping[str, Any]]:
        """The ways in and out as the view in space plays them, each with the ``name`` that drawings give it."""
        one = self.one
        numbered = list(enumerate(one.load, 1))
        names: list[str] = []
        for station in one.stations:
            names += [str(k) for k, step in numbered if step.station == station.number and step.moves]
            names += [_out_name(station)] if station.unload.moves else []
        return [{**way, "name": name} for name, way in zip(names, way_documents(self.subject), strict=True)]

    @property
    def kit(self) -> Sequence[KitRow]:
        """The kit, bin by bin."""
        return kit_of(self.one, self.stock, self.planned.request)

    @property
    def accuracy(self) -> tuple[Accuracy | None, int]:
        """The worst locating error against its tolerance, and how many tolerances there are."""
        return accuracy_of(self.one)

    @property
    def cautions(self) -> Sequence[str]:
        """What a hand must hold, and what is more than one person lifts."""
        return list(cautions(self.one))

    @cached_property
    def findings(self) -> Sequence[FindingRow]:
        """Every finding."""
        return finding_rows(self.one.findings, self.units, self.planned.currency)

    @property
    def counts(self) -> Mapping[Shown, int]:
        """How many findings there are of each sort that can be asked for."""
        return {
            "failed": len(picked_out(self.findings, "failed")),
            "near": len(picked_out(self.findings, "near")),
            "all": len(self.findings),
        }

    @property
    def listed(self) -> Sequence[FindingRow]:
        """The findings that are asked for."""
        return picked_out(self.findings, self.shown)

    @property
    def not_computed(self) -> Sequence[tuple[str, str]]:
        """What no check covers."""
        return not_computed(self.one.findings)

    @cached_property
    def changed(self) -> BeforeAfter | None:
        """What changes against the plan that stands, in a re-plan."""
        return before_after(self.planned, self.one, self.stock, self.units)

    @property
    def broken(self) -> Mapping[str, int]:
        """How many pieces of each item were said to be broken."""
        return broken_items(self.entries)

    @property
    def said_of_picked(self) -> str:
        """What was said to be missing of what is picked; empty for nothing."""
        if self.picked is None:
            return ""
        return next((entry.what for entry in self.entries if entry.id == self.picked.id), "")

    @property
    def request(self) -> Mapping[str, Any]:
        """The request document."""
        found: Mapping[str, Any] = json.loads(self.planned.job.request)
        return found


def _out_name(station: Station) -> str:
    return "out" if station.number is None else f"out-{station.number}"
