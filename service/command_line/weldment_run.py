"""`holdwright plan` of a weldment alone: what is asked of it stands on the command line, and a request is made of the two.

What reads documents is imported when one is read: a child that loads the solver is under way by then.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields
from typing import Any

from inventory.errors import Fault, InvalidDocument
from service.errors import InvalidSource

WELDMENT = "holdwright.weldment/1"
REQUEST = "holdwright.request/1"
_FIELDS: Mapping[str, tuple[str, str]] = {
    "quantity": ("/quantity", "/quantity"), "tables": ("/tables", "/table"), "down": ("/lie/down", "/down"),
    "turn": ("/lie/turn", "/turn"), "needed": ("/needed", "/needed"), "rules": ("/rules/set", "/rule"),
    "alternatives": ("/alternatives", "/alternatives"), "time_limit_s": ("/time_limit_s", "/time-limit"),
}  # fmt: skip
"""Of each field below the place in a request, and the place of its option's words."""


@dataclass(frozen=True, slots=True)
class WeldmentRun:
    """What is asked of a weldment, as the command line's words; a request says all of it itself.

    Parameters
    ----------
    quantity : int or None
        How many.
    tables : sequence of str
        On which tables.
    down, turn : sequence
        Which sides may face the table, and which turns, degrees; empty: as a request that says nothing.
    needed : str or None
        From when to when: ``2027-03-01..2027-03-03``, or one day.
    rules : sequence of str
        Rules that differ: ``clear.body=2``.
    alternatives, time_limit_s : number or None
        As in a request.
    """

    quantity: int | None = None
    tables: Sequence[str] = ()
    down: Sequence[str] = ()
    turn: Sequence[float] = ()
    needed: str | None = None
    rules: Sequence[str] = ()
    alternatives: int | None = None
    time_limit_s: float | None = None

    @property
    def given(self) -> list[str]:
        """The options that were given."""
        return [
            "-" + _FIELDS[field.name][1].replace("/", "-")
            for field in fields(self)
            if getattr(self, field.name) not in (None, ())
        ]


def request_of(content: bytes, source: object, run: WeldmentRun, tables: Callable[[], Sequence[str]]) -> bytes | dict[str, Any]:
    """Return the request that a weldment and the words of a command line make; a request as it came.

    Parameters
    ----------
    content : bytes
        A weldment or a request.
    source : object
        What it is called where it is at fault.
    run : WeldmentRun
        What is asked.
    tables : callable
        Returns the tables there are, to be named where none was.

    Raises
    ------
    InvalidSource
        The words are at fault, or do not go with the document.
    """
    from service.documents.reading.text import read_text

    try:
        values = read_text(content).values
    except InvalidDocument:
        return content
    if not isinstance(values, dict) or values.get("format") != WELDMENT:
        if not run.given:
            return content
        says = "a request says it itself" if isinstance(values, dict) and values.get("format") == REQUEST else "this is none"
        faults = [
            Fault("", f"{option} goes with a weldment, {says}", f"a weldment document ({WELDMENT})") for option in run.given
        ]
        raise InvalidSource(source, faults)
    return _asked(values, run, tables)


def _asked(weldment: Mapping[str, Any], run: WeldmentRun, tables: Callable[[], Sequence[str]]) -> dict[str, Any]:
    faults: list[Fault] = []
    if run.quantity is None:
        faults.append(Fault("/quantity", "a weldment does not say how many", "--quantity N"))
    if not run.tables:
        there = ", ".join(tables()[:10]) or "there is none"
        faults.append(Fault("/table", "a weldment does not say on which table", f"--table ID, a table of the stock: {there}"))
    lie = {"down": list(run.down), "turn": list(run.turn)}
    request = {
        "format": REQUEST, "weldment": weldment, "quantity": run.quantity, "tables": list(run.tables),
        "needed": None if run.needed is None else _days(run.needed),
        "rules": {"set": _rules(run.rules, faults)},
        "lie": {name: words for name, words in lie.items() if words},
    }  # fmt: skip
    if faults:
        raise InvalidSource("holdwright", faults)
    optional = {"alternatives": run.alternatives, "time_limit_s": run.time_limit_s}
    return request | {name: value for name, value in optional.items() if value is not None}


def _days(words: str) -> dict[str, str]:
    first, between, last = words.partition("..")
    return {"from": first, "to": last if between else first}


def _rules(words: Sequence[str], faults: list[Fault]) -> dict[str, float]:
    """Return rules with their numbers; words that are none are added to the faults."""
    found: dict[str, float] = {}
    for word in words:
        name, sign, value = word.partition("=")
        try:
            number = float(value)
        except ValueError:
            sign = ""
        if not sign or not name:
            faults.append(Fault("/rule", f"{word!r} is not RULE=VALUE", "such as clear.body=2"))
        elif name in found:
            faults.append(Fault("/rule", f"{name} stands there twice", "each rule once"))
        else:
            found[name] = number
    return found


@contextmanager
def told_by_option(source: object, request: object) -> Iterator[None]:
    """Say of the faults of a request that was made of a weldment where they are: in its file, or among the options."""
    try:
        yield
    except InvalidSource as bad:
        if not isinstance(request, dict) or bad.source != str(source):
            raise
        drawn = [fault for fault in bad.faults if fault.pointer.startswith("/weldment")]
        if drawn:
            raise InvalidSource(source, [_under("/weldment", "", fault) for fault in drawn]) from None
        raise InvalidSource("holdwright", [_of_option(fault) for fault in bad.faults]) from None


def _of_option(fault: Fault) -> Fault:
    for field, option in _FIELDS.values():
        if fault.pointer.startswith(field):
            return _under(field, option, fault)
    return fault


def _under(before: str, now: str, fault: Fault) -> Fault:
    return Fault(now + fault.pointer.removeprefix(before), fault.wrong, fault.accepted)
