"""The limits every document keeps, and the checks of plain numbers, texts and directions against them.

Checks yield faults; nothing here raises. The wire and the values share these limits, so that both refuse the same.
"""

from __future__ import annotations

import difflib
import math
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import Any

from inventory.errors import Fault


@dataclass(frozen=True, slots=True)
class Limit:
    """A range of numbers in one unit, both ends included unless `below`; `whole` numbers have no fraction."""

    low: float
    high: float
    unit: str = ""
    whole: bool = False
    below: bool = False

    @property
    def accepted(self) -> str:
        """The range in words: ``a number from 0.1 to 20000 mm``."""
        kind = "a whole number" if self.whole else "a number"
        to = "to less than" if self.below else "to"
        return f"{kind} from {plain(self.low)} {to} {plain(self.high)} {self.unit}".rstrip()

    def faults(self, pointer: str, value: Any) -> Iterator[Fault]:
        """Yield a fault if `value` is not a finite number within the range."""
        if isinstance(value, bool) or not isinstance(value, int | float):
            yield Fault(pointer, f"{shown(value)} is not a number", self.accepted)
        elif isinstance(value, int) and abs(value) >= _ENDLESS:  # no float holds it, and it is longer than any text should be
            yield Fault(pointer, f"a number of more than {_DIGITS} digits is out of range", self.accepted)
        elif not math.isfinite(value):
            yield Fault(pointer, f"{value} is not a finite number", self.accepted)
        elif self.whole and not float(value).is_integer():
            yield Fault(pointer, f"{plain(value)} is not a whole number", self.accepted)
        elif not self.low <= value <= self.high or (self.below and value == self.high):
            yield Fault(pointer, f"{plain(value)} {self.unit}".rstrip() + " is out of range", self.accepted)


_DIGITS = 60
_ENDLESS = 10**_DIGITS

COORDINATE = Limit(-20000, 20000, "mm")
SIZE = Limit(0.1, 20000, "mm")
LENGTH = Limit(0, 20000, "mm")
BEAD = Limit(0.1, 100, "mm")
TOLERANCE = Limit(0.001, 1000, "mm")
PITCH = Limit(5, 1000, "mm")
PEG = Limit(-100, 100, "lattice steps", whole=True)
TURN = Limit(0, 360, "degrees", below=True)
LATTICE = Limit(1, 1000, "holes", whole=True)
LOAD_KG = Limit(0.1, 100000, "kg")
FORCE_N = Limit(1, 100000, "N")
SECONDS = Limit(0, 3600, "s")
REPEATABILITY = Limit(0, 10, "mm")
STIFFNESS = Limit(1, 1e9, "N/mm")
MASS_KG = Limit(0, 1000, "kg")
CENTS = Limit(0, 100_000_000, "cents", whole=True)
DAYS = Limit(0, 3650, "days", whole=True)
PIECES = Limit(0, 1_000_000, "pieces", whole=True)
HELD = Limit(1, PIECES.high, "pieces", whole=True)
VERSION = Limit(0, 2**53, "", whole=True)
QUANTITY = Limit(1, 10_000_000, "pieces", whole=True)
STATIONS = Limit(1, 50, "stations", whole=True)
ALTERNATIVES = Limit(1, 50, "alternatives", whole=True)
TIME_LIMIT = Limit(0.05, 3600, "s")
WORK_LIMIT = Limit(0.001, 1e6, "units of work")
SEED = Limit(0, 2**31 - 1, "", whole=True)
RANK = Limit(1, 1000, "", whole=True)

ID_LENGTH = 64
NAME_LENGTH = 200
PARTS = 200
WELDS = 500
VERTICES = 1000
CUTOUTS = 200
CUTS = 8
ITEMS = 1000
TABLES = 100
PARTS_OF_AN_ITEM = 100
TOLERANCES = 1000
HOLES = 20000
SPACING = 0.001
"""Least distance between neighbouring vertices of an outline or points of a path, mm."""
EARLIEST_DAY, LATEST_DAY = date(2000, 1, 1), date(2199, 12, 31)
"""The calendar of the shop: a day beyond it is a slip of the pen, and days near the ends of time cannot be reckoned with."""
CALENDAR = f"{EARLIEST_DAY.isoformat()} to {LATEST_DAY.isoformat()}"


def plain(value: float) -> str:
    """Return a number as a reader would write it: no exponent where none is needed, no trailing zeros."""
    return str(int(value)) if float(value).is_integer() and abs(value) < 1e15 else f"{value:.10g}"


def shown(value: Any) -> str:
    """Return any value as short printable ASCII-safe text, fit for a message."""
    text = repr(value) if not isinstance(value, str) else f"'{value}'"
    text = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text[:200])
    return text if len(text) <= 60 else text[:57] + "..."


def escaped(key: str) -> str:
    """Return a key as one token of a JSON pointer (RFC 6901)."""
    return key.replace("~", "~0").replace("/", "~1")


def suggestion(word: str, known: Iterable[str], what: str) -> str:
    """Return what would be accepted instead of an unknown name: the nearest known one, or the first few."""
    names = sorted(known)
    near = difflib.get_close_matches(word, names, 1, 0.6)
    if near:
        return f"{what}; did you mean {shown(near[0])}?"
    listed = ", ".join(shown(name) for name in names[:8]) + (", ..." if len(names) > 8 else "")
    return f"{what}: {listed}" if names else what


