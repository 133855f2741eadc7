"""What a draft starts from: nothing, an example, an earlier job's request, or a document that was pasted or loaded."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import shown
from service.demo import job_document, job_names
from service.documents import read_request, read_weldment, weldment
from service.documents import request as requests
from service.documents.reading.fields import MM_PER
from service.documents.reading.reading import Reading
from service.documents.reading.text import LARGEST_BODY, read_text
from service.weldments.drafted_weldment import LISTS
from service.weldments.edited import Edited
from service.weldments.origins import as_draft

QUANTITY = 10
_LEFT_OUT = ("keep", "proved", "needed", "today", "without", "held", "pins", "avoid")
"""What an earlier request was asked with for its own days, shelf and plan."""


def blank(units: str) -> Edited:
    """Return an empty weldment in a unit; raises InvalidDocument for one there is none of."""
    if units not in MM_PER:
        raise InvalidDocument([Fault("/units", f"{shown(units)} is no unit", "mm or inch")])
    return Edited(
        _request({"format": weldment.FORMAT, "name": "", "units": units, **{name: [] for name in LISTS}}), "started empty"
    )


def example(name: str) -> Edited:
    """Return the request of an example; raises InvalidDocument if there is none of that name."""
    if name not in job_names():
        raise InvalidDocument([Fault("/example", f"there is no example {shown(name)}", ", ".join(job_names()))])
    return Edited(earlier(json.loads(job_document(name))), f"started from the example {name}")


def examples() -> tuple[tuple[str, str], ...]:
    """Return the examples: each one's name and what its weldment is called."""
    found = ((name, json.loads(job_document(name))["weldment"].get("name", name)) for name in job_names())
    return tuple(found)


def earlier(request: Mapping[str, Any]) -> dict[str, Any]:
    """Return a request as a new one starts from it: without the days, the shelf and the plan it was asked with.

    It goes by the same rule book, at the version that is newest when it is asked.
    """
    left = {name: value for name, value in request.items() if name not in _LEFT_OUT}
    rules = left.get("rules")
    if isinstance(rules, dict):
        left["rules"] = {name: value for name, value in rules.items() if name not in ("version", "base_set")}
    return as_draft(left)


def from_stored(document: Mapping[str, Any]) -> Edited:
    """Return the draft that a stored weldment's document makes, which says in `stored` which it is."""
    stored = document["stored"]
    return Edited(as_draft(_request(document)), f"started from {stored['id']}, version {stored['version']}")


def pasted(text: str, as_it_is: bool = False) -> Edited:
    """Return the draft that a document makes: a weldment, or a request with one in it.

    Parameters
    ----------
    text : str
        JSON.
    as_it_is : bool
        Whether one with faults is taken in too, to be mended: only its outermost shape must be right then. Fields that no such
        document has are left out.

    Raises
    ------
    InvalidDocument
        With every fault; pointers go into the document as it was pasted.
    """
    values = _values(text)
    is_request = "weldment" in values or values.get("format") == requests.FORMAT
    at = "/weldment" if is_request else ""
    if not as_it_is:
        (read_request if is_request else read_weldment)(text)
    else:
        refuse(_shape_faults(values.get("weldment") if is_request else values, at))
        values = dict(Reading(values, requests.RequestDocument if is_request else weldment.WeldmentDocument).values)
    return Edited(earlier(values) if is_request else as_draft(_request(values)), "took a document in")


def _values(text: str) -> dict[str, Any]:
    read = read_text(text, LARGEST_BODY)
    refuse(read.faults)
    if not isinstance(read.values, dict):
        raise InvalidDocument([Fault("", f"{shown(read.values)} is no weldment", "one JSON object, a weldment or a request")])
    return dict(read.values)


def _shape_faults(whole: Any, at: str) -> list[Fault]:
    """Return what keeps a document from being mended here: lists that are none, entries that are no objects."""
    if not isinstance(whole, dict):
        return [Fault(at, "there is no weldment", "an object with parts and welds")]
    found = []
    for name in LISTS:
        entries = whole.get(name, [])
        if not isinstance(entries, list):
            found.append(Fault(f"{at}/{name}", f"{shown(entries)} is no list", f"a list of {name.replace('_', ' ')}"))
            continue
        found += [
            Fault(f"{at}/{name}/{k}", f"{shown(entry)} is no object", "an object")
            for k, entry in enumerate(entries)
            if not isinstance(entry, dict)
        ][:20]
    return found


def _request(weldment: Mapping[str, Any]) -> dict[str, Any]:
    return {"format": requests.FORMAT, "weldment": dict(weldment), "quantity": QUANTITY}
