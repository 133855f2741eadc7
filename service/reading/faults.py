"""What pydantic found wrong, as faults: a JSON pointer, what is wrong, what would be accepted."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails, InitErrorDetails, PydanticCustomError

from inventory.errors import Fault
from inventory.limits import shown, suggestion
from service.reading.text import token

OURS = "contract"
"""The error type under which the domain's own faults travel through pydantic."""
Schema = Mapping[str, Any]

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


Path = Sequence[str | int]
MOST_FAULTS = 1000
"""Faults told apart; a document with more is told how many."""


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
            faults.append(_fault(line, path, schema))
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


def _fault(line: ErrorDetails, path: Sequence[str | int], schema: Schema) -> Fault:
    pointer = "".join(f"/{token(str(step))}" for step in path)
    say = _SAID.get(line["type"], _otherwise)
    wrong, accepted = say(line, path, schema)
    return Fault(pointer, wrong, accepted)


Words = tuple[str, str]


def _ours(line: ErrorDetails, path: Sequence[str | int], schema: Schema) -> Words:
    return line["ctx"]["wrong"], line["ctx"]["accepted"]


def _missing(line: ErrorDetails, path: Sequence[str | int], schema: Schema) -> Words:
    return f"{path[-1]} is missing", _described(schema, path) or f"{path[-1]}, which is required"


def _unknown(line: ErrorDetails, path: Sequence[str | int], schema: Schema) -> Words:
    name = str(path[-1])
    if name in _RESERVED:
        return _RESERVED[name], f"a document without {name}"
    return f"there is no field {shown(name)} here", suggestion(name, _fields(schema, path[:-1]), "a known field")


def _no_such_word(line: ErrorDetails, path: Sequence[str | int], schema: Schema) -> Words:
    context = line["ctx"]
    found = context.get("tag", line["input"])
    return f"{_named(found)} is not known here", str(context.get("expected_tags", context.get("expected"))).replace("'", "")


def _infinite(line: ErrorDetails, path: Sequence[str | int], schema: Schema) -> Words:
    return f"{line['input']} is not a finite number", _described(schema, path) or "a finite number"


def _otherwise(line: ErrorDetails, path: Sequence[str | int], schema: Schema) -> Words:
    described = _described(schema, path)
    if (kind := _KINDS.get(line["type"])) is None:
        return line["msg"], described or "a value as the schema describes"
    return f"{_named(line['input'])} is not {kind}", f"{kind}: {described}" if described else kind


_SAID: Mapping[str, Callable[[ErrorDetails, Sequence[str | int], Schema], Words]] = {
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


def _described(schema: Schema, path: Sequence[str | int]) -> str | None:
    described = _part(schema, path).get("description")
    return str(described).rstrip(".") if described else None


def _fields(schema: Schema, path: Sequence[str | int]) -> list[str]:
    return list(_part(schema, path).get("properties", ()))


def _part(schema: Schema, path: Sequence[str | int]) -> Schema:
    """Return the part of a schema that describes the value at a path; the branches of a union count together."""
    here: list[Schema] = _branches(schema, schema)
    for step in path:
        following: list[Schema] = []
        for branch in here:
            if isinstance(step, str):
                found = branch.get("properties", {}).get(step) or branch.get("additionalProperties")
            else:
                found = branch.get("items")
            if isinstance(found, dict):
                following += _branches(found, schema)
        here = following
    merged: dict[str, Any] = {}
    for branch in here:
        merged.setdefault("properties", {}).update(branch.get("properties", {}))
        if "description" in branch:
            merged.setdefault("description", branch["description"])
    return merged


def _branches(part: Schema, root: Schema) -> list[Schema]:
    """Return a schema as its alternatives, references followed; what stands beside a reference comes first."""
    found: list[Schema] = [part]
    if "$ref" in part:
        found += _branches(root["$defs"][part["$ref"].rsplit("/", 1)[1]], root)
    for choice in (*part.get("anyOf", ()), *part.get("oneOf", ())):
        found += _branches(choice, root)
    return found
