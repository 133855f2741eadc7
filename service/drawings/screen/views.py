"""The large drawings of one alternative on a screen, at once without labels, or with all of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Literal, get_args

from service.drawings.paper.marks import Picture
from service.drawings.paper.svg import as_inline_svg
from service.drawings.scene import scene
from service.drawings.screen.overlays import overlays
from service.drawings.sheets.sheet_order import SheetOrder
from service.drawings.subject import Subject
from service.drawings.views.elevation import elevation
from service.drawings.views.top_view import plain_top_view, top_views
from solver.weldment import LengthUnit

ScreenView = Literal["top", "side"]
SCREEN_VIEWS: tuple[ScreenView, ...] = get_args(ScreenView)
_ROOM: dict[ScreenView, tuple[float, float]] = {"top": (277.0, 230.0), "side": (277.0, 115.0)}


@dataclass(frozen=True, slots=True)
class ViewOrder:
    """A view of an alternative that is asked for, with its labels, in a unit: `sheet` has what it is drawn from."""

    sheet: SheetOrder
    view: ScreenView
    units: LengthUnit

    @property
    def key(self) -> str:
        """What the drawing depends on."""
        return f"{self.view} {self.units} {self.sheet.key}"

    def content(self) -> bytes:
        """Draw the view with its details, as elements of a page."""
        pictures = screen_view(self.sheet.subject().shown_in(self.units), self.view, labelled=True)
        return "\n".join(inline(picture, self.view, number) for number, picture in enumerate(pictures)).encode()


def inline(picture: Picture, view: ScreenView, number: int = 0) -> str:
    """Return a picture of a view as an element of a page; `number` tells the view from its details."""
    return as_inline_svg(picture, f"view-{view}" + (f"-{number}" if number else ""))


def screen_view(subject: Subject, view: ScreenView, *, labelled: bool) -> tuple[Picture, ...]:
    """Return a view and its details; without labels, which take long to find their places, the view alone.

    Raises
    ------
    KeyError
        If the alternative names a table or an item the stock does not have.
    """
    drawn = scene(subject)
    more = partial(overlays, drawn, subject.alternative)
    if view == "side":
        return (elevation(drawn, _ROOM[view], labels=labelled, more=more),)
    if not labelled:
        return (plain_top_view(drawn, _ROOM[view], more),)
    views = top_views(drawn, _ROOM[view], more)
    return views.main, *views.details
