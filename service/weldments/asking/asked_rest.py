"""What a draft asks for besides its weldment: read as it stands, and changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any, get_args

from service.documents.reading.fields import MM_PER
from service.weldments.edited import Edited
from service.weldments.starts import QUANTITY
from solver.request import Down, Shortage
from solver.rule_book import VALUES

SIDES: tuple[Down, ...] = get_args(Down)
TURNS = (0.0, 90.0, 180.0, 270.0)
ALTERNATIVES = 5
TIME_LIMIT_S = 20.0
Stations = int | str


@dataclass(frozen=True, slots=True)
class AskedRest:
    """All of a request but its weldment and what it names piece by piece, as a draft has it or as it is by default.

    Parameters
    ----------
    needed : pair of days or None
        First and last day; None: none are named.
    tables : tuple of str or None
        None: all there are.
    lead_times : bool
        Whether the days until pieces could be bought are counted, from the day it is asked.
    rules : mapping
        Rules that differ from the rule book, each in its own unit.
    """

    quantity: int = QUANTITY
    needed: tuple[str, str] | None = None
    tables: tuple[str, ...] | None = None
    down: tuple[Down, ...] = ("-z",)
    turn: tuple[float, ...] = TURNS
    stations: Stations = 1
    set_before: bool = False
    shortage: Shortage = "refuse"
    lead_times: bool = False
    alternatives: int = ALTERNATIVES
    time_limit_s: float = TIME_LIMIT_S
    rules: Mapping[str, float] = field(default_factory=dict)


def asked_rest(document: Mapping[str, Any]) -> AskedRest:
    """Return what a draft's document asks for; what cannot be read there is as it is by default."""
    lie = _object(document.get("lie"))
    needed = _object(document.get("needed"))
    days = [day for day in (needed.get("from"), needed.get("to")) if isinstance(day, str)]
    tables = document.get("tables")
    stations = document.get("stations")
    return AskedRest(
        quantity=_whole(document.get("quantity"), QUANTITY),
        needed=(days[0], days[1]) if len(days) == 2 else None,
        tables=tuple(id for id in tables if isinstance(id, str)) if isinstance(tables, list) else None,
        down=tuple(side for side in SIDES if side in _list(lie.get("down"), ["-z"])) or ("-z",),
        turn=tuple(float(turn) for turn in _list(lie.get("turn"), list(TURNS)) if _is_number(turn)) or TURNS,
        stations="best" if stations == "best" else _whole(stations, 1),
        set_before=document.get("set_before") is True,
        shortage="price" if document.get("shortage") == "price" else "refuse",
        lead_times=isinstance(document.get("today"), str),
        alternatives=_whole(document.get("alternatives"), ALTERNATIVES),
        time_limit_s=float(document["time_limit_s"]) if _is_number(document.get("time_limit_s")) else TIME_LIMIT_S,
        rules=_rules(_object(document.get("rules"))),
    )


def asked(document: Mapping[str, Any], rest: AskedRest, today: date) -> Edited:
    """Return a draft's document that asks for something else, and in words what is other than before."""
    before = asked_rest(document)
    changed = {
        **document,
        "quantity": rest.quantity,
        "needed": None if rest.needed is None else {"from": rest.needed[0], "to": rest.needed[1]},
        "lie": {"down": list(rest.down), "turn": list(rest.turn)},
        "stations": rest.stations,
        "set_before": rest.set_before,
        "shortage": rest.shortage,
        "today": today.isoformat() if rest.lead_times else None,
        "alternatives": rest.alternatives,
        "time_limit_s": rest.time_limit_s,
        "rules": {**_book(document), "set": dict(rest.rules)},
    }
    if rest.tables is None:
        changed.pop("tables", None)
    else:
        changed["tables"] = list(rest.tables)
    return Edited(dict(document) if before == rest else changed, _words(before, rest))


def _words(before: AskedRest, after: AskedRest) -> str:
    names = {"needed": "the days", "down": "the side down", "turn": "the turns", "set_before": "whether it was set before"}
    names |= {"shortage": "what is done about missing pieces", "lead_times": "lead times", "time_limit_s": "the time limit"}
    changed = [name for name in AskedRest.__dataclass_fields__ if getattr(before, name) != getattr(after, name)]
    return f"changed {' and '.join(names.get(name, f'the {name}') for name in changed[:3])}" if changed else ""


def _book(document: Mapping[str, Any]) -> dict[str, Any]:
    """Return the rule book a draft names, with its version; nothing if it names none."""
    rules = _object(document.get("rules"))
    return {name: rules[name] for name in ("base", "version") if rules.get(name) is not None}


def _rules(rules: Mapping[str, Any]) -> dict[str, float]:
    scale = MM_PER["inch"] if rules.get("units") == "inch" else 1.0
    given = _object(rules.get("set"))
    return {
        name: value * scale if name in VALUES and VALUES[name].unit == "mm" else value
        for name, value in given.items()
        if _is_number(value)
    }


def _object(value: Any) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _list(value: Any, otherwise: list[Any]) -> list[Any]:
    return value if isinstance(value, list) else otherwise


def _whole(value: Any, otherwise: int) -> int:
    return int(value) if _is_number(value) and float(value).is_integer() else otherwise


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