def unprintable(text: str) -> str | None:
    """Return the first control character or line break in a text, None if there is none."""
    return next((c for c in text if unicodedata.category(c) in ("Cc", "Zl", "Zp", "Cs")), None)


def id_faults(pointer: str, value: Any) -> Iterator[Fault]:
    """Yield a fault if `value` is not an id: 1 to 64 characters, none of them a control character."""
    yield from _text_faults(pointer, value, 1, ID_LENGTH)


def name_faults(pointer: str, value: Any) -> Iterator[Fault]:
    """Yield a fault if `value` is not a name: up to 200 characters, none of them a control character."""
    yield from _text_faults(pointer, value, 0, NAME_LENGTH)


def _text_faults(pointer: str, value: Any, low: int, high: int) -> Iterator[Fault]:
    accepted = f"{low} to {high} characters, no control characters"
    if not isinstance(value, str):
        yield Fault(pointer, f"{shown(value)} is not a text", accepted)
    elif not low <= len(value) <= high:
        yield Fault(pointer, f"{len(value)} characters" if value else "empty", accepted)
    elif (character := unprintable(value)) is not None:
        yield Fault(pointer, f"holds the control character U+{ord(character):04X}", accepted)
    elif low and not value.strip():
        yield Fault(pointer, "holds nothing but blanks", accepted)


def sought_faults(pointer: str, value: str | None) -> Iterator[Fault]:
    """Yield a fault if a text to look for, where there is one, cannot be part of anything that is kept."""
    if value is not None:
        yield from _text_faults(pointer, value, 0, NAME_LENGTH)


def day_faults(pointer: str, day: date) -> Iterator[Fault]:
    """Yield a fault if a day is not in the shop's calendar."""
    if not EARLIEST_DAY <= day <= LATEST_DAY:
        yield Fault(pointer, f"{day.isoformat()} is out of range", f"a day from {CALENDAR}")


def moment_faults(pointer: str, moment: datetime) -> Iterator[Fault]:
    """Yield a fault if a moment has no zone, or is on no day of the shop's calendar (UTC)."""
    if moment.tzinfo is None:
        yield Fault(pointer, "a time without a zone", "a time with its zone, such as 2027-03-01T08:00:00Z")
        return
    try:
        day = moment.astimezone(UTC).date()
    except OverflowError:  # year 1 east of Greenwich, year 9999 west of it
        yield Fault(pointer, f"{moment.isoformat()} is out of range", f"a moment from {CALENDAR}")
        return
    if not EARLIEST_DAY <= day <= LATEST_DAY:
        yield Fault(pointer, f"{moment.isoformat()} is out of range", f"a moment from {CALENDAR}")


def one_of_faults(pointer: str, value: Any, choices: Sequence[str]) -> Iterator[Fault]:
    """Yield a fault if `value` is not one of a few words."""
    if value not in choices:
        yield Fault(pointer, f"{shown(value)} is not known here", "one of " + ", ".join(choices))


def point_faults(pointer: str, point: Sequence[Any], size: int, limit: Limit = COORDINATE) -> Iterator[Fault]:
    """Yield a fault for each coordinate of a point that is not a number within the limit."""
    if len(point) != size:
        yield Fault(pointer, f"{len(point)} numbers", f"{size} numbers")
        return
    for index, value in enumerate(point):
        yield from limit.faults(f"{pointer}/{index}", value)


def direction_faults(pointer: str, direction: Sequence[Any], size: int) -> Iterator[Fault]:
    """Yield a fault if a direction is not finite or has no length."""
    accepted = f"{size} finite numbers, not all zero; any length, it is normalised"
    if len(direction) != size or any(isinstance(c, bool) or not isinstance(c, int | float) for c in direction):
        yield Fault(pointer, f"{shown(direction)} is not a direction", accepted)
    elif not all(math.isfinite(c) for c in direction):
        yield Fault(pointer, "the direction is not finite", accepted)
    elif not any(direction):
        yield Fault(pointer, "the direction is zero", accepted)


def repeated_faults(pointers: Iterable[tuple[str, Any]], what: str) -> Iterator[Fault]:
    """Yield a fault for every value that was there before, at its own pointer; None counts as no value."""
    seen: dict[Any, str] = {}
    for pointer, value in pointers:
        if value is None:
            continue
        if value in seen:
            entry = next(step for step in reversed(seen[value].split("/")) if step.isdigit())
            yield Fault(pointer, f"{what} {shown(value)} is given twice, first by entry {entry}", f"each {what} once")
        else:
            seen[value] = pointer


def unit(direction: Sequence[float]) -> tuple[float, ...]:
    """Return a direction at length 1; axis-parallel ones come out exact. The direction must be finite and not zero."""
    largest = max(abs(c) for c in direction)
    scaled = [c / largest for c in direction]
    length = math.sqrt(math.fsum(c * c for c in scaled))
    if abs(length * largest - 1) < 1e-15:
        return tuple(float(c) + 0.0 for c in direction)
    return tuple(c / length + 0.0 for c in scaled)
