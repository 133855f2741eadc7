"""What was picked in a drawing or a list - a piece, a part, a weld, a hole - and what is known of it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field

import numpy as np

from inventory.store.errors import NotFound
from inventory.tables import Table, hole_label, parse_hole
from service.drawings.place_lines import PlaceLine
from service.drawings.setup_sheet.operation import weld_lines
from service.drawings.subject import Subject
from service.page.comparing.picking.finding_rows import FindingRow, about, finding_rows
from service.page.comparing.picking.loads import Load, loads
from service.steps import way_words
from service.text import length
from solver.first_article.face_words import face_words
from solver.plans import Placement
from solver.weldment import Part

Fact = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Picked:
    """One thing that was picked; `about` is how drawings name it, such as ``piece:p3``."""

    about: str
    title: str
    facts: tuple[Fact, ...]
    contacts: tuple[tuple[str, str], ...] = ()
    """Each face a piece is at, with its role there."""
    loads: tuple[Load, ...] = ()
    findings: tuple[FindingRow, ...] = ()
    way: str = ""
    """The load step that brings a part in, by its number."""
    item: str = ""
    """A piece's item."""
    related: tuple[tuple[str, str], ...] = field(default=())
    """What else may be picked from here: how drawings name it, and a word for it."""

    @property
    def sort(self) -> str:
        """``piece``, ``part``, ``weld`` or ``hole``."""
        return self.about.partition(":")[0]

    @property
    def id(self) -> str:
        """Its id, or a hole's label."""
        return self.about.partition(":")[2]


def picked(subject: Subject, wanted: str, places: Mapping[str, PlaceLine]) -> Picked:
    """Return what is known of what was picked; raises NotFound if the alternative has nothing of that name."""
    sort, _, id = wanted.partition(":")
    shown = _SHOWN.get(sort)
    found = None if shown is None else shown(subject, id, places)
    if found is None:
        raise NotFound("piece, part, weld or hole", repr(wanted)[:100])
    return found


def _piece(subject: Subject, id: str, places: Mapping[str, PlaceLine]) -> Picked | None:
    one, line = subject.alternative, places.get(id)
    placement = next((each for each in one.placements if each.id == id), None)
    if placement is None or line is None:
        return None
    units = subject.request.weldment.units
    facts: list[Fact] = [("does", line.does or "nothing by itself"), ("stands in" if placement.hole else "stands", line.where)]
    facts.append(("turned", f"{line.turn}°"))
    if placement.setting_mm is not None:
        facts.append(("set to", length(placement.setting_mm, units)))
    facts.append(("from bin", line.bin or "no bin is known"))
    if placement.why:
        facts.append(("why here", placement.why))
    related = [("piece:" + placement.stands_on, f"{placement.stands_on}, which it stands on")] if placement.stands_on else []
    related += [(f"piece:{each.id}", f"{each.id}, which stands on it") for each in one.placements if each.stands_on == id]
    related += [(f"part:{part}", f"part {part}") for part in dict.fromkeys(contact.part for contact in placement.contacts)]
    return Picked(
        f"piece:{id}", f"{line.number}: {id}, {line.name or line.item}", tuple(facts), tuple(_contacts(subject, placement)),
        tuple(loads(one, placement, subject.stock)), tuple(_findings(subject, id)), item=placement.item, related=tuple(related),
    )  # fmt: skip


def _contacts(subject: Subject, placement: Placement) -> Iterator[tuple[str, str]]:
    parts = {part.id: part for part in subject.request.weldment.parts}
    seen = set()
    for contact in placement.contacts:
        part = parts.get(contact.part)
        outward = -np.array(contact.normal, dtype=float)
        face = f"{contact.face} of {contact.part}" if part is None else face_words(part, contact.face, outward)
        roles = ", ".join(role for at, role in placement.locates if at == contact.part)
        row = (face, roles or ("clamps" if subject.stock.items[placement.item].clamp is not None else "touches"))
        if row not in seen:
            seen.add(row)
            yield row


