"""Lengths and other numbers as people type them: 12,5 and 12.5, fractions of an inch, with or without the unit."""

from __future__ import annotations

import re
from fractions import Fraction

from inventory.errors import Fault, InvalidDocument
from inventory.limits import plain, shown
from service.documents.reading.fields import MM_PER

MOST_CHARACTERS = 40
_UNITS = {"": None, "mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "inch": 25.4, "inches": 25.4, '"': 25.4, "″": 25.4}
_NUMBER = re.compile(r"([+-]?\d*(?:[.,]\d*)?(?:[eE][+-]?\d+)?)")
_FRACTION = re.compile(r"([+-]?)(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*/\s*(\d+)")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d+)?")
_WITH_UNIT = re.compile(r"(.*?)\s*(mm|cm|m|in|inch|inches|\"|″)?\.?", re.IGNORECASE | re.DOTALL)
_DECIMALS = {"mm": 6, "inch": 8}
ACCEPTED = {"mm": "a length in mm, such as 12.5 or 12,5", "inch": "a length in inches, such as 1.5 or 1 1/2"}


def read_length(text: str, units: str, pointer: str = "") -> float:
    """Return a length as typed, in the draft's units.

    Parameters
    ----------
    text : str
        A number with a point or a comma, or a fraction; another unit may stand behind it and is converted.
    units : str
        ``mm`` or ``inch``.
    pointer : str
        Where its fault is to stand.

    Raises
    ------
    InvalidDocument
        It is no length, or could be read in two ways.
    """
    accepted = ACCEPTED.get(units, ACCEPTED["mm"])
    matched = _WITH_UNIT.fullmatch(text.strip())
    if matched is None or len(text) > MOST_CHARACTERS:
        raise InvalidDocument([Fault(pointer, f"{shown(text)} is no length", accepted)])
    value = read_number(matched[1], pointer, accepted)
    given = _UNITS[(matched[2] or "").lower()]
    return value if given is None else plain_number(value * given / MM_PER.get(units, 1.0), units)


def read_number(text: str, pointer: str = "", accepted: str = "a number, such as 12.5 or 12,5") -> float:
    """Return a number as typed; raises InvalidDocument."""
    text = text.strip()
    if _THOUSANDS.fullmatch(text):
        whole, part = text.replace(",", ""), text.replace(",", ".", 1)
        two = (
            f"{shown(text)} may mean {whole} or {part}"
            if text.count(",") == 1 and "." not in text
            else f"{shown(text)} has commas"
        )
        raise InvalidDocument([Fault(pointer, two, accepted + ", without commas between thousands")])
    fraction = _FRACTION.fullmatch(text)
    if fraction and int(fraction[4]):
        exact = int(fraction[2] or 0) + Fraction(int(fraction[3]), int(fraction[4]))
        return _whole(float(-exact if fraction[1] == "-" else exact))
    if len(text) > MOST_CHARACTERS or not any(c.isdigit() for c in text) or not _NUMBER.fullmatch(text):
        said = "nothing is typed" if not text else f"{shown(text)} is no number"
        raise InvalidDocument([Fault(pointer, said, accepted)])
    value = float(text.replace(",", "."))
    if abs(value) > 1e12:
        raise InvalidDocument([Fault(pointer, f"{shown(text)} is out of range", accepted)])
    return _whole(value)


def plain_number(value: float, units: str) -> float:
    """Return a computed length, in the draft's units, without what rounding left behind the last decimal that counts."""
    return _whole(round(value, _DECIMALS.get(units, 6)))


def typed(value: object) -> str:
    """Return a number as it is shown in a field; what is no number, as short text."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return "" if value is None else shown(value).strip("'")
    return plain(value) if abs(value) < 1e60 else shown(value)


def _whole(value: float) -> float:
    return int(value) if value.is_integer() else value
