"""Seams chosen, by an edited seams document or by words, and the weldment that is welded so."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Annotated, Any

import numpy as np
from pydantic import Field, RootModel

from inventory import limits
from inventory.errors import Fault, InvalidDocument, refuse
from service.documents.reading.fields import MM_PER, Document, Id, Measured, Name, UpTo
from service.documents.reading.reading import Reading
from service.documents.reading.text import LARGEST_FILE, read_text
from service.documents.seams.proposals import (
    MOST_SEAMS,
    Bead,
    SeamDocument,
    SeamsDocument,
    found_facts,
    parts_fingerprint,
    seams_document,
)
from service.documents.weldment import WeldmentDocument, examine, read_weldment, weld_document
from solver.drafting import (
    AskedBead,
    ChosenSeam,
    ProposedSeam,
    SeamWishes,
    chosen_by,
    proposed_seams,
    welds_of,
    wished,
)
from solver.drafting.touching.runs import distances_to_path
from solver.rule_book import VALUES
from solver.weldment import InFixture, Weld, WeldKind, Weldment

NEAR_ENOUGH = 2e-3
"""Numbers of a seams document that differ by less than this are the same, mm: it may have been written by something else."""
_DECIMALS = 8
"""Of lengths of new welds, in the weldment's unit."""


class BeadDocument(Document):
    """How big a bead is to be: one of the two."""

    leg: Annotated[Bead | None, Field(description="leg, of a fillet or lap")] = None
    throat: Annotated[Bead | None, Field(description="throat, of any kind")] = None

    def to_domain(self) -> AskedBead:
        """Return it as a value."""
        return AskedBead(self.leg, self.throat)


class SizesDocument(Document):
    """How big the beads on chosen seams are to be; where nothing is said, as proposed by the rule of thumb."""

    leg: Annotated[Bead | None, Field(description="of every fillet and lap")] = None
    throat: Annotated[Bead | None, Field(description="of every other kind")] = None
    by_kind: Annotated[
        dict[WeldKind, BeadDocument], Field(default_factory=dict, description="of one kind: before leg and throat")
    ]
    by_seam: Annotated[
        dict[Id, BeadDocument], UpTo(MOST_SEAMS), Field(default_factory=dict, description="of one seam, by its id: before all")
    ]


class ChoiceDocument(Measured):
    """A weldment and which of its seams are to be welded: by words, or by its seams document with `chosen` set."""

    weldment: Annotated[WeldmentDocument, Field(description="the weldment, with or without welds")]
    choose: Annotated[
        list[Annotated[str, Field(max_length=2 * limits.ID_LENGTH + 1)]] | None,
        UpTo(MOST_SEAMS, 1),
        Field(
            description="each of `all`, `outside_corners`, `square_corners`, two parts with a plus between them, a seam's id; "
            "absent: seams are proposed and nothing is welded"
        ),
    ] = None
    sizes: Annotated[SizesDocument, Field(default_factory=SizesDocument, description="sizes that you set")]
    in_fixture: Annotated[InFixture, Field(description="how much of each is welded in the fixture")] = "full"
    process: Annotated[Name, Field(description="welding process, such as 135")] = ""
    seams: Annotated[
        SeamsDocument | None, Field(description="the weldment's seams document, `chosen` and sizes set in it; instead of choose")
    ] = None


@dataclass(frozen=True, slots=True)
class FoundSeams:
    """What a body comes to, as plain values; or its faults."""

    document: dict[str, Any] | None = None
    faults: tuple[Fault, ...] = ()


class SeamsBody(RootModel[ChoiceDocument | WeldmentDocument]):
    """A weldment whose seams are asked for, or a weldment with the seams that are chosen."""


class SeamsAnswer(RootModel[SeamsDocument | WeldmentDocument]):
    """Seams proposed; or, where some were chosen, the weldment with welds on them."""


def read_seams(raw: bytes | str | dict[str, Any]) -> SeamsDocument:
    """Read a seams document, one of a file's size; raises InvalidDocument with every fault."""
    reading = Reading(raw, SeamsDocument, LARGEST_FILE)
    reading.add(limits.repeated_faults(reading.names("/seams", "id"), "seam id"))
    reading.finish()
    assert reading.document is not None
    return reading.document


def answered_seams(raw: bytes | str | dict[str, Any]) -> dict[str, Any]:
    """Return what a body comes to: seams proposed as a document, or the weldment with welds on the chosen ones.

    Raises
    ------
    InvalidDocument
        With the faults of the weldment, or else of what is chosen.
    """
    values = read_text(raw).values
    if not isinstance(values, dict) or "weldment" not in values:
        weldment = read_weldment(raw)
        return seams_document(weldment, proposed_seams(weldment))
    reading = Reading(raw, ChoiceDocument)
    examine(reading, "/weldment", VALUES["fit.overlap"].default)
    reading.add(limits.repeated_faults(reading.names("/seams/seams", "id"), "seam id"))
    if reading.at("/seams") is not None and reading.at("/choose") is not None:
        reading.add([Fault("/seams", "seams are chosen twice: by choose and by a seams document", "one of the two")])
    reading.finish()
    asked = reading.document
    assert asked is not None
    weldment = asked.weldment.to_domain()
    proposed = proposed_seams(weldment)
    if asked.seams is not None:
        chosen = chosen_in(asked.seams, weldment, proposed, "/seams")
    elif asked.choose is not None:
        chosen = wished(chosen_by(proposed, asked.choose), wishes_of(asked))
    else:
        return seams_document(weldment, proposed)
    return welded(values["weldment"], weldment, chosen)


