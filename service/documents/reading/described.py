"""What a JSON Schema says about one place of a document."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

Schema = Mapping[str, Any]
Path = Sequence[str | int]


@dataclass(frozen=True, slots=True)
class Place:
    """A place in a document: the document's schema, its values, and the path."""

    schema: Schema
    values: Any
    path: Path

    @property
    def description(self) -> str | None:
        """What the schema says should be there."""
        described = _part(self.schema, self.path, self.values).get("description")
        return str(described).rstrip(".") if described else None

    @property
    def neighbours(self) -> list[str]:
        """The fields the object may have in which this one stands."""
        return list(_part(self.schema, self.path[:-1], self.values)["properties"])


def _part(schema: Schema, path: Path, value: Any) -> Schema:
    """Return the part of a schema that describes the value at a path.

    Of a union the branch counts whose constants the value keeps (a section's shape); otherwise all count together.
    """
    here: list[Schema] = _branches(schema, schema, value)
    for step in path:
        following: list[Schema] = []
        value = _member(value, step)
        for branch in here:
            if isinstance(step, str):
                found = branch.get("properties", {}).get(step) or branch.get("additionalProperties")
            else:
                found = branch.get("items")
            if isinstance(found, dict):
                following += _branches(found, schema, value)
        here = following
    merged: dict[str, Any] = {"properties": {}}
    for branch in here:
        merged["properties"].update(branch.get("properties", {}))
        if "description" in branch:
            merged.setdefault("description", branch["description"])
    return merged


def _member(value: Any, step: str | int) -> Any:
    if isinstance(value, dict):
        return value.get(step)
    return value[step] if isinstance(value, list) and isinstance(step, int) and step < len(value) else None


def _branches(part: Schema, root: Schema, value: Any) -> list[Schema]:
    """Return a schema as its alternatives, references followed; what stands beside a reference comes first."""
    found: list[Schema] = [part]
    if "$ref" in part:
        found += _branches(root["$defs"][part["$ref"].rsplit("/", 1)[1]], root, value)
    choices = [_branches(choice, root, value) for choice in (*part.get("anyOf", ()), *part.get("oneOf", ()))]
    kept = [choice for choice in choices if any(_keeps_constants(branch, value) for branch in choice)]
    for choice in kept or choices:
        found += choice
    return found


def _keeps_constants(branch: Schema, value: Any) -> bool:
    constants = {name: entry["const"] for name, entry in branch.get("properties", {}).items() if "const" in entry}
    return bool(constants) and isinstance(value, dict) and all(value.get(name) == const for name, const in constants.items())
