"""Which format is wanted: by its name, or by the ending of the file it goes to."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.drawings.file_format import by_ending, by_name, installed
from service.drawings.formats import FORMATS, Format
from service.drawings.subject import PAPERS, Paper


def offered() -> Mapping[str, Format]:
    """Return the formats a plan can be had in here, whose libraries are installed, by name, in the order they are offered."""
    return installed(FORMATS)


def format_named(name: str) -> Format:
    """Return the format of a name; raises InvalidDocument with the names there are."""
    return by_name(FORMATS, name)


def format_of_file(file: Path) -> Format:
    """Return the format whose files end as this one does, in any case; raises InvalidDocument with the endings there are."""
    return by_ending(FORMATS, file)


def paper_named(name: str) -> Paper:
    """Return the paper of a name; raises InvalidDocument with the names there are."""
    if name not in PAPERS:
        raise InvalidDocument([Fault("", f"there is no paper {shown(name)}", "one of " + ", ".join(PAPERS))])
    return name
