"""Which format is wanted: by its name, or by the ending of the file it goes to."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown
from service.drawings.formats import FORMATS, Format
from service.drawings.subject import PAPERS, Paper


def offered() -> Mapping[str, Format]:
    """Return the formats a plan can be had in here, whose libraries are installed, by name, in the order they are offered."""
    return {name: each for name, each in FORMATS.items() if each.available}


def format_named(name: str) -> Format:
    """Return the format of a name; raises InvalidDocument with the names there are."""
    found = FORMATS.get(name)
    if found is None:
        raise InvalidDocument([Fault("", f"there is no format {shown(name)}", "one of " + ", ".join(offered()))])
    return _installed(found)


def format_of_file(file: Path) -> Format:
    """Return the format whose files end as this one does, in any case; raises InvalidDocument with the endings there are."""
    for each in FORMATS.values():
        if file.suffix.lower() == each.suffix:
            return _installed(each)
    ending = f"no format ends in {shown(file.suffix)}" if file.suffix else "its name has no ending"
    endings = ", ".join(each.suffix for each in offered().values())
    raise InvalidDocument([Fault("", ending, f"one of {endings}; or any name with --format")])


def _installed(found: Format) -> Format:
    """Return a format; raises InvalidDocument, saying what to install, if its library is not there."""
    if not found.available:
        accepted = f"pip install 'holdwright[{found.name}]', or one of {', '.join(offered())}"
        raise InvalidDocument([Fault("", f"the library of format {found.name} is not installed", accepted)])
    return found


def paper_named(name: str) -> Paper:
    """Return the paper of a name; raises InvalidDocument with the names there are."""
    if name not in PAPERS:
        raise InvalidDocument([Fault("", f"there is no paper {shown(name)}", "one of " + ", ".join(PAPERS))])
    return name
