"""What pydantic found wrong, as faults: a JSON pointer, what is wrong, what would be accepted."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails, InitErrorDetails, PydanticCustomError

from inventory.errors import Fault
from inventory.limits import shown, suggestion
from service.documents.reading.described import Path, Place, Schema
from service.documents.reading.text import token

OURS = "contract"
"""The error type under which the domain's own faults travel through pydantic."""

_KINDS = {
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "string_type": "a text",
    "bool_type": "true or false",
    "list_type": "a list",
    "dict_type": "an object",
    "model_type": "an object",
    "model_attributes_type": "an object",
    "none_required": "null",
}
_UNKNOWN = "extra_forbidden"
_RESERVED = {"cuts": "cuts is reserved for cut ends and not read yet"}


def contract_error(wrong: str, accepted: str) -> PydanticCustomError:
    """Return an error a validator may raise that keeps its own words."""
    return PydanticCustomError(OURS, "{wrong}", {"wrong": wrong, "accepted": accepted})


def as_validation_error(faults: Iterable[Fault]) -> ValidationError:
    """Return the domain's faults as one error pydantic merges at the place where it is raised."""
    lines: list[InitErrorDetails] = [
        {"type": contract_error(fault.wrong, fault.accepted), "loc": _location(fault.pointer), "input": None} for fault in faults
    ]
    return ValidationError.from_exception_data("contract", lines)


def _location(pointer: str) -> tuple[str | int, ...]:
    tokens = [part.replace("~1", "/").replace("~0", "~") for part in pointer.split("/")[1:]]
    return tuple(int(part) if part.isdigit() else part for part in tokens)


MOST_FAULTS = 1000
"""Faults named one by one; of a document with more, the number."""


@dataclass(frozen=True, slots=True)
class Structure:
    """What a failed validation found.

    `faults` and `unknown_fields` hold the first thousand of each; `unknown` the paths of all fields the model does not know.
    """

    faults: list[Fault] = field(default_factory=list)
    unknown_fields: list[Fault] = field(default_factory=list)
    unknown: list[Path] = field(default_factory=list)


def structure_of(error: ValidationError, values: Any, schema: Schema) -> Structure:
    """Return the faults of a failed validation.

    Parameters
    ----------
    error : ValidationError
        As raised.
    values : plain JSON values
        The document that was validated; pointers are resolved against it.
    schema : dict
        The model's JSON Schema, for what would be accepted.
    """
    found = Structure()
    for line in error.errors(include_url=False, include_input=True):
        path = _resolved(line, values)
        faults = found.faults
        if line["type"] == _UNKNOWN:
            found.unknown.append(path)
            faults = found.unknown_fields
        if len(faults) <= MOST_FAULTS:
            faults.append(_fault(line, Place(schema, values, path)))
    return found


def _resolved(line: ErrorDetails, values: Any) -> list[str | int]:
    """Return the path to the offending value, without the names pydantic adds for the branch of a union it took."""
    path: list[str | int] = []
    here = values
    for position, step in enumerate(line["loc"]):
        last = position == len(line["loc"]) - 1
        if isinstance(here, dict) and str(step) in here:
            here = here[str(step)]
            path.append(str(step))
        elif isinstance(here, list | tuple) and isinstance(step, int):
            here = here[step] if step < len(here) else None
            path.append(step)
        elif isinstance(here, dict) and last and line["type"] in ("missing", OURS):
            path.append(str(step))
    if line["type"] in ("union_tag_invalid", "union_tag_not_found") and isinstance(here, dict):
        path.append(str(line["ctx"]["discriminator"]).strip("'"))
    return path


def _fault(line: ErrorDetails, place: Place) -> Fault:
    pointer = "".join(f"/{token(str(step))}" for step in place.path)
    wrong, accepted = _SAID.get(line["type"], _otherwise)(line, place)
    return Fault(pointer, wrong, accepted)


Words = tuple[str, str]


def _ours(line: ErrorDetails, place: Place) -> Words:
    return line["ctx"]["wrong"], line["ctx"]["accepted"]


def _missing(line: ErrorDetails, place: Place) -> Words:
    return f"{place.path[-1]} is missing", place.description or f"{place.path[-1]}, which is required"


def _unknown(line: ErrorDetails, place: Place) -> Words:
    name = str(place.path[-1])
    if name in _RESERVED:
        return _RESERVED[name], f"a document without {name}"
    return f"there is no field {shown(name)} here", suggestion(name, place.neighbours, "a known field")


def _no_such_word(line: ErrorDetails, place: Place) -> Words:
    context = line["ctx"]
    found = context.get("tag", line["input"])
    return f"{_named(found)} is not known here", str(context.get("expected_tags", context.get("expected"))).replace("'", "")


def _infinite(line: ErrorDetails, place: Place) -> Words:
    return f"{line['input']} is not a finite number", place.description or "a finite number"


def _otherwise(line: ErrorDetails, place: Place) -> Words:
    described = place.description
    if (kind := _KINDS.get(line["type"])) is None:
        return line["msg"], described or "a value as the schema describes"
    return f"{_named(line['input'])} is not {kind}", f"{kind}: {described}" if described else kind


_SAID: Mapping[str, Callable[[ErrorDetails, Place], Words]] = {
    OURS: _ours,
    "missing": _missing,
    "union_tag_not_found": _missing,
    _UNKNOWN: _unknown,
    "literal_error": _no_such_word,
    "union_tag_invalid": _no_such_word,
    "finite_number": _infinite,
}


def _named(found: Any) -> str:
    if isinstance(found, dict):
        return "an object"
    if isinstance(found, list):
        return "a list"
    return "null" if found is None else str(found).lower() if isinstance(found, bool) else shown(found)
