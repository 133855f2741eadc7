"""A form in which something can be had as a file, and which of several is wanted: by name, or by the ending of the file."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Generic, TypeVar

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown

Drawn = TypeVar("Drawn")


@dataclass(frozen=True)
class FileFormat(Generic[Drawn]):
    """One format.

    Parameters
    ----------
    media_type : str
        As HTTP names it.
    suffix : str
        Ending of the file's name, with its dot.
    draw : callable
        Returns what is drawn in the format; raises KeyError if the alternative names a table or an item the stock does not have,
        NotInstalled if it needs a library that is not there.
    needs : str
        The library of an extra that it needs; empty if what every installation has is enough.
    sheet : bool
        Whether people work by it, so that it tells all that the hands do; other programs read the rest.
    use : str
        What it is for, in a few words.
    """

    name: str
    media_type: str
    suffix: str
    draw: Callable[[Drawn], str | bytes]
    needs: str = ""
    sheet: bool = False
    use: str = ""

    @property
    def available(self) -> bool:
        """Whether what it needs is installed."""
        return not self.needs or find_spec(self.needs) is not None

    def content(self, subject: Drawn) -> bytes:
        """Return the file's bytes; text in UTF-8."""
        drawn = self.draw(subject)
        return drawn.encode() if isinstance(drawn, str) else drawn


Formats = Mapping[str, FileFormat[Drawn]]
"""Formats by name, in the order they are offered."""


def installed(formats: Formats[Drawn]) -> Formats[Drawn]:
    """Return the formats whose libraries are installed here, in their order."""
    return {name: each for name, each in formats.items() if each.available}


def by_name(formats: Formats[Drawn], name: str) -> FileFormat[Drawn]:
    """Return the format of a name; raises InvalidDocument with the names there are."""
    found = formats.get(name)
    if found is None:
        raise InvalidDocument([Fault("", f"there is no format {shown(name)}", "one of " + ", ".join(installed(formats)))])
    return _installed(found, formats)


def by_ending(formats: Formats[Drawn], file: Path) -> FileFormat[Drawn]:
    """Return the format whose files end as this one does, in any case, by its longest ending.

    Raises
    ------
    InvalidDocument
        With the endings there are.
    """
    name = file.name.lower()
    found = [each for each in formats.values() if name.endswith(each.suffix) and name != each.suffix]
    if found:
        return _installed(max(found, key=lambda each: len(each.suffix)), formats)
    ending = f"no format ends in {shown(file.suffix)}" if file.suffix else "its name has no ending"
    endings = ", ".join(each.suffix for each in installed(formats).values())
    raise InvalidDocument([Fault("", ending, f"one of {endings}; or any name with --format")])


def _installed(found: FileFormat[Drawn], formats: Formats[Drawn]) -> FileFormat[Drawn]:
    """Return a format; raises InvalidDocument, saying what to install, if its library is not there."""
    if not found.available:
        accepted = f"pip install 'holdwright[exchange]', or one of {', '.join(installed(formats))}"
        raise InvalidDocument([Fault("", f"the library of format {found.name} is not installed", accepted)])
    return found
