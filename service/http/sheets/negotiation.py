"""Which format is answered: the one that `Accept` likes best of those there are (RFC 9110, 12.5.1)."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from service.drawings.file_format import Drawn, FileFormat

PREFERRED = "pdf"
_QUALITY = re.compile(r"(?:0(?:\.\d{0,3})?|1(?:\.0{0,3})?)\Z")
_MEDIA = re.compile(r"[\w!#$&^.+*-]+/[\w!#$&^.+*-]+\Z", re.ASCII)


@dataclass(frozen=True, slots=True)
class MediaRange:
    """One entry of an `Accept`: a media type or a range of them, parameters it asks for, and how welcome it is, 0 to 1."""

    media: str
    parameters: frozenset[tuple[str, str]]
    quality: float

    def closeness(self, media_type: str) -> int | None:
        """Return how exactly this names a media type, more for the more exact; None if it does not."""
        media, parameters = _parts(media_type)
        if self.media == "*/*":
            return 0
        if self.media == f"{media.partition('/')[0]}/*":
            return 1
        if self.media == media and self.parameters <= parameters:
            return 2 + len(self.parameters)
        return None


def chosen(accept: str | None, offered: Mapping[str, FileFormat[Drawn]]) -> FileFormat[Drawn] | None:
    """Return the format that is liked best, None if none is accepted.

    Among formats liked as well the preferred one comes first, then the order they are offered in. Without an `Accept`, or with
    one that cannot be read, anything is welcome.

    Parameters
    ----------
    accept : str, optional
        The header, several of them joined by commas.
    offered : mapping
        The formats there are, by name.
    """
    ranges = list(media_ranges(accept or "")) or [MediaRange("*/*", frozenset(), 1.0)]
    ordered = sorted(offered.values(), key=lambda each: each.name != PREFERRED)
    liked = {each.name: _quality(each.media_type, ranges) for each in ordered}
    best = max(ordered, key=lambda each: liked[each.name], default=None)
    return best if best is not None and liked[best.name] > 0 else None


def prefers(accept: str, wanted: str, otherwise: str) -> bool:
    """Return whether an `Accept` names one media type as more welcome than another; without an `Accept` it does not."""
    ranges = list(media_ranges(accept))
    return _quality(wanted, ranges) > _quality(otherwise, ranges)


def preferred_to(accept: str, offered: Mapping[str, FileFormat[Drawn]], otherwise: str) -> FileFormat[Drawn] | None:
    """Return the format that an `Accept` likes best if it is more welcome than another media type; None if that one is."""
    ranges = list(media_ranges(accept))
    best = max(offered.values(), key=lambda each: _quality(each.media_type, ranges), default=None)
    return best if best is not None and prefers(accept, best.media_type, otherwise) else None


def media_ranges(accept: str) -> Iterator[MediaRange]:
    """Yield the entries of an `Accept` that can be read."""
    for entry in accept.split(","):
        media, parameters = _parts(entry)
        quality = next((value for name, value in parameters if name == "q"), "1")
        if _MEDIA.match(media) and _QUALITY.match(quality):
            yield MediaRange(media, frozenset(pair for pair in parameters if pair[0] != "q"), float(quality))


def _quality(media_type: str, ranges: Iterable[MediaRange]) -> float:
    """Return how welcome a media type is: what its closest range says, 0 if none names it."""
    named = [(closeness, each.quality) for each in ranges if (closeness := each.closeness(media_type)) is not None]
    return max(named, default=(0, 0.0))[1]


def _parts(text: str) -> tuple[str, frozenset[tuple[str, str]]]:
    """Return a media type without its parameters, and these, all in small letters."""
    media, *rest = (part.strip().lower() for part in text.split(";"))
    pairs = (part.partition("=") for part in rest if part)
    return media, frozenset((name.strip(), value.strip().strip('"')) for name, _, value in pairs)
