"""The screen of one draft: its lists, its drawings, the forms of what is picked, what is to be mended."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from service.page.forms import Form
from service.page.frame import Frame, page
from service.page.weldments.chosen import Chosen, placed_fault
from service.page.weldments.drawn import drawings, shown_weldment
from service.page.weldments.entries import listed_weldment
from service.page.weldments.panels import Sent, panels, size_names
from service.records.draft import Draft
from service.text import length
from service.weldments.drafted_weldment import DraftedWeldment, drafted_weldment
from service.weldments.welds import proposed

_NO_PARTS = "0 parts"


def workplace(
    request: Request,
    draft: Draft,
    chosen: Chosen,
    *,
    sent: Sent | None = None,
    said: str = "",
    conflict: str = "",
    status: int = 200,
    headers: Mapping[str, str] | None = None,
) -> Response:
    """Return the screen of a draft, or only what changes of it where the page's script asks.

    Parameters
    ----------
    sent : Sent, optional
        The form that was sent, where its fields are to keep what was typed.
    said : str
        What was just done, for those who do not see it.
    conflict : str
        Why it was not done: others changed the draft meanwhile.
    """
    drafted = drafted_weldment(draft.document)
    units = Frame.of(request).units(drafted.units)
    # An empty draft is no faulty one: there is a form for the first part.
    faults = [
        placed_fault(fault, drafted)
        for fault in drafted.faults
        if not (fault.wrong == _NO_PARTS and not drafted.given.get("parts"))
    ]
    seams = proposed(drafted)
    if chosen.kind != "new" and not _there(chosen, drafted.entries(chosen.list) if chosen.list else None, dict(seams)):
        chosen = Chosen()
    made = panels(drafted, chosen, sent, faults)
    values: dict[str, Any] = {
        "draft": draft,
        "drafted": drafted,
        "chosen": chosen,
        "seam": dict(seams).get(chosen.number) if chosen.kind == "seam" else None,
        "faults": faults,
        "lists": listed_weldment(drafted, seams, faults, lambda mm: length(mm, units)),
        "drawings": drawings(shown_weldment(drafted, seams, chosen, faults, units)),
        "panels": made,
        "size_names": size_names,
        "refused": sent.form.faults if sent is not None and sent.refused else [],
        "refused_by": sent.do if sent is not None and sent.refused else "",
        "said": said,
        "conflict": conflict,
        "storing": Frame.of(request).store,
        "ready": bool(drafted.parts) and not faults,
        "picked": _picked(drafted, chosen),
        "unit": "in" if drafted.units == "inch" else "mm",
        "empty": Form({}),
    }
    return page(request, "weldments/describe.html", block="work", status=status, headers=headers, **values)


def _there(chosen: Chosen, entries: list[dict[str, Any]] | None, seams: Mapping[int, object]) -> bool:
    return chosen.number in seams if entries is None else chosen.number < len(entries)


def _picked(drafted: DraftedWeldment, chosen: Chosen) -> str:
    """Return what is picked as the view in space names it: by its own id."""
    sound = {"part": drafted.parts, "weld": drafted.welds}.get(chosen.kind, ())
    here = sound[chosen.number] if chosen.number < len(sound) else None
    return "" if here is None else f"{chosen.kind}:{here.id}"


def address_of(draft: str, chosen: Chosen) -> str:
    """Return the address of a draft's screen with something picked."""
    return f"/weldments/{draft}?chosen={chosen}"
