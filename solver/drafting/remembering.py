"""What was found out of a part is remembered: whoever draws changes one part at a time and asks for all of them again."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import ParamSpec, TypeVar

from solver.sections import Section
from solver.weldment import Part

MOST_CORNERS = 200
"""Of a section with more corners than this nothing is remembered: memory is kept for what shops draw."""
PARTS = 1024
"""So many parts are remembered."""
PAIRS = 2048
"""So many pairs of parts are remembered."""
Given = ParamSpec("Given")
Found = TypeVar("Found")


def remembered(most: int) -> Callable[[Callable[Given, Found]], Callable[Given, Found]]:
    """Return a decorator that keeps the last `most` answers of a pure function of parts and sections, by their values."""

    def keep(function: Callable[Given, Found]) -> Callable[Given, Found]:
        kept = lru_cache(maxsize=most)(function)

        @wraps(function)
        def answer(*args: Given.args, **more: Given.kwargs) -> Found:
            return kept(*args, **more) if all(_is_small(value) for value in args) else function(*args, **more)  # type: ignore[arg-type]

        return answer

    return keep


def _is_small(value: object) -> bool:
    section = value.section if isinstance(value, Part) else value
    return not isinstance(section, Section) or len(section.outline) + sum(map(len, section.cutouts)) <= MOST_CORNERS
