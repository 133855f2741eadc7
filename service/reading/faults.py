"""What pydantic found wrong, as faults: a JSON pointer, what is wrong, what would be accepted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
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


Strangers = list[tuple[Sequence[str | int], Fault]]


def structural_faults(error: ValidationError, values: Any, schema: Schema) -> tuple[list[Fault], Strangers]:
    """Return the faults of a failed validation, and apart from them the fields the model does not know, with their paths.

    Parameters
    ----------
    error : ValidationError
        As raised.
    values : plain JSON values
        The document that was validated; pointers are resolved against it.
    schema : dict
        The model's JSON Schema, for what would be accepted.
    """
    faults: list[Fault] = []
    strangers: Strangers = []
    for line in error.errors(include_url=False, include_input=True):
        path = _resolved(line, values)
        fault = _fault(line, path, schema)
        if line["type"] == _UNKNOWN:
            strangers.append((path, fault))
        else:
            faults.append(fault)
    return faults, strangers


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
    kind, context, found = line["type"], line.get("ctx", {}), line.get("input")
    described = _described(schema, path)
    if kind == OURS:
        return Fault(pointer, context["wrong"], context["accepted"])
    if kind == "missing" or kind == "union_tag_not_found":
        return Fault(pointer, f"{path[-1]} is missing", described or f"{path[-1]}, which is required")
    if kind == _UNKNOWN:
        name = str(path[-1])
        if name in _RESERVED:
            return Fault(pointer, _RESERVED[name], f"a document without {name}")
        return Fault(
            pointer, f"there is no field {shown(name)} here", suggestion(name, _fields(schema, path[:-1]), "a known field")
        )
    if kind == "literal_error":
        return Fault(pointer, f"{shown(found)} is not known here", context["expected"].replace("'", ""))
    if kind == "union_tag_invalid":
        return Fault(pointer, f"{shown(context['tag'])} is not known here", "one of " + context["expected_tags"].replace("'", ""))
    if kind == "finite_number":
        return Fault(pointer, f"{found} is not a finite number", described or "a finite number")
    if kind in _KINDS:
        accepted = _KINDS[kind] + (f": {described}" if described else "")
        return Fault(pointer, f"{_named(found)} is not {_KINDS[kind]}", accepted)
    return Fault(pointer, line["msg"], described or "a value as the schema describes")


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
