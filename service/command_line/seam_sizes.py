"""Sizes of welds as a command line says them: of all, of a kind, of a seam; legs and throats by their letters."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import BEAD, shown, suggestion
from service.documents.reading.fields import MM_PER
from service.weldments.lengths import read_length
from solver.drafting import AskedBead, ProposedSeam
from solver.weldment import LEGGED, WELD_KINDS, LengthUnit, WeldKind


class TypedSizes(NamedTuple):
    """Sizes as values, mm: of every leg, of every throat, by kind, by seam."""

    leg: float | None
    throat: float | None
    by_kind: dict[WeldKind, AskedBead]
    by_seam: dict[str, AskedBead]


def typed_sizes(
    leg: str | None, throat: str | None, words: Sequence[str], proposed: Sequence[ProposedSeam], units: LengthUnit
) -> TypedSizes:
    """Return the sizes that options say.

    Parameters
    ----------
    leg, throat : str or None
        Lengths as typed, in the weldment's unit unless another stands behind them.
    words : sequence of str
        ``WHICH=SIZE``: a kind of weld or the id of a seam, and a length with ``z`` before it for a leg, ``a`` for a throat (the
        letters of ISO 2553); without a letter it is the leg of what has one, else the throat.

    Raises
    ------
    InvalidDocument
        With every word that cannot be read, at ``/leg``, ``/throat`` or ``/size``.
    """
    faults: list[Fault] = []
    found = TypedSizes(_if_read(leg, units, "/leg", faults), _if_read(throat, units, "/throat", faults), {}, {})
    kinds = {each.id: each.seam.kind for each in proposed}
    for word in words:
        name, _, text = word.partition("=")
        kind = next((each for each in WELD_KINDS if each == name), None)
        if kind is None and name not in kinds:
            accepted = suggestion(name, (*WELD_KINDS, *kinds), "WHICH=SIZE, such as butt=3 or s3=z5: a kind of weld or a seam")
            faults.append(Fault("/size", f"{shown(name)} is neither a kind of weld nor a seam", accepted))
            continue
        letter = text[:1].lower() if text[:1].lower() in ("a", "z") else ""
        mm = _if_read(text[len(letter) :], units, "/size", faults)
        leg_meant = letter == "z" or (not letter and (kind or kinds[name]) in LEGGED)
        size = AskedBead(mm, None) if leg_meant else AskedBead(None, mm)
        if kind is not None:
            found.by_kind[kind] = size
        else:
            found.by_seam[name] = size
    refuse(faults)
    return found


def _if_read(text: str | None, units: LengthUnit, pointer: str, faults: list[Fault]) -> float | None:
    """Return a length as typed, mm; None if there is none, or if it is at fault."""
    if text is None:
        return None
    try:
        mm = read_length(text, units, pointer) * MM_PER[units]
    except InvalidDocument as bad:
        faults += bad.faults
        return None
    faults += BEAD.faults(pointer, mm)
    return mm
