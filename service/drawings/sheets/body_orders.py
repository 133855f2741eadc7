"""Drawings of weldments and items that are asked for: all they are drawn from, and nothing else."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Any

from service.documents import read_item
from service.documents.weldment import read_weldment
from service.drawings.file_format import by_name
from service.drawings.items.item_formats import ITEM_FORMATS
from service.drawings.items.shown_items import ShownItems
from service.drawings.weldment.weldment_formats import WELDMENT_FORMATS
from service.release import release


@dataclass(frozen=True, slots=True)
class BodyOrder:
    """Something that is drawn from documents in a format.

    Parameters
    ----------
    documents : tuple of str
        Sound ones, JSON text.
    format : str
        The format's name.
    """

    documents: tuple[str, ...]
    format: str

    @property
    def key(self) -> str:
        """What the drawing's bytes depend on, this release included, as 64 hexadecimal digits (SHA-256)."""
        return hashlib.sha256(json.dumps([type(self).__name__, *self.settings, release()]).encode()).hexdigest()

    @property
    def settings(self) -> tuple[Any, ...]:
        """All that is ordered, as JSON."""
        return self.documents, self.format

    def content(self) -> bytes:
        """Draw it."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class WeldmentOrder(BodyOrder):
    """A weldment to be drawn."""

    def content(self) -> bytes:
        """Draw it."""
        return by_name(WELDMENT_FORMATS, self.format).content(read_weldment(self.documents[0]))


@dataclass(frozen=True, slots=True)
class ItemsOrder(BodyOrder):
    """Items to be drawn, their pegs at the pitch of a lattice (mm), if there is one."""

    pitch: float | None

    @property
    def settings(self) -> tuple[Any, ...]:
        """All that is ordered, as JSON."""
        return self.documents, self.format, self.pitch

    def content(self) -> bytes:
        """Draw them."""
        items = tuple(read_item(document) for document in self.documents)
        return by_name(ITEM_FORMATS, self.format).content(ShownItems(items, self.pitch))
