"""Thickness as texts and layers' names have it: ``t=8``, ``8 mm``, ``PL8``, ``PLATE 8MM``, ``T8``.

The grammar, capitals and small letters alike; in layers' names ``_`` and ``-`` are blanks:

    thickness = word [=|:] number [unit]      anywhere in a line, not inside another word
              | number unit                   if the line has nothing else
    word      = t | th | thk | thick | thickness | pl | plate
    number    = digits [. or , digits] | digits / digits, of inches only
    unit      = mm | in | inch | "

A number without a unit is in mm, in drawings of inches and feet in inches.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from inventory.limits import SIZE
from service.exchange.weldments.weldment_reading import MM_OF, DrawnUnit

_NUMBER = r"(?P<number>\d{1,3}/\d{1,3}|\d{1,5}(?:[.,]\d{1,6})?)"
_UNIT = r"\s*(?P<unit>mm|inch|in|\")"
_WORDED = re.compile(
    rf"(?<![a-z0-9])(?:thickness|thick|thk|th|t|plate|pl)\s*[=:]?\s*{_NUMBER}(?:{_UNIT})?(?![a-z0-9.,/]*[a-z0-9])", re.I
)
_BARE = re.compile(rf"\s*{_NUMBER}{_UNIT}\s*", re.I)


def thicknesses(text: str, units: DrawnUnit) -> list[float]:
    """Return the thicknesses a text speaks of, mm, each once, in its order."""
    found = (_mm(match, units) for line in text.splitlines() for match in _matches(line))
    return list(dict.fromkeys(value for value in found if value is not None and SIZE.low <= value <= SIZE.high))


def layer_thickness(layer: str, units: DrawnUnit) -> float | None:
    """Return the thickness that a layer's name speaks of, mm; None if it speaks of none, or of several."""
    found = thicknesses(re.sub("[_-]", " ", layer), units)
    return found[0] if len(found) == 1 else None


def only_thickness(line: str) -> bool:
    """Whether a line says a thickness and nothing else, so that it is no name."""
    return _BARE.fullmatch(line) is not None or _WORDED.fullmatch(line.strip()) is not None


def _matches(line: str) -> Iterator[re.Match[str]]:
    whole = _BARE.fullmatch(line)
    if whole:
        yield whole
    else:
        yield from _WORDED.finditer(line)


def _mm(match: re.Match[str], units: DrawnUnit) -> float | None:
    unit = (match["unit"] or "").lower()
    inches = unit in ("in", "inch", '"') or (not unit and units in ("inch", "foot"))
    whole, _, parts = match["number"].replace(",", ".").partition("/")
    if parts:
        return float(whole) / float(parts) * MM_OF["inch"] if inches and float(parts) else None
    return float(whole) * (MM_OF["inch"] if inches else 1.0)
