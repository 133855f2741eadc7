"""Alternatives side by side: each one's price lines, times, accuracy, kit and what it ties up, on scales they share."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from markupsafe import Markup

from inventory.stock import StockSnapshot
from service.drawings.paper.svg import as_inline_svg
from service.drawings.scene import scene
from service.drawings.screen.overview import overview
from service.errors import StockChanged
from service.page.comparing.planned_job import PlannedJob
from service.steps import cautions
from service.text import money
from solver.plans import Alternative, Cost
from solver.request import Request
from solver.weldment import LengthUnit

_PICTURE = (120.0, 90.0)
_LINES = (
    ("setup_cents", "setup"),
    ("cycle_cents", "cycles"),
    ("tie_up_cents", "tie-up"),
    ("shortage_cents", "bought"),
    ("weights_cents", "weights"),
)
_MEANINGS = {
    "setup": "setting the table once",
    "cycles": "loading, clamping and unloading the whole run",
    "tie-up": "day rates of the pieces for the days they are held",
    "bought": "pieces that must be bought",
    "weights": "what the rule book adds for adjustable and scarce pieces",
}


@dataclass(frozen=True, slots=True)
class PriceBar:
    """One price line: its name, what it means, its amount, and its length on the scale all alternatives share, 0 to 100."""

    name: str
    meaning: str
    amount: str
    long: float


@dataclass(frozen=True, slots=True)
class KitRow:
    """Pieces of one item: how many are needed, how many are free on the days, how many are short; `buy` are bought."""

    item: str
    name: str
    bin: str
    count: int
    buy: int
    free: int

    @property
    def short(self) -> int:
        """Pieces that are missing now, beyond those the plan buys."""
        return max(0, self.count - self.buy - self.free)


@dataclass(frozen=True, slots=True)
class Accuracy:
    """The point whose locating error takes most of what is allowed: the error and the limit, mm, and where it is."""

    error_mm: float
    limit_mm: float
    subject: str

    @property
    def share(self) -> float:
        """The share of what is allowed."""
        return self.error_mm / self.limit_mm if self.limit_mm else 0.0


@dataclass(frozen=True, slots=True)
class ComparedAlternative:
    """One alternative among others."""

    one: Alternative
    picture: Markup | None
    undrawn: str
    total: str
    bars: tuple[PriceBar, ...]
    kit: tuple[KitRow, ...]
    accuracy: Accuracy | None
    tolerances: int
    cautions: tuple[str, ...]

    @property
    def pieces(self) -> int:
        """How many pieces it takes."""
        return sum(row.count for row in self.kit)

    @property
    def short(self) -> int:
        """How many of them are short now."""
        return sum(row.short for row in self.kit)

    @property
    def traits(self) -> list[str]:
        """What it is best in, in words."""
        return [trait.replace("_", " ") for trait in self.one.traits]


def columns(planned: PlannedJob, stock: StockSnapshot, units: LengthUnit) -> list[ComparedAlternative]:
    """Return every alternative of a plan, cheapest first; `stock` is what is free on the plan's days."""
    shown = planned.plan.alternatives
    longest = max((getattr(one.cost, line) for one in shown for line, _ in _LINES), default=0)
    used = [(line, name) for line, name in _LINES if any(getattr(one.cost, line) for one in shown)]
    return [_column(planned, one, stock, units, used, longest) for one in shown]


def _column(
    planned: PlannedJob, one: Alternative, stock: StockSnapshot, units: LengthUnit, used: Sequence[tuple[str, str]], longest: int
) -> ComparedAlternative:
    picture, undrawn = picture_of(planned, one, stock, units, f"over-{one.rank}", f"alternative {one.rank}")
    accuracy, tolerances = accuracy_of(one)
    bars = tuple(_bars(one.cost, used, longest, planned.currency))
    total, kit = money(one.cost.total_cents, planned.currency), kit_of(one, stock, planned.request)
    return ComparedAlternative(one, picture, undrawn, total, bars, kit, accuracy, tolerances, tuple(cautions(one)))


def picture_of(
    planned: PlannedJob,
    one: Alternative,
    stock: StockSnapshot,
    units: LengthUnit,
    id: str,
    said: str,
    ringed: frozenset[str] = frozenset(),
) -> tuple[Markup | None, str]:
    """Return an alternative seen from above at a glance, or None and why it cannot be drawn."""
    try:
        drawn = scene(planned.subject(one, stock, units))
    except StockChanged as changed:
        return None, str(changed)
    name = f"{drawn.weldment}, {said}, from above"
    return Markup(as_inline_svg(overview(drawn, _PICTURE, ringed, name), id)), ""  # every text in it is escaped


def _bars(cost: Cost, used: Sequence[tuple[str, str]], longest: int, currency: str) -> Iterator[PriceBar]:
    for line, name in used:
        cents = getattr(cost, line)
        yield PriceBar(name, _MEANINGS[name], money(cents, currency), round(100 * cents / longest, 2) if longest else 0.0)


def kit_of(one: Alternative, stock: StockSnapshot, request: Request) -> tuple[KitRow, ...]:
    """Return a kit bin by bin, with what is free of each item, or promised to the job that asks."""
    names = {id: item.name for id, item in stock.items.items()}
    rows = [
        KitRow(line.item, line.name or names.get(line.item, ""), line.bin, line.count, line.buy, free)
        for line in one.kit
        for free in [stock.free(line.item, request.held.get(line.item, 0))]
    ]
    return tuple(sorted(rows, key=lambda row: (row.bin, row.item)))


def accuracy_of(one: Alternative) -> tuple[Accuracy | None, int]:
    """Return the worst locating error against what is allowed of its tolerance, and how many tolerances there are."""
    found = [
        Accuracy(each.value, each.limit, each.subject)
        for each in one.findings
        if each.rule == "locate.tolerance_share" and each.value is not None and each.limit is not None
    ]
    return max(found, key=lambda each: each.share, default=None), len(found)
