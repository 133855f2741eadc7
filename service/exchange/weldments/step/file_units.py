"""What a STEP file's lengths are in, and what becomes of that if the user says otherwise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from inventory.errors import Fault, InvalidDocument
from service.exchange.weldments.weldment_reading import MM_OF, DrawnUnit, Remark

_WORDS: Mapping[str, DrawnUnit] = {
    "millimetre": "mm",
    "millimeter": "mm",
    "mm": "mm",
    "centimetre": "cm",
    "centimeter": "cm",
    "metre": "m",
    "meter": "m",
    "inch": "inch",
    "in": "inch",
    "foot": "foot",
    "feet": "foot",
}


def told_units(words: Sequence[str], wanted: DrawnUnit | None) -> tuple[DrawnUnit, float, tuple[Remark, ...]]:
    """Return what a file's lengths are in, by what its lengths in mm have to be multiplied, and what is to be known of it.

    Parameters
    ----------
    words : sequence of str
        The units that the file names, in its own words.
    wanted : DrawnUnit or None
        What the user says instead.

    Raises
    ------
    InvalidDocument
        If the user names one unit for a file that has several.
    """
    named = list(dict.fromkeys(word.strip().lower().strip("'") for word in words if word.strip()))
    known = [_WORDS[word] for word in named if word in _WORDS]
    own: DrawnUnit = known[0] if known else "mm"
    remarks = []
    if len(named) > 1:
        text = f"lengths in several units, each turned to mm by its own: {', '.join(named)}"
        remarks.append(Remark("units.several", text))
        if wanted is not None:
            accepted = "no unit asked for, since the file names its own"
            raise InvalidDocument([Fault("/units", f"{wanted} for a file in {', '.join(named)}", accepted)])
    elif not named:
        remarks.append(Remark("units.none", "the file names no unit of length; taken as mm"))
    elif not known:
        remarks.append(Remark("units.other", f"lengths in {named[0]}, turned to mm"))
    if wanted is None or wanted == own:
        return own, 1.0, tuple(remarks)
    remarks.append(Remark("units.overruled", f"the file says {own}; read as {wanted}, as asked"))
    return wanted, MM_OF[wanted] / MM_OF[own], tuple(remarks)
