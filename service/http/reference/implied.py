"""The kinds of problems that follow from what a route is: that it takes a body, a header, a parameter, the store."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from fastapi.dependencies.models import Dependant

from service.access.rights import OPEN, UNASKED_FOR
from service.http.dependencies import access_of, context_of, planning_of, store_of
from service.http.guard.body import JSON
from service.http.reference.problem_kinds import KINDS

EVERYWHERE = ("host", "invalid")
"""Any address may be asked under a foreign host's name, or with a parameter it does not know."""
OF_CALLERS = ("no-key", "role", "too-many")
"""What needs a key is refused without one, to a role that may not, and to who asks too often."""
OF_CHANGES = ("cross-site",)
OF_A_BODY = ("slow-body", "too-large", "media-type")
OF_HEADERS: Mapping[str, tuple[str, ...]] = {
    "Idempotency-Key": ("bad-header", "key-reused"),
    "If-Match": ("bad-header", "changed", "match-required"),
}
REQUIRED = ("If-Match",)
"""Headers a request must have although the framework lets it in without: it is answered with a problem of its own."""
OF_PARTS: Mapping[Any, tuple[str, ...]] = {
    store_of: ("not-found", "busy", "store"),
    planning_of: ("busy", "store"),
    context_of: ("busy", "store"),
    access_of: ("busy", "store"),
}
"""By the dependency through which a route reaches a part of the application."""


def implied(operation: Mapping[str, Any], method: str, dependant: Dependant) -> list[str]:
    """Return the kinds that may arise because of an operation's body, parameters and parts, in the order of the kinds."""
    found = {*EVERYWHERE}
    if operation["operationId"] not in UNASKED_FOR:
        found.add("too-many")
    if operation["operationId"] not in OPEN:
        found |= {*OF_CALLERS}
    if method != "GET":
        found |= {*OF_CHANGES}
    if "requestBody" in operation:
        found |= {*OF_A_BODY}
        if JSON in operation["requestBody"]["content"]:
            found.add("malformed")
    for parameter in operation.get("parameters", ()):
        if parameter["in"] == "header":
            found |= {*OF_HEADERS.get(parameter["name"], ())}
        if parameter["in"] == "path":
            found.add("not-found")
    for part in _parts(dependant):
        found |= {*OF_PARTS.get(part, ())}
    return [name for name in KINDS if name in found]


def _parts(dependant: Dependant) -> Iterator[Any]:
    for each in dependant.dependencies:
        yield each.call
        yield from _parts(each)
