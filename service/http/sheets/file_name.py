"""What a sheet is called where it is saved: `Content-Disposition` (RFC 6266), names beyond ASCII by RFC 8187."""

from __future__ import annotations

import re
import unicodedata
from urllib.parse import quote

_LONGEST = 80
_NO_NAME = re.compile(r'[/\\:*?"<>|%]')
_ATTR_CHARS = "!#$&+-.^_`|~"
_SHOWN = ("application/pdf", "image/svg+xml", "text/html", "text/plain")
"""Media types that a browser shows itself; others are saved."""


def disposition(weldment: str, rank: int, suffix: str, media_type: str) -> str:
    """Return the header: ``inline; filename="hinge lug, rank 1.pdf"``, with the whole name where ASCII does not hold it."""
    return saved_as(weldment, f", rank {rank}{suffix}", media_type)


def saved_as(name: str, ending: str, media_type: str) -> str:
    """Return the header of what has a name and an ending: ``attachment; filename="hinge lug.step"``."""
    way = "inline" if media_type.partition(";")[0] in _SHOWN else "attachment"
    whole, plain = f"{_safe(name)}{ending}", f"{_ascii(name)}{ending}"
    header = f'{way}; filename="{plain}"'
    return header if whole == plain else f"{header}; filename*=UTF-8''{quote(whole, safe=_ATTR_CHARS)}"


def _safe(name: str) -> str:
    """Return a name without what steers, hides or leads to another folder, of so many characters at most."""
    seen = "".join("" if unicodedata.category(c)[0] == "C" else c for c in unicodedata.normalize("NFC", name))
    return _NO_NAME.sub("-", seen)[:_LONGEST].strip(" .") or "weldment"


def _ascii(name: str) -> str:
    letters = unicodedata.normalize("NFKD", _safe(name)).encode("ascii", "ignore").decode()
    return _NO_NAME.sub("-", letters).strip(" .") or "weldment"
