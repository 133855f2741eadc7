"""Ids of parts made of the names that bodies have in a file: valid, each once, like the last step of the name."""

from __future__ import annotations

import re
from collections.abc import Iterable

from inventory import limits
from solver.weldment import RESERVED


def part_ids(names: Iterable[str]) -> list[str]:
    """Return an id for each name: ``frame/Post 2`` becomes ``post-2``; of equal ones the later are numbered."""
    found: list[str] = []
    taken = {RESERVED}
    for name in names:
        last, number = _last(name)
        stem = re.sub(r"[^\w.+-]+", "-", last.lower()).strip("-._") or "part"
        stem = f"{stem}-{number}" if number else stem
        stem = stem[: limits.ID_LENGTH - 6].rstrip("-._")
        id, k = stem, 1
        while id in taken:
            k += 1
            id = f"{stem}-{k}"
        taken.add(id)
        found.append(id)
    return found


def _last(name: str) -> tuple[str, str]:
    """Return the last step of a name that is no bare number, and the number behind it."""
    steps = name.split("/")
    if len(steps) > 1 and steps[-1].isdigit():
        return steps[-2], steps[-1]
    return steps[-1], ""
