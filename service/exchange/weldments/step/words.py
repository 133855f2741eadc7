"""A recognised part in the trade's words: ``square tube 50 x 50 x 3, 600 mm, mitred at one end``."""

from __future__ import annotations

import math

from inventory.limits import plain
from solver.weldment import Part


def in_words(part: Part) -> str:
    """Return what a part is, with its sizes, its length and its cut ends; mm."""
    section = part.section
    sizes = section.sizes
    length = f"{_size(part.length)} mm"
    if section.shape == "body":
        u, v = zip(*section.plate_outline, strict=True)
        return f"outer body {_size(max(u) - min(u))} x {_size(max(v) - min(v))} x {_size(part.length)} mm, takes up room only"
    if section.shape == "plate":
        u, v = zip(*section.plate_outline, strict=True)
        words = f"plate {_size(max(u) - min(u))} x {_size(max(v) - min(v))}, {_size(part.length)} mm thick"
        if not part.flat:
            words = f"profile by its outline {_size(max(u) - min(u))} x {_size(max(v) - min(v))}, {length}"
        count = len(section.plate_cutouts)
        words += f", {count} cut-out{'s' if count > 1 else ''}" if count else ""
    else:
        listed = [sizes[field] for field in section.profile.sizes]
        listed = [sizes["width"], *listed] if section.shape == "square_tube" else listed
        words = f"{section.shape.replace('_', ' ')} {' x '.join(map(_size, listed))}"
        radius = sizes.get("corner_radius")
        if radius is not None:
            words += f" with corner radius {_size(radius)}" if radius else " with sharp corners"
        words += f", {length}"
    return words + _cuts(part)


def _cuts(part: Part) -> str:
    if not part.cuts:
        return ""
    steep = [math.degrees(math.acos(min(1.0, abs(cut.normal[2])))) for cut in part.cuts]
    ends = {cut.normal[2] > 0 for cut, lean in zip(part.cuts, steep, strict=True) if lean < 89.9}
    where = "both ends" if len(ends) == 2 else "one end"
    leans = " and ".join(dict.fromkeys(f"{lean:.4g}" for lean in steep))
    if len(part.cuts) == len(ends) and not part.flat:
        return f", mitred at {where} ({leans} degrees)"
    count = f"{len(part.cuts)} plane{'s' if len(part.cuts) > 1 else ''}"
    return f", cut by {count} ({leans} degrees)"


def _size(value: float) -> str:
    return plain(round(value, 3))
