"""The pages of the documentation as blocks of commands, JSON and Python, with what the comment before each asks for."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGES = (ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "docs").rglob("*.md")))
_BLOCK = re.compile(r"(?:^<!-- *(?P<word>[a-z ]+): *(?P<value>.*?) *-->\n+)?^```(?P<kind>\w*)\n(?P<text>.*?)^```$", re.M | re.S)


@dataclass(frozen=True, slots=True)
class Block:
    """One fenced block of a page.

    The comment on the line before it may ask for something: ``file: NAME`` (write it for the commands that follow),
    ``part of: NAME`` (must be contained in that file), ``exits: CODE``, ``not run: REASON``.
    """

    page: Path
    line: int
    kind: str
    text: str
    word: str | None
    value: str

    @property
    def where(self) -> str:
        """Page and line, as failures name it."""
        return f"{self.page.relative_to(ROOT)}:{self.line}"


def blocks(page: Path) -> Iterator[Block]:
    """Yield a page's fenced blocks in order."""
    content = page.read_text(encoding="utf-8")
    for found in _BLOCK.finditer(content):
        line = content.count("\n", 0, found.start()) + 1
        yield Block(page, line, found["kind"], found["text"], found["word"], found["value"] or "")


def contained(part: object, whole: object) -> bool:
    """Whether a JSON value is part of another: objects by their fields, lists entry by entry from the first, values equal."""
    if isinstance(part, dict):
        return isinstance(whole, dict) and all(key in whole and contained(value, whole[key]) for key, value in part.items())
    if isinstance(part, list):
        return isinstance(whole, list) and len(part) <= len(whole) and all(map(contained, part, whole))
    return part == whole
