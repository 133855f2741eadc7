"""The drawings on the screen of a draft."""

from __future__ import annotations

from collections.abc import Iterable

from service.drawings.paper.svg import as_inline_svg
from service.drawings.weldment.flat_views import flat_view
from service.drawings.weldment.shown_weldment import ShownSeam, ShownWeldment
from service.page.weldments.chosen import Chosen, DraftFault
from service.weldments.drafted_weldment import DraftedWeldment
from solver.drafting import Seam
from solver.weldment import LengthUnit

VIEWS = (
    ("above", "From above", (100.0, 64.0)),
    ("front", "From the front", (60.0, 46.0)),
    ("right", "From the right", (60.0, 46.0)),
)
"""Each view: its name, its caption and the paper it may take, mm."""


def shown_weldment(
    drafted: DraftedWeldment, seams: Iterable[tuple[int, Seam]], chosen: Chosen, faults: Iterable[DraftFault], units: LengthUnit
) -> ShownWeldment:
    """Return what there is to see of a draft as far as it is sound."""
    return ShownWeldment(
        drafted.name,
        units,
        tuple((number, part) for number, part in enumerate(drafted.parts) if part is not None),
        tuple((number, weld) for number, weld in enumerate(drafted.welds) if weld is not None),
        tuple(ShownSeam(number, seam.path, seam.place) for number, seam in seams),
        str(chosen),
        frozenset(str(fault.about) for fault in faults if fault.about is not None),
    )


def drawings(shown: ShownWeldment) -> list[tuple[str, str, str]]:
    """Return each view as name, caption and element of the page."""
    return [(name, caption, as_inline_svg(flat_view(shown, name, room), f"view-{name}")) for name, caption, room in VIEWS]
