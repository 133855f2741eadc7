"""Words of a command line as values: who signs, days, pieces by item, money, expected jobs."""

from __future__ import annotations

import getpass
from collections.abc import Sequence
from datetime import UTC, date, datetime
from pathlib import Path

from inventory.availability import Span, asked_span
from inventory.errors import Fault, InvalidDocument
from inventory.store import Note
from service.command_line.printing.console import read_input
from service.documents.stockroom.advice import BUDGET, TIMES
from service.exchange.cells import Unreadable, cents
from service.stockroom.advice import ExpectedJob


def signed(who: str | None, why: str) -> Note:
    """Return the signature under a change: the name given, else the name of whoever is logged in."""
    if who is None:
        try:
            who = getpass.getuser()
        except (OSError, KeyError):
            raise InvalidDocument([Fault("/who", "nobody signs", "--who NAME")]) from None
    return Note(who, datetime.now(UTC), why)


def day(text: str | None, option: str) -> date | None:
    """Return a day given as YYYY-MM-DD, `today` or a number of days from today such as `+3`; raises InvalidDocument."""
    if text is None:
        return None
    try:
        if text == "today":
            return date.today()
        if text[:1] == "+" and text[1:].isdecimal() and len(text) < 6:
            return date.fromordinal(date.today().toordinal() + int(text))
        return date.fromisoformat(text)
    except ValueError:
        raise InvalidDocument(
            [Fault(f"/{option}", f"{text!r} is not a day", "YYYY-MM-DD, today, or +3 for three days from now")]
        ) from None


def span_of(first: str | None, last: str | None) -> Span | None:
    """Return the days of --from and --to, None if neither was given."""
    begin, end = day(first, "from"), day(last, "to")
    if begin is None and end is None:
        return None
    start = begin or date.today()
    return asked_span(start, end or start)


def pieces_by_item(words: Sequence[str], option: str) -> dict[str, int]:
    """Return pieces by item from words such as `riser-40=4`; raises InvalidDocument with every word that is none."""
    pieces: dict[str, int] = {}
    faults = []
    for word in words:
        item, sign, count = word.rpartition("=")
        if not sign or not item or not (count.isascii() and count.isdecimal() and len(count) < 8):
            faults.append(Fault(f"/{option}", f"{word!r} is not ITEM=PIECES", "such as riser-40=4"))
        elif item in pieces:
            faults.append(Fault(f"/{option}", f"{item} stands there twice", "each item once"))
        else:
            pieces[item] = int(count)
    if faults:
        raise InvalidDocument(faults)
    return pieces


def expected_jobs(words: Sequence[str]) -> list[ExpectedJob]:
    """Return requests such as `post.json`, or `post.json@12` for twelve times; raises InvalidDocument, naming the file."""
    found = []
    for word in words:
        name, sign, times = word.rpartition("@")
        counted = bool(sign) and times.isascii() and times.isdecimal() and 0 < int(times) <= TIMES.high
        path = Path(name if counted else word)
        try:
            found.append(ExpectedJob(path.stem, read_input(path), int(times) if counted else 1))
        except InvalidDocument as bad:
            raise InvalidDocument([Fault(f"/{path}", fault.wrong, fault.accepted) for fault in bad.faults]) from None
    return found


def budget_cents(text: str) -> int:
    """Return an amount of money such as `250` or `99.50` in cents; raises InvalidDocument."""
    try:
        limit = cents(text)
    except Unreadable as error:
        raise InvalidDocument([Fault("/budget", f"{text!r} {error}", "an amount such as 250 or 99.50")]) from None
    if not BUDGET.low <= limit <= BUDGET.high:
        raise InvalidDocument([Fault("/budget", f"{text} is out of range", "0 to 10000000")])
    return limit
