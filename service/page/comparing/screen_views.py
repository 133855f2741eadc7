"""The large views of one alternative: with every label if they are at hand, else at once without, and the labels follow."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from service.drawings.screen.views import ScreenView, ViewOrder, inline, screen_view
from service.drawings.sheets.sheet_order import SheetOrder, drawn_stock
from service.drawings.subject import Identity
from service.http.sheets.sheet_pool import SheetPool
from service.page.comparing.alternative_screen import AlternativeScreen
from service.planning_jobs.planning_service import PlanningService
from service.records.job import Job
from service.records.jobs import as_text
from solver.weldment import LengthUnit


@dataclass(frozen=True, slots=True)
class ShownView:
    """A view as the screen first shows it; `whole` says whether it has its labels already."""

    name: ScreenView
    title: str
    drawing: Markup
    whole: bool


_TITLES: dict[ScreenView, str] = {"top": "From above", "side": "From the side"}


def view_order(planning: PlanningService, job: Job, rank: int, view: ScreenView, units: LengthUnit) -> ViewOrder:
    """Return the order of a view with its labels; raises NotFound, StockChanged."""
    assert job.plan is not None
    document = next(one for one in job.plan["alternatives"] if one["rank"] == rank)
    stock = drawn_stock(document, planning.stock.snapshot())
    return ViewOrder(SheetOrder(as_text(document), job.request, stock, "svg", Identity(), "", "a4"), view, units)


def first_views(screen: AlternativeScreen, planning: PlanningService, sheets: SheetPool) -> list[ShownView]:
    """Return every view as far as it is there without waiting."""
    return [_first(screen, planning, sheets, view) for view in _TITLES]


def _first(screen: AlternativeScreen, planning: PlanningService, sheets: SheetPool, view: ScreenView) -> ShownView:
    order = view_order(planning, screen.planned.job, screen.one.rank, view, screen.units)
    kept = sheets.kept(order.key)
    if kept is not None:
        return ShownView(view, _TITLES[view], as_markup(kept), whole=True)
    (picture,) = screen_view(screen.subject, view, labelled=False)
    return ShownView(view, _TITLES[view], Markup(inline(picture, view)), whole=False)  # every text in it is escaped


def as_markup(drawn: bytes) -> Markup:
    """Return what a drawing process has written as a share of a page: every text in it is escaped."""
    return Markup(drawn.decode())
