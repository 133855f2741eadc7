"""An item of the shop's own from a file: its solids as read, the marks put to them, and what a look at it finds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.items import Item
from inventory.limits import plain, shown
from inventory.shapes import Prism
from service.documents.item_files.marks import MarksDocument
from service.documents.items import FIGURES, read_item
from service.documents.prisms import prism_document
from service.exchange.items.item_check import ItemFinding, item_findings, mass_of
from service.exchange.items.item_place import ItemPlace, cut_at_table
from service.exchange.items.marked_pads import marked_pad
from service.exchange.items.named_solids import NamedSolids
from service.exchange.weldments.weldment_reading import ALL, ReadBody, ReadingOptions, WeldmentReading
from solver.weldment import Part

OPTIONS = ReadingOptions(as_bodies=(ALL,))
"""How a file of hardware is read: what is no prism takes up room as its convex outer body."""
SAME_MM = 0.01
"""A solid farther from what is drawn than this, mm, is told of."""
_FIGURES = tuple(name for name in FIGURES if name != "mass_kg")


@dataclass(frozen=True)
class ItemReading:
    """What came of a file and its marks.

    Parameters
    ----------
    document : mapping
        The item as a document.
    item : Item
        The same as a value.
    bodies : tuple of ReadBody
        The solids of the file that the item's are, in their order.
    findings : tuple of ItemFinding
        What a look at it found, with what was noticed in reading first.
    """

    document: Mapping[str, Any]
    item: Item
    bodies: tuple[ReadBody, ...]
    findings: tuple[ItemFinding, ...]

    @property
    def sound(self) -> bool:
        """Whether nothing of it is wrong."""
        return all(finding.verdict != "wrong" for finding in self.findings)


def marked_item(reading: WeldmentReading, marks: MarksDocument) -> ItemReading:
    """Return the item that a file's solids and their marks make.

    Raises
    ------
    InvalidDocument
        With every fault, pointers into the marks.
    """
    place = ItemPlace.of(marks)
    named = NamedSolids(reading)
    left_out = named.all_of(marks.left_out, "/left_out")
    moves = named.all_of(marks.moves, "/moves")
    opened = [] if marks.clamp is None else named.all_of(marks.clamp.open or [], "/clamp/open")
    named.refuse()
    apart = {body.number for body in (*left_out, *opened)}
    bodies = [body for body in reading.bodies if body.number not in apart]
    _refuse_unfit(bodies, moves)
    shifting = {body.number for body in moves}
    solids = [(body, _solid(named.part(body), marks, place)) for body in bodies]
    document: dict[str, Any] = {
        "format": "holdwright.item/1", "id": marks.id, "kind": marks.kind, "name": marks.name or marks.id,
        "pegs": marks.pegs, "turns": marks.turns,
        "solids": [{**prism_document(prism), "moves": body.number in shifting} for body, prism in solids],
        "contacts": _pads(marks, named, shifting, place),
        "carries": None if marks.carries is None else marks.carries.model_dump(),
        "beam": None if marks.beam is None else marks.beam.model_dump(mode="json", exclude_none=True),
        "peg_fit": None if marks.peg_fit is None else marks.peg_fit.model_dump(mode="json"),
        "mass_kg": marks.mass_kg if marks.mass_kg is not None else 1.0,
    }  # fmt: skip
    document |= {name: getattr(marks, name) for name in _FIGURES}
    document["slide"] = _slide(marks, place)
    document["clamp"] = _clamp(marks, [_solid(named.part(body), marks, place) for body in opened], document["contacts"], place)
    document = {name: value for name, value in document.items() if value is not None}
    item = _item(document)
    if marks.mass_kg is None:
        document["mass_kg"] = round(mass_of(item, marks.material), 3)
        item = _item(document)
    findings = (*_noticed(bodies), *item_findings(item, marks.material, marks.pitch))
    return ItemReading(document, item, tuple(bodies), findings)


def _refuse_unfit(bodies: Sequence[ReadBody], moves: Sequence[ReadBody]) -> None:
    if not bodies:
        raise InvalidDocument([Fault("/left_out", "no solid is left", "at least one solid that is the piece")])
    refuse(
        Fault("/moves", f"solid {shown(body.name)} moves and is left out", "one of the two")
        for body in moves
        if all(body is not other for other in bodies)
    )


def _solid(part: Part, marks: MarksDocument, place: ItemPlace) -> Prism:
    prism = place.solid(part)
    return cut_at_table(prism) if marks.cut_below else prism


def _pads(marks: MarksDocument, named: NamedSolids, shifting: set[int], place: ItemPlace) -> list[dict[str, Any]]:
    pads, faults = [], []
    for number, pad in enumerate(marks.pads):
        body = None if pad.solid is None else named.one_of(pad.solid, f"/pads/{number}/solid")
        if pad.solid is not None and body is None:
            continue
        try:
            part = None if body is None else named.part(body)
            made = marked_pad(pad, part, body is not None and body.number in shifting, place)
        except InvalidDocument as bad:
            faults += [fault.under(f"/pads/{number}") for fault in bad.faults]
            continue
        pads.append(
            {"at": list(made.at), "normal": list(made.normal), "width": made.width, "height": made.height, "moves": made.moves}
        )  # fmt: skip
    named.refuse()
    refuse(faults)
    return pads


def _slide(marks: MarksDocument, place: ItemPlace) -> dict[str, Any] | None:
    if marks.slide is None:
        return None
    axis = list(place.direction(marks.slide.axis))
    return {"axis": axis[:2] if axis[2] == 0 else axis, "range": marks.slide.range, "step": marks.slide.step}


def _clamp(
    marks: MarksDocument, opened: Sequence[Prism], pads: Sequence[Mapping[str, Any]], place: ItemPlace
) -> dict[str, Any] | None:
    if marks.clamp is None:
        return None
    if marks.clamp.direction is None and not pads:
        raise InvalidDocument(
            [Fault("/clamp/direction", "is missing, and there is no pad to push along", "a direction or a pad")]
        )
    pushes = pads[0]["normal"] if marks.clamp.direction is None else list(place.direction(marks.clamp.direction))
    return {
        "force_n": marks.clamp.force_n, "direction": pushes, "reach": [list(place.point(end)) for end in marks.clamp.reach],
        "close_s": marks.clamp.close_s, "open_s": marks.clamp.open_s,
        "open_solids": [prism_document(prism) for prism in opened] or None,
    }  # fmt: skip


def _item(document: Mapping[str, Any]) -> Item:
    """Return the item of a document; raises InvalidDocument with pointers as the marks have them."""
    try:
        return read_item(dict(document))
    except InvalidDocument as bad:
        raise InvalidDocument([_as_marked(fault) for fault in bad.faults]) from None


def _as_marked(fault: Fault) -> Fault:
    """Return a fault of an item as one of its marks."""
    pointer, wrong, accepted = fault.pointer, fault.wrong, fault.accepted
    if pointer.startswith(("/solids", "/clamp/open_solids")) and "below the mounting plane" in wrong:
        accepted = "origin on the mounting plane, what is below it left_out, or cut_below"
    return Fault(pointer.replace("/contacts", "/pads").replace("/open_solids", "/open"), wrong, accepted)


def _noticed(bodies: Sequence[ReadBody]) -> Iterator[ItemFinding]:
    """Yield what reading the solids found: outer bodies, and solids that are off what is drawn."""
    for number, body in enumerate(bodies, 1):
        subject = f"solid {number}"
        if body.outcome == "body":
            why = "; ".join(remark.text for remark in body.remarks[:2])
            text = f"{shown(body.name)} is no prism and is drawn as its convex outer body" + (f": {why}" if why else "")
            yield ItemFinding("solid.outer_body", subject, text, "told")
        elif body.deviation is not None and body.deviation.largest_mm > SAME_MM:
            off = body.deviation.largest_mm
            text = f"{shown(body.name)} is up to {plain(round(off, 3))} mm off what is drawn"
            yield ItemFinding("solid.deviation", subject, text, "told", off, SAME_MM)


def started_marks(reading: WeldmentReading, id: str) -> dict[str, Any]:
    """Return marks to be filled in for a file: every solid named, the numbers of a plain stop."""
    names = [body.name for body in reading.bodies]
    return {
        "format": "holdwright.marks/1", "id": id, "kind": "stop", "name": reading.name or id,
        "origin": [0, 0, 0], "up": [0, 0, 1], "along": [1, 0, 0], "pegs": [[0, 0]], "turns": [0, 90, 180, 270],
        "left_out": [], "moves": [], "pads": [{"solid": name, "normal": [0, 1, 0]} for name in names],
        "repeatability_mm": 0.05, "stiffness_n_per_mm": 20000, "place_s": 30, "set_s": 0, "day_rate_cents": 0, "price_cents": 0,
        "lead_days": 0,
    }  # fmt: skip
