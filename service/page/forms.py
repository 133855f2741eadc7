"""Forms that browsers send: read within limits, every fault at its field."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from typing import Annotated, TypeVar
from urllib.parse import parse_qsl

from fastapi import Depends, Request

from inventory.errors import Fault, refuse
from inventory.limits import shown, unprintable
from service.http.dependencies import planning_of
from service.http.guard.body import FORM, read_body

Word = TypeVar("Word", bound=str)
MOST_FIELDS = 3000
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(slots=True)
class Form:
    """The fields of a form and what was found wrong with them; a fault's pointer is ``/`` and the field's name.

    Whatever is asked for and cannot be read leaves a fault and gives None, so that all are found at once; `finish` refuses.
    """

    fields: Mapping[str, tuple[str, ...]]
    faults: list[Fault] = field(default_factory=list)

    @classmethod
    def of(cls, pairs: Iterable[tuple[str, str]]) -> Form:
        """Return a form of names and values in their order."""
        found: dict[str, tuple[str, ...]] = {}
        for name, value in pairs:
            found[name] = (*found.get(name, ()), value)
        return cls(found)

    def __contains__(self, name: object) -> bool:
        return name in self.fields

    def names(self) -> Iterator[str]:
        """Yield the fields' names in their order."""
        yield from self.fields

    def all(self, name: str) -> tuple[str, ...]:
        """Return every value of a field."""
        return self.fields.get(name, ())

    def raw(self, name: str, otherwise: str = "") -> str:
        """Return a field's last value as it came."""
        values = self.fields.get(name, ())
        return values[-1] if values else otherwise

    def text(self, name: str, what: str, *, longest: int = 200, needed: bool = False) -> str:
        """Return one line of text, blanks at its ends taken off; empty if there is none."""
        value = self.raw(name).strip()
        if needed and not value:
            self.fault(name, "is empty", what)
        elif len(value) > longest:
            self.fault(name, f"has {len(value):,} characters", f"at most {longest:,} characters")
        elif unprintable(value) is not None:
            self.fault(name, "holds a character that cannot be printed", what)
        return value

    def whole(self, name: str, low: int, high: int, *, otherwise: int | None = None) -> int | None:
        """Return a whole number, `otherwise` if the field is empty."""
        value = self.raw(name).strip().replace(" ", "")
        accepted = f"a whole number, {low:,} to {high:,}"
        if not value:
            if otherwise is None:
                self.fault(name, "is empty", accepted)
            return otherwise
        if not (value.isascii() and value.removeprefix("-").isdecimal() and len(value) < 19):
            self.fault(name, f"{shown(value)} is not a whole number", accepted)
            return None
        if not low <= int(value) <= high:
            self.fault(name, f"{int(value):,} is out of range", accepted)
            return None
        return int(value)

    def day(self, name: str, *, needed: bool = False) -> date | None:
        """Return a calendar day written as browsers send it, None if the field is empty."""
        value = self.raw(name).strip()
        if not value:
            if needed:
                self.fault(name, "is empty", "a calendar day as YYYY-MM-DD")
            return None
        if _DAY.fullmatch(value):
            with suppress(ValueError):
                return date.fromisoformat(value)
        self.fault(name, f"{shown(value)} is not a day", "a calendar day as YYYY-MM-DD")
        return None

    def choice(self, name: str, words: Iterable[Word], otherwise: Word) -> Word:
        """Return one of some words, `otherwise` if the field is not there."""
        value, known = self.raw(name, otherwise), list(words)
        for word in known:
            if word == value:
                return word
        self.fault(name, f"{shown(value)} is not known here", ", ".join(known))
        return otherwise

    def fault(self, name: str, wrong: str, accepted: str) -> None:
        """Note a fault at a field."""
        self.faults.append(Fault(f"/{name}", wrong, accepted))

    def finish(self) -> None:
        """Raise InvalidDocument with every fault found so far."""
        refuse(self.faults)


async def form_of(request: Request) -> Form:
    """Return the form a request sends.

    Raises
    ------
    Problem
        ``media-type``, ``too-large``, ``slow-body``, ``malformed`` if it has too many fields or is no text.
    """
    raw = await read_body(request, planning_of(request).settings, empty_allowed=True, media=FORM)
    return read_form(raw)


def read_form(raw: bytes) -> Form:
    """Return a form as browsers write it (WHATWG URL, application/x-www-form-urlencoded); raises InvalidDocument."""
    try:
        pairs = parse_qsl(raw.decode("utf-8"), keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict")
    except ValueError as error:
        fault = Fault("", "is no form", f"UTF-8, at most {MOST_FIELDS:,} fields")
        refuse([fault])
        raise AssertionError from error
    return Form.of(pairs)


FormHere = Annotated[Form, Depends(form_of)]
