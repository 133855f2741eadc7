"""How wide words are on paper, by the font the drawings are set in, and how they are cut where there is no room."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.resources import as_file, files

FAMILY = "DejaVu Sans"
"""The font that lies beside the drawings; screens without it take the next sans serif."""
SMALL, NORMAL, LARGE = 2.5, 2.8, 4.0
"""Heights of the font, mm. Capitals are 0.73 of it: 1.8 mm and more can be read on a sheet at arm's length (ISO 3098)."""
LINE = 1.25
"""Lines of a text follow each other at so many times its size."""
ELLIPSIS = "…"
_UNKNOWN = 1.4
_WEIGHTS = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}


@cache
def _advances(bold: bool) -> Mapping[int, float]:
    """Return how far each character leads, in sizes of the font."""
    from fontTools.ttLib import TTFont

    with as_file(files("service.drawings") / "fonts" / _WEIGHTS[bold]) as path, TTFont(path, lazy=True) as font:
        per_size, widths = font["head"].unitsPerEm, font["hmtx"].metrics
        return {code: widths[glyph][0] / per_size for code, glyph in font.getBestCmap().items()}


def width_mm(text: str, size_mm: float, bold: bool = False) -> float:
    """Return how wide a text is at a size, mm; characters the font lacks count as wide ones."""
    advances = _advances(bold)
    return size_mm * sum(advances.get(ord(character), _UNKNOWN) for character in text)


def fitted(text: str, size_mm: float, widest_mm: float, bold: bool = False) -> str:
    """Return a text, cut with an ellipsis where it is wider than there is room for."""
    if width_mm(text, size_mm, bold) <= widest_mm:
        return text
    left = widest_mm - width_mm(ELLIPSIS, size_mm, bold)
    kept = 0
    for character in text:
        left -= width_mm(character, size_mm, bold)
        if left < 0:
            break
        kept += 1
    return text[:kept].rstrip() + ELLIPSIS