def faults_or_seams(raw: bytes) -> FoundSeams:
    """Return what a body comes to or every fault of it, for whoever asks from another process."""
    try:
        return FoundSeams(answered_seams(raw))
    except InvalidDocument as refusal:
        return FoundSeams(faults=refusal.faults)


def wishes_of(asked: ChoiceDocument) -> SeamWishes:
    """Return what a body says of the welds on its chosen seams."""
    sizes = asked.sizes
    by_kind = {kind: size.to_domain() for kind, size in sizes.by_kind.items()}
    by_seam = {id: size.to_domain() for id, size in sizes.by_seam.items()}
    return SeamWishes(sizes.leg, sizes.throat, by_kind, by_seam, asked.in_fixture, asked.process)


def chosen_in(
    document: SeamsDocument, weldment: Weldment, proposed: Sequence[ProposedSeam], at: str = ""
) -> tuple[ChosenSeam, ...]:
    """Return the seams that a seams document chooses, held against the weldment it is to be chosen for.

    Parameters
    ----------
    at : str
        Pointer to the document, for its faults.

    Raises
    ------
    InvalidDocument
        It was made for other parts, names seams there are not, changes what is found of one, or chooses none.
    """
    mark = parts_fingerprint(weldment)
    if document.parts_fingerprint != mark:
        wrong = f"made for other parts ({document.parts_fingerprint}) than the weldment has now ({mark})"
        accepted = "the seams document of this weldment as it is now: ask for its seams again and choose anew"
        raise InvalidDocument([Fault(f"{at}/parts_fingerprint", wrong, accepted)])
    by_id = {each.id: each for each in proposed}
    faults: list[Fault] = []
    chosen: list[ChosenSeam] = []
    for number, entry in enumerate(document.seams):
        pointer, found = f"{at}/seams/{number}", by_id.get(entry.id)
        if found is None:
            wrong = f"there is no seam {limits.shown(entry.id)}"
            faults.append(Fault(f"{pointer}/id", wrong, limits.suggestion(entry.id, by_id, "a seam of the weldment")))
            continue
        faults += _changed_facts(pointer, entry, found)
        if entry.chosen:
            chosen.append(_chosen(pointer, entry, found))
    if not faults and not chosen:
        faults.append(Fault(f"{at}/seams", "no seam is chosen", '"chosen": true on each seam that is to be welded'))
    refuse(faults)
    return tuple(chosen)


def _chosen(pointer: str, entry: SeamDocument, found: ProposedSeam) -> ChosenSeam:
    sized = entry.leg is not None or entry.throat is not None
    leg, throat = (entry.leg, entry.throat) if sized else (found.seam.leg, found.seam.throat)
    return ChosenSeam(found, entry.kind or found.seam.kind, leg, throat, entry.in_fixture, entry.process, pointer)


def _changed_facts(pointer: str, entry: SeamDocument, found: ProposedSeam) -> Iterator[Fault]:
    for name, value in found_facts(found).items():
        given = getattr(entry, name)
        alike = _same_path if name == "path" else _same
        if given is not None and not alike(given, value):
            accepted = "the seam as it was found; kind, leg, throat, chosen, in_fixture and process are yours to set"
            yield Fault(f"{pointer}/{name}", f"is not what was found of {found.id}", accepted)


def _same_path(given: Sequence[Sequence[float]], found: Sequence[Sequence[float]]) -> bool:
    """Return whether two paths are one line, wherever a closed one starts."""
    one, two = np.array(given, dtype=float), np.array(found, dtype=float)
    if one.shape != two.shape or (np.diff(one, axis=0) == 0).all(axis=1).any():
        return False
    return all(float(distances_to_path(a, b).max()) < NEAR_ENOUGH for a, b in ((one, two), (two, one)))


def _same(given: Any, found: Any) -> bool:
    if isinstance(found, list):
        return isinstance(given, list) and len(given) == len(found) and all(map(_same, given, found))
    if isinstance(found, float | int) and not isinstance(found, bool):
        return isinstance(given, float | int) and abs(given - found) < NEAR_ENOUGH
    return bool(given == found)


def welded(document: dict[str, Any], weldment: Weldment, chosen: Sequence[ChosenSeam]) -> dict[str, Any]:
    """Return a weldment document with welds on chosen seams behind those it has; all else in it stays as it is written.

    Parameters
    ----------
    document : dict
        The weldment document as it was given, in its own units.
    weldment : Weldment
        The same, read.

    Raises
    ------
    InvalidDocument
        A size that its kind of weld does not have, where it was said; more welds than a weldment may have.
    """
    new = welds_of(chosen, [weld.id for weld in weldment.welds])
    mm = MM_PER[weldment.units]
    there = list(document.get("welds", ()))
    found = {**document, "welds": [*there, *(_in_units(weld, mm) for weld in new)]}
    read_weldment(found)
    return found


def _in_units(weld: Weld, mm: float) -> dict[str, Any]:
    """Return a weld as the document keeps it, what it does not say left out."""
    written = {name: value for name, value in weld_document(weld).items() if value not in (None, "")}
    if mm == 1.0:
        return written
    sizes = {name: round(written[name] / mm, _DECIMALS) for name in ("leg", "throat") if name in written}
    return written | sizes | {"path": [[round(value / mm, _DECIMALS) for value in point] for point in weld.path]}
