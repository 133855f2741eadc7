"""Parameters of queries and paths: how each is written, and what is wrong with one that is not, in this interface's own words."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Container, Iterable, Iterator, Mapping
from datetime import UTC, date, datetime
from typing import Any, get_args, get_origin

from fastapi import Request
from fastapi.dependencies.models import Dependant
from fastapi.dependencies.utils import request_params_to_args
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from pydantic import BeforeValidator
from starlette.exceptions import HTTPException

from inventory.errors import Fault, refuse
from inventory.limits import Limit, escaped, shown, suggestion, unprintable
from service.documents.reading.faults import OURS, contract_error
from service.documents.reading.fields import Within
from service.http.guard.methods import declared_at
from service.http.problems import HttpProblem

_WHOLE = re.compile(r"0|[1-9][0-9]{0,17}")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[Tt ][0-9]{2}:[0-9]{2}:[0-9]{2}(\.[0-9]{1,6})?([Zz]|[+-][0-9]{2}:[0-9]{2})")
_A_MOMENT = "a moment with its zone, from 1970 on, such as 2027-03-01T08:00:00Z"


def in_query(faults: Iterable[Fault], parameters: Container[str]) -> list[Fault]:
    """Return faults that a use case found in a question, those of a query's parameters where the parameters stand."""
    return [fault.under("/query") if fault.pointer[1:] in parameters else fault for fault in faults]


def whole_number(limit: Limit) -> tuple[BeforeValidator, Within]:
    """Return how a whole number is written: its decimal digits alone, no sign, no blank, no underscore."""

    def read(value: Any) -> Any:
        if isinstance(value, str) and not _WHOLE.fullmatch(value):
            raise contract_error(f"{shown(value)} is not a whole number", limit.accepted)
        return value

    return BeforeValidator(read), Within(limit)


def _day(value: Any) -> Any:
    try:
        if isinstance(value, str) and _DAY.fullmatch(value):
            return date.fromisoformat(value)
    except ValueError:
        pass
    raise contract_error(f"{shown(value)} is not a day", "a calendar day as YYYY-MM-DD")


def _moment(value: Any) -> Any:
    try:
        if isinstance(value, str) and _MOMENT.fullmatch(value):
            found = datetime.fromisoformat(value.upper()).astimezone(UTC)
            if found.year >= 1970:
                return found
    except (ValueError, OverflowError):
        pass
    raise contract_error(f"{shown(value)} is not a moment", _A_MOMENT)


def _flag(value: Any) -> Any:
    if value in ("true", "false"):
        return value == "true"
    raise contract_error(f"{shown(value)} is neither true nor false", "true or false")


DAY = BeforeValidator(_day)
"""A calendar day (RFC 3339, full-date)."""
MOMENT = BeforeValidator(_moment)
"""A moment with its zone (RFC 3339, date-time)."""
FLAG = BeforeValidator(_flag)
"""A word: true or false."""


def known_parameters(request: Request) -> None:
    """Let a request in only if its route knows every parameter of the query, and none has a character no text may have.

    Where one is not known, the faults of the others are told with it.

    Raises
    ------
    InvalidDocument
        With every parameter that is unknown, given twice or holds a control character.
    Problem
        ``not-found`` if the path has such a character: nothing is called so.
    """
    if request.scope["method"] not in declared_at(request.app, request.scope["path"]):
        raise HTTPException(405)  # a pattern that is wider took an address that belongs to another one
    route = request.scope.get("route")
    assert isinstance(route, APIRoute)
    for value in request.path_params.values():
        if isinstance(value, str) and unprintable(value) is not None:
            raise HttpProblem("not-found", f"nothing is called {shown(value)}: an id has no control characters")
    if any(one["in"] == "query" for one in (route.openapi_extra or {}).get("parameters", ())):
        return  # it declares its query itself, and looks at it itself
    faults = list(_faults(request, dict(_declared(route.dependant))))
    if faults:
        _, others = request_params_to_args(route.dependant.query_params, request.query_params)
        refuse([*faults, *map(_fault, others)])


def _faults(request: Request, accepted: Mapping[str, bool]) -> Iterator[Fault]:
    given = request.query_params.multi_items()
    for name, times in Counter(name for name, _ in given).items():
        at = f"/query/{escaped(shown(name)[1:-1])}"
        if name not in accepted:
            there_is = suggestion(name, accepted, "a parameter of this address") if accepted else "no parameters"
            yield Fault(at, f"there is no parameter {shown(name)} here", there_is)
        elif times > 1 and not accepted[name]:
            yield Fault(at, f"is given {times} times", "once")
    for name, value in given:
        if name in accepted and (character := unprintable(value)) is not None:
            wrong = f"holds the control character U+{ord(character):04X}"
            yield Fault(f"/query/{name}", wrong, "a text without control characters")


def _declared(dependant: Dependant) -> Iterator[tuple[str, bool]]:
    for parameter in dependant.query_params:
        declared = parameter.field_info.annotation
        yield parameter.alias, any(get_origin(kind) is list for kind in (declared, *get_args(declared)))
    for below in dependant.dependencies:
        yield from _declared(below)


def faults_of(error: RequestValidationError) -> list[Fault]:
    """Return what is wrong with parameters, each at a pointer such as ``/query/limit``."""
    return [_fault(one) for one in error.errors()]


def _fault(found: Mapping[str, Any]) -> Fault:
    at = "".join(f"/{escaped(str(step))}" for step in found["loc"])
    context = found.get("ctx") or {}
    wrong, accepted = _SAID.get(found["type"], _otherwise)(found, context)
    return Fault(at, wrong, accepted)


Words = tuple[str, str]


def _otherwise(found: Mapping[str, Any], context: Mapping[str, Any]) -> Words:
    return f"{shown(found.get('input'))} is not valid here", "what /docs says of this parameter"


_SAID: Mapping[str, Callable[[Mapping[str, Any], Mapping[str, Any]], Words]] = {
    OURS: lambda found, context: (context["wrong"], context["accepted"]),
    "missing": lambda found, context: (f"{found['loc'][-1]} is missing", "what /docs says of this parameter"),
    "literal_error": lambda found, context: (
        f"{shown(found['input'])} is not known here",
        str(context["expected"]).replace("'", ""),
    ),
    "string_too_long": lambda found, context: (
        f"{len(found['input'])} characters",
        f"at most {context['max_length']} characters",
    ),
    "string_too_short": lambda found, context: (
        f"{len(found['input'])} characters",
        f"at least {context['min_length']} characters",
    ),
    "int_parsing": lambda found, context: (f"{shown(found['input'])} is not a whole number", "a whole number"),
    "int_parsing_size": lambda found, context: (f"{shown(found['input'])} is too large", "a smaller whole number"),
}
