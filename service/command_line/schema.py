"""`holdwright schema`: what documents look like."""

from __future__ import annotations

from service.command_line.printing.console import BAD_INPUT, DONE, note, print_json
from service.documents import SCHEMAS, json_schema


def print_schema(name: str) -> int:
    """Print one JSON Schema; exit code 2 if there is no such document."""
    if name not in SCHEMAS:
        note(f"there is no document {name!r}; accepted: {', '.join(SCHEMAS)}")
        return BAD_INPUT
    print_json(json_schema(name))
    return DONE
