"""A toy that a guide of DEVELOPERS.md adds: which files it writes, and what shows that it works."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class New:
    """A file that was not there."""

    path: str
    text: str

    def apply(self, folder: Path) -> None:
        """Write the file."""
        file = folder / self.path
        assert file.parent.is_dir() and not file.exists(), self.path
        file.write_text(self.text, encoding="utf-8")


@dataclass(frozen=True, slots=True)
class Changed:
    """A file in which words are replaced, each once: pairs of what was there and what is there now."""

    path: str
    words: tuple[tuple[str, str], ...]

    def apply(self, folder: Path) -> None:
        """Replace the words; they must be there exactly once."""
        file = folder / self.path
        text = file.read_text(encoding="utf-8")
        for before, after in self.words:
            assert text.count(before) == 1, f"{self.path} has {before!r} {text.count(before)} times"
            text = text.replace(before, after)
        file.write_text(text, encoding="utf-8")


@dataclass(frozen=True, slots=True)
class Toy:
    """One toy.

    Parameters
    ----------
    guide : str
        Title of the guide in DEVELOPERS.md that it follows.
    edits : tuple
        Every file it touches, once each.
    shown_by : str
        Python that runs with the copy of the packages first on the path, and raises unless the toy works.
    """

    guide: str
    edits: tuple[New | Changed, ...]
    shown_by: str
