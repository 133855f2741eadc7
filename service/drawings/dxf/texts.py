"""Names as texts of a DXF file: what its readers would take for more than letters is written as the letters it stands for."""

from __future__ import annotations

import re
from collections.abc import Iterator

APPLICATION = "HOLDWRIGHT"
"""Under this name entities carry what they are."""
LONGEST = 60
"""Characters of one value; whatever they are, they come to no more than the 255 bytes a reader takes."""

Tag = tuple[int, str | float | tuple[float, float, float]]


def written(text: str) -> str:
    """Return a text as any string of a DXF file has it.

    A backslash before ``U+`` or ``M+`` would begin a coded character and is written as one itself; a caret would begin a control
    character and has a blank behind it (DXF reference, "Control character representation").
    """
    return re.sub(r"\\(?=[UM]\+)", r"\\U+005C", text).replace("^", "^ ")


def shown(text: str) -> str:
    """Return a text as a TEXT entity shows it: two percent signs would begin a code, three show one."""
    return written(text.replace("%", "%%%") if "%%" in text else text)


def facts(**known: str | float | None) -> list[Tag]:
    """Return what is known of an entity as its extended data: names and values by turns, as strings (1000).

    A long value is told in several pairs of the same name, to be put together. What is None is left out.
    """
    return [
        (1000, written(word))
        for name, value in known.items()
        if value is not None
        for part in _parts(value if isinstance(value, str) else f"{value:g}")
        for word in (name, part)
    ]


def _parts(text: str) -> Iterator[str]:
    yield from (text[at : at + LONGEST] for at in range(0, max(1, len(text)), LONGEST))
