"""What a setup sheet says, as plain texts and pictures in the order they are printed: both PDF and HTML are set from it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby

from service.drawings.paper.marks import Picture
from service.drawings.paper.style import CAUTION
from service.drawings.place_lines import PlaceLine, kit_by_bin, place_lines
from service.drawings.run_settings import SettingTable, setting_tables
from service.drawings.scene import Scene, scene
from service.drawings.setup_sheet.first_article import ArticleLine, article_lines
from service.drawings.setup_sheet.operation import LoadLine, OutLine, WeldLine, load_steps, ways_out, weld_lines
from service.drawings.stacks import stacks
from service.drawings.subject import Subject
from service.drawings.views.elevation import elevation, needs_elevation
from service.drawings.views.legend import legend
from service.drawings.views.stack_picture import stack_picture
from service.drawings.views.top_view import top_views
from service.steps import cautions, change_rows
from service.text import length, money
from solver.plans import Alternative

PAGES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
MARGIN = 10.0
"""Left and right of all that is printed, mm."""
_STACK = (26.0, 22.0)


@dataclass(frozen=True, slots=True)
class PickLine:
    """Pieces of one item to fetch from its bin; `buy` of them must be bought first."""

    bin: str
    item: str
    name: str
    count: int
    buy: int


@dataclass(frozen=True, slots=True)
class StackStep:
    """Pieces placed one on another, from the table up, with a picture of how they stand then."""

    places: tuple[PlaceLine, ...]
    picture: Picture


@dataclass(frozen=True, slots=True)
class StationSteps:
    """The stacks of one station in placing order; its name is empty where the table carries one fixture only."""

    name: str
    stacks: tuple[StackStep, ...]


@dataclass(frozen=True, slots=True)
class SetupSheet:
    """All of a setup sheet; texts come from the request as they are, whoever prints them escapes them."""

    title: str
    subtitle: str
    facts: tuple[tuple[str, str], ...]
    plan: str
    top: Picture
    elevation: Picture | None
    details: tuple[Picture, ...]
    legend: Picture
    pick: tuple[PickLine, ...]
    stations: tuple[StationSteps, ...]
    changes: tuple[tuple[str, ...], ...] | None
    settings: tuple[SettingTable, ...]
    load: tuple[LoadLine, ...]
    welds: tuple[WeldLine, ...]
    out: tuple[OutLine, ...]
    article: tuple[ArticleLine, ...]
    article_left_out: int
    prices: tuple[tuple[str, str], ...]
    computed: tuple[str, ...]
    not_computed: tuple[str, ...]
    cautions: tuple[str, ...]


def setup_sheet(subject: Subject) -> SetupSheet:
    """Return what is printed of one alternative; raises KeyError if it names a table or an item the stock does not have."""
    one, drawn = subject.alternative, scene(subject)
    wide, high = PAGES[subject.paper][0] - 2 * MARGIN, PAGES[subject.paper][1]
    views = top_views(drawn, (wide, 0.52 * high))
    article, left_out = article_lines(subject)
    return SetupSheet(
        title=drawn.weldment,
        subtitle=f"{drawn.title}, {drawn.quantity} off, table {drawn.table.id}",
        facts=tuple(_facts(subject, drawn)),
        plan=subject.identity.plan,
        top=views.main,
        elevation=elevation(drawn, (wide, 0.26 * high)) if needs_elevation(drawn) else None,
        details=views.details,
        legend=legend(wide),
        pick=tuple(_pick(subject)),
        stations=tuple(_stations(subject, drawn)),
        changes=None if one.changes is None else tuple(map(tuple, change_rows(one.changes, drawn.units))),
        settings=tuple(setting_tables(one, drawn.weldment, drawn.units, drawn.quantity)),
        load=tuple(load_steps(subject)),
        welds=tuple(weld_lines(subject)),
        out=tuple(ways_out(subject)),
        article=article,
        article_left_out=left_out,
        prices=tuple(_prices(one, subject.currency)),
        computed=tuple(_computed(one)),
        not_computed=tuple(f"{found.subject}: {found.text}" for found in one.findings if found.rule == "not_computed"),
        cautions=(*cautions(one), CAUTION),
    )


def _facts(subject: Subject, drawn: Scene) -> Iterator[tuple[str, str]]:
    """Yield what tells this sheet from others, and how the weldment lies."""
    identity, request, units = subject.identity, subject.request, drawn.units
    x0, y0, x1, y1 = drawn.part_box
    first = drawn.table.first
    yield "lies", drawn.lie
    across, along = (length(value, units) for value in (x0 - first[0], y0 - first[1]))
    yield "lower left corner", f"{across} right of and {along} beyond the centre of hole A1"
    yield "size on the table", f"{length(x1 - x0, units)} x {length(y1 - y0, units)}"
    yield (
        "lattice",
        f"{length(drawn.table.pitch, units)} pitch; table {drawn.table.id}, {drawn.table.columns} x {drawn.table.rows} holes",
    )
    yield "setup", f"{drawn.setup_s / 60:.1f} min"
    yield "cycle", f"{drawn.cycle_s} s a weldment, without arc time"
    if request.needed is not None:
        yield "needed", " to ".join(dict.fromkeys(str(day) for day in request.needed))
    if identity.made_on is not None:
        yield "made", str(identity.made_on)
    if identity.request:
        yield "request", identity.request
    book = "" if identity.rules_book == "default" else f"{identity.rules_book}, "
    yield "rules", f"{book}version {identity.rules_version}"
    yield "stock", f"version {identity.stock_version}"


def _pick(subject: Subject) -> Iterator[PickLine]:
    for line in kit_by_bin(subject):
        name = line.name or subject.stock.items[line.item].name
        yield PickLine(line.bin or "-", line.item, name, line.count, line.buy)


def _stations(subject: Subject, drawn: Scene) -> Iterator[StationSteps]:
    """Yield the stacks in placing order, station by station."""
    lines = {line.piece: line for line in place_lines(subject)}
    for number, some in groupby(stacks(drawn), key=lambda stack: stack[0].station):
        steps = (
            StackStep(tuple(lines[piece.id] for piece in stack), stack_picture(drawn, stack, _STACK)) for stack in some
        )  # fmt: skip
        yield StationSteps("" if number is None else f"station {number}", tuple(steps))


def _prices(one: Alternative, currency: str) -> Iterator[tuple[str, str]]:
    cost = one.cost
    named = (
        ("setup", cost.setup_cents), ("cycles", cost.cycle_cents), ("tie-up", cost.tie_up_cents), ("bought", cost.shortage_cents),
        ("weights", cost.weights_cents),
    )  # fmt: skip
    yield from ((name, money(cents, currency)) for name, cents in named if cents)
    yield "total", money(cost.total_cents, currency)


def _computed(one: Alternative) -> Iterator[str]:
    """Yield the loads that holding was computed for, each with how much of what is allowed it takes."""
    for found in one.findings:
        if found.rule.startswith("hold.") and found.text.startswith("held"):
            share = (
                "" if found.value is None or not found.limit else f", {100 * found.value / found.limit:.0f} % of what is allowed"
            )
            yield f"{found.text.split(';')[0]}{share}"
