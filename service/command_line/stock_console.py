"""The storekeeper's desk on the command line: what each command does, says and returns.

Exit codes: 0 done, 1 refused as things stand (pieces short, a step not allowed), 2 bad input or a store that cannot be used.
"""

from __future__ import annotations

import getpass
import json
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, date, datetime
from typing import Any

from inventory.availability import Shortage, Span
from inventory.errors import Fault, HoldwrightError, InvalidDocument
from inventory.reservations import IllegalStep
from inventory.store import Note, Store
from inventory.store import errors as store_errors
from inventory.store.engine import file_of
from service.command_line.console import complain, note
from service.text import printable

_NOT_NOW = (Shortage, IllegalStep, store_errors.CountRefused, store_errors.Stale, store_errors.InUse, store_errors.AlreadyThere)


def run(act: Callable[[], int | None], source: object = "holdwright") -> int:
    """Run a command and return its exit code; refusals are said on standard error, faults with the document they are in."""
    try:
        return act() or 0
    except InvalidDocument as bad:
        return complain_of(bad.faults, source)
    except Shortage as short:
        for line in short.lines:
            note(str(line))
        return 1
    except HoldwrightError as error:
        note(str(error))
        return 1 if isinstance(error, _NOT_NOW) else 2


def complain_of(faults: Iterable[Fault], source: object = "holdwright") -> int:
    """Say faults one a line; those of a list's rows by row and column."""
    for fault in faults:
        steps = fault.pointer.split("/")
        if steps[1:2] == ["rows"]:
            where = f"row {steps[2]}" + (f", {steps[3]}" if len(steps) > 3 else "")
            note(f"{where}: {fault.wrong}; accepted: {fault.accepted}")
        else:
            complain(source, [fault])
    return 2


@contextmanager
def the_store(url: str | None, create: bool = False) -> Iterator[Store]:
    """Open the store a command line names (or HOLDWRIGHT_DB, or the default); a missing file is made only if told to."""
    from service.settings import Settings
    from service.stockroom.stock_source import opened

    chosen = Settings.read(db=url).db
    if not create:
        refuse_missing(chosen)
    store = opened(chosen)
    try:
        yield store
    finally:
        store.close()


def refuse_missing(url: str) -> None:
    """Raise Unreachable if an SQLite file is not there: looking for a store must not make one."""
    path = file_of(url)
    if path is not None and not path.exists():
        raise store_errors.Unreachable(f"there is no store {path}; `holdwright stock import STOCK.json` makes one")


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
    return Span(start, end or start)


def counted(words: Sequence[str], option: str) -> dict[str, int]:
    """Return pieces by item from words such as `riser-75=4`; raises InvalidDocument with every word that is none."""
    pieces: dict[str, int] = {}
    faults = []
    for word in words:
        item, sign, count = word.rpartition("=")
        if not sign or not item or not (count.isascii() and count.isdecimal() and len(count) < 8):
            faults.append(Fault(f"/{option}", f"{word!r} is not ITEM=PIECES", "such as riser-75=4"))
        elif item in pieces:
            faults.append(Fault(f"/{option}", f"{item} stands there twice", "each item once"))
        else:
            pieces[item] = int(count)
    if faults:
        raise InvalidDocument(faults)
    return pieces


def table(headings: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Print a plain table on standard output: texts left, numbers right."""
    shown = [[printable(str("" if cell is None else cell)) for cell in row] for row in rows]
    numeric = (
        [all(isinstance(cell, int) for cell in column) for column in zip(*rows, strict=True)] if isinstance(rows, list) else []
    )
    widths = [max(map(len, column)) for column in zip(headings, *shown, strict=True)]
    for row in (list(headings), *shown):
        cells = [
            cell.rjust(width) if index < len(numeric) and numeric[index] else cell.ljust(width)
            for index, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        print("  ".join(cells).rstrip())


def as_json(document: Any) -> None:
    """Print a document on standard output."""
    json.dump(document, sys.stdout, ensure_ascii=False, indent=1)
    print()


def say_hits(hits: Sequence[Mapping[str, Any]]) -> None:
    """Say, on standard error, whose promises and plans no longer add up."""
    for hit in hits:
        if hit["reservations"]:
            note(f"{hit['item']}: {hit['in_service']} in service, {hit['short']} short from {hit['from']}; promised to:")
        for there in hit["reservations"]:
            plan = f", plan {there['plan']} alternative {there['rank']}" if there["plan"] else ""
            days = f"{there['needed']['from']}..{there['needed']['to']}"
            note(f"  reservation {there['id']} ({there['job']}): {there['count']}, {there['state']}, {days}{plan}")
        for kept in hit["plans"]:
            days = f"{kept['needed']['from']}..{kept['needed']['to']}"
            note(f"  plan {kept['plan']} alternative {kept['rank']}: needs {kept['count']}, {kept['free']} free, {days}")
