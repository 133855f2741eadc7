"""The form of the Ask screen: its fields as a draft has them, and what is read from it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import get_args

from inventory import limits
from inventory.errors import InvalidDocument
from inventory.limits import plain, shown
from service.page.asking.rule_fields import FIELD, read_rules, rule_fields
from service.page.forms import Form
from service.weldments.asking.asked_rest import SIDES, TURNS, AskedRest, Stations
from service.weldments.lengths import read_number
from solver.request import Down, Shortage

SIDE_WORDS: dict[Down, str] = {
    "-z": "as drawn (-z down)",
    "+z": "upside down (+z down)",
    "-x": "left end down (-x)",
    "+x": "right end down (+x)",
    "-y": "front down (-y)",
    "+y": "back down (+y)",
}
AT_FIELDS = {
    "/quantity": "quantity", "/needed/from": "from", "/needed/to": "to", "/needed": "from", "/today": "lead_times",
    "/tables": "tables", "/lie/down": "down", "/lie/turn": "turn", "/stations": "stations", "/shortage": "shortage",
    "/alternatives": "alternatives",
    "/time_limit_s": "time_limit_s",
}  # fmt: skip
"""The field at which a fault of the request is told, by where it stands in the document; rules have theirs by their names."""


def fields_of(rest: AskedRest) -> Form:
    """Return the form as it is filled in for what a draft asks for; where it names no table, none is ticked off."""
    first, last = rest.needed or ("", "")
    pairs: list[tuple[str, str]] = [
        ("quantity", str(rest.quantity)), ("from", first), ("to", last), ("stations", str(rest.stations)),
        ("shortage", rest.shortage), ("alternatives", str(rest.alternatives)), ("time_limit_s", plain(rest.time_limit_s)),
    ]  # fmt: skip
    pairs += [("tables", id) for id in rest.tables or ()]
    pairs += [("down", side) for side in rest.down] + [("turn", plain(turn)) for turn in rest.turn]
    pairs += [(name, "yes") for name in ("set_before", "lead_times") if getattr(rest, name)]
    pairs += [(f"{FIELD}{name}", text) for name, text in rule_fields(rest.rules).items()]
    return Form.of(pairs)


def read_form(form: Form, tables: Iterable[str], longest_s: float) -> AskedRest:
    """Return what a form asks for; whatever is wrong with it is noted at its fields.

    Parameters
    ----------
    tables : iterable of str
        Every table there is: all of them ticked means whichever there are.
    longest_s : float
        This server solves for so long at most, s.
    """
    there = list(tables)
    ticked = [id for id in there if id in form.all("tables")]
    if not ticked:
        form.fault("tables", "no table is ticked", "one or more tables")
    down = tuple(side for side in SIDES if side in form.all("down"))
    if not down:
        form.fault("down", "no side is ticked", "one or more sides that may face the table")
    quantity = form.whole("quantity", int(limits.QUANTITY.low), int(limits.QUANTITY.high))
    alternatives = form.whole("alternatives", int(limits.ALTERNATIVES.low), int(limits.ALTERNATIVES.high))
    return AskedRest(
        quantity=quantity or 1,
        needed=_days(form),
        tables=None if len(ticked) == len(there) else tuple(ticked),
        down=down,
        turn=_turns(form),
        stations=_stations(form),
        set_before=form.raw("set_before") == "yes",
        shortage=form.choice("shortage", get_args(Shortage), "refuse"),
        lead_times=form.raw("lead_times") == "yes",
        alternatives=alternatives or 1,
        time_limit_s=_seconds(form, longest_s),
        rules=read_rules(form),
    )


def _days(form: Form) -> tuple[str, str] | None:
    first, last = form.day("from"), form.day("to")
    if first is None and last is None:
        return None
    if first is None or last is None:
        first = last = first or last
    assert first is not None and last is not None
    if last < first:
        form.fault("to", f"{last} comes before {first}", "a day not before the first one; both count")
    return first.isoformat(), last.isoformat()


def _turns(form: Form) -> tuple[float, ...]:
    found = []
    for text in form.all("turn"):
        try:
            turn = float(text)
        except ValueError:
            turn = -1.0
        if not 0 <= turn < 360:
            form.fault("turn", f"{shown(text)} is no turn", "degrees from 0 to less than 360")
            return TURNS
        found.append(turn)
    if not found:
        form.fault("turn", "no turn is ticked", "one or more turns on the table")
    return tuple(dict.fromkeys(found)) or TURNS


def _stations(form: Form) -> Stations:
    return "best" if form.raw("stations") == "best" else form.whole("stations", 1, int(limits.STATIONS.high), otherwise=1) or 1


def _seconds(form: Form, longest_s: float) -> float:
    accepted = f"a number from {plain(limits.TIME_LIMIT.low)} to {plain(longest_s)} s"
    try:
        value = read_number(form.raw("time_limit_s"), "/time_limit_s", accepted)
    except InvalidDocument as bad:
        form.faults += bad.faults
        return longest_s
    if not limits.TIME_LIMIT.low <= value <= longest_s:
        form.fault("time_limit_s", f"{plain(value)} s is out of range", accepted)
    return float(value)