def _part(subject: Subject, id: str, places: Mapping[str, PlaceLine]) -> Picked | None:
    """A part; where the table carries several fixtures, one is called ``post / 2``."""
    name, _, station = id.partition(" / ")
    part = next((each for each in subject.request.weldment.parts if each.id == name), None)
    one, units = subject.alternative, subject.request.weldment.units
    placed = next((each for each in one.parts if each.id == name and str(each.station or "") == station), None)
    if part is None or placed is None:
        return None
    facts: list[Fact] = [("is", _described(part, subject)), ("rests on", ", ".join(placed.rests_on) or "nothing")]
    step = next((k for k, each in enumerate(one.load, 1) if each.part == name and str(each.station or "") == station), None)
    if step is not None:
        load = one.load[step - 1]
        facts.append(("goes in", f"as number {step} of {len(one.load)}: {way_words(load.moves, units) or 'no way is told'}"))
        if load.mass_kg is not None:
            facts.append(("weighs", f"{load.mass_kg:.1f} kg" + (", heavy: lift it with help" if load.heavy else "")))
        if load.hold_by_hand:
            facts.append(("unstable", f"hold by hand {load.hold_by_hand}"))
        if load.then_close:
            facts.append(("then shut", ", ".join(load.then_close)))
    touching = [each for each in one.placements if any(contact.part == name for contact in each.contacts)]
    here = [each for each in touching if str(each.station or "") == station]
    related = tuple((f"piece:{each.id}", f"{each.id}, {places[each.id].name}") for each in here)
    way = "" if step is None else str(step)
    return Picked(f"part:{id}", f"part {id}", tuple(facts), findings=tuple(_findings(subject, name)), way=way, related=related)


def _described(part: Part, subject: Subject) -> str:
    if part.body:
        return f"outer body of {part.material}: takes up room, set and held by hand"
    shape, long = part.section.shape.replace("_", " "), length(part.length, subject.request.weldment.units)
    return f"{part.material} {shape}, {long} {'thick' if shape == 'plate' else 'long'}"


def _weld(subject: Subject, id: str, _places: Mapping[str, PlaceLine]) -> Picked | None:
    line = next((each for each in weld_lines(subject) if each.weld == id), None)
    weld = next((each for each in subject.request.weldment.welds if each.id == id), None)
    if line is None or weld is None:
        return None
    facts = [("joins", line.joins), ("is", line.what), ("in the fixture", line.tack), ("then", line.then)]
    facts.append(("torch", line.torch or "no direction is told: nothing of it is made in the fixture"))
    related = tuple((f"part:{part}", f"part {part}") for part in weld.parts)
    return Picked(f"weld:{id}", f"weld {id}", tuple(facts), findings=tuple(_findings(subject, id)), related=related)


def _hole(subject: Subject, id: str, _places: Mapping[str, PlaceLine]) -> Picked | None:
    table = subject.stock.tables[subject.alternative.table]
    if not has_hole(table, id):
        return None
    hole = parse_hole(id)
    standing = [each for each in subject.alternative.placements if each.hole == id]
    left_out = {(None, hole), (table.id, hole)} & subject.request.without.holes
    blocked = hole in table.blocked_holes or left_out
    said = "blocked: nothing may stand in it" if blocked else "free: no piece's origin stands in it"
    facts = (("table", table.id), ("is", f"taken by {', '.join(each.id for each in standing)}" if standing else said))
    related = tuple((f"piece:{each.id}", f"{each.id}, which stands in it") for each in standing)
    return Picked(f"hole:{id}", f"hole {id}", facts, related=related)


def has_hole(table: Table, label: str) -> bool:
    """Whether a table has a hole of this label, blocked or not."""
    try:
        hole = parse_hole(label)
    except ValueError:
        return False
    return table.has(hole) and hole_label(hole) == label


def _findings(subject: Subject, id: str) -> list[FindingRow]:
    return about(finding_rows(subject.alternative.findings, subject.request.weldment.units, subject.currency), id)


_SHOWN: Mapping[str, Callable[[Subject, str, Mapping[str, PlaceLine]], Picked | None]] = {
    "piece": _piece,
    "part": _part,
    "weld": _weld,
    "hole": _hole,
}
