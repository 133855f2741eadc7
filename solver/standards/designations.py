"""Sections by their designations, as standards write them: ``SHS 50x50x3``, ``L 80x40x6``, ``UPE 100``, ``EN 10210 CHS 48.3x3``.

Hollow sections are cold formed (EN 10219) unless EN 10210, or HF before the name, says that they are hot finished. The first
size lies along the section's u, the second along its v.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from inventory.errors import Fault, InvalidDocument, refuse
from inventory.limits import plain, shown
from solver.sections import Section
from solver.standards.section_sizes import StandardSize, size_table
from solver.standards.size_series import SERIES

HOT_RADIUS = 1.5
"""Outside corner radius of hot finished hollow sections, times their wall (EN 10210-2, for properties)."""
LONGEST = 100
ACCEPTED = (
    "such as SHS 50x50x3, RHS 60x40x4, CHS 48.3x3.2 (EN 10219, or with EN 10210), L 50x50x5, UPE 80, UPN 80, PFC 150x75x18, "
    "FL 50x8, SQ 20, RD 20, PL 8x100x200"
)
_STANDARD = re.compile(r"\b(?:(?:BS|DIN|NF|UNI|ISO)\s*)*EN\s*(10\d\d\d)(?:-\d)?(?::\d{4})?(?![\d.])")
_GRADE = re.compile(r"\bS\d{3}[A-Z0-9+]*\b")
_NAME = re.compile(r"(CF|HF)?([A-Z]+)\s*([\d.].*)?")
_SIZES = re.compile(r"\d{1,5}(?:\.\d{1,4})?(?:X\d{1,5}(?:\.\d{1,4})?){0,3}")


@dataclass(frozen=True, slots=True)
class DesignatedSection:
    """What a designation stands for.

    Parameters
    ----------
    name : str
        The designation as it is written here.
    section : Section
    along : float or None
        The length it names itself, mm: of a plate ``PL 8x100x200``, which is 200 long; None for all others.
    thickness : float or None
        Of a plate, mm.
    not_in_series : str
        What of its sizes the standard's series do not have, in words; empty if they have all.
    """

    name: str
    section: Section
    along: float | None = None
    thickness: float | None = None
    not_in_series: str = ""


def designated(text: str, length: float | None = None) -> DesignatedSection:
    """Return the section that a designation stands for.

    Parameters
    ----------
    text : str
        Capitals or small letters, ``x``, ``X``, ``*`` or a multiplication sign between sizes, decimal points or commas, with or
        without blanks, the standard, the grade.
    length : float or None
        How long a plate is whose designation does not say it, mm.

    Raises
    ------
    InvalidDocument
        If it is none; what comes near it is named.
    """
    if len(text) > LONGEST:
        raise _refused(f"{len(text)} characters", ACCEPTED)
    written = _normal(text)
    standards = set(_STANDARD.findall(written))
    bare = _GRADE.sub(" ", _STANDARD.sub(" ", written))
    bare = re.sub(r"(?<=[\dX])\s*(X)\s*(?=\d)", r"\1", re.sub(r"\s+", " ", bare).strip(" -,;:/"))
    bare = re.sub(r"(?<=\d)\s*X\s*(?=\d)", "X", bare)
    match = _NAME.fullmatch(bare)
    kind = None if match is None else _KINDS.get(match[2])
    if match is None or kind is None:
        raise _refused(f"{shown(text)} is no designation that is known here", ACCEPTED)
    sizes = (match[3] or "").strip()
    if not _SIZES.fullmatch(sizes):
        raise _refused(f"{shown(text)} has no sizes that can be read", ACCEPTED)
    if match[1] and kind is not _hollow:
        raise _refused(f"{shown(text)}: {match[1]} stands before hollow sections only", ACCEPTED)
    hot = match[1] == "HF" or "10210" in standards
    if hot and (match[1] == "CF" or "10219" in standards):
        raise _refused(f"{shown(text)} is cold formed and hot finished", "EN 10219, or EN 10210")
    return kind(match[2], tuple(map(float, sizes.split("X"))), hot, length)


def _normal(text: str) -> str:
    """Return a designation in capitals, sizes with decimal points and X between them."""
    folded = unicodedata.normalize("NFKC", text).upper().replace("\u00d7", "X").replace("*", "X").replace("\u2715", "X")
    folded = folded.replace("\u00d8", "RD ").replace("\u2300", "RD ").replace("\u2013", "-")
    return re.sub(r"(?<=\d),(?=\d)", ".", folded)


def _refused(wrong: str, accepted: str) -> InvalidDocument:
    return InvalidDocument([Fault("", wrong, accepted)])


def _counted(name: str, sizes: tuple[float, ...], counts: tuple[int, ...], form: str) -> None:
    if len(sizes) not in counts:
        listed = "x".join(map(plain, sizes))
        refuse([Fault("", f"{name} {listed} has {len(sizes)} sizes", form)])


def _hollow(name: str, sizes: tuple[float, ...], hot: bool, _length: float | None) -> DesignatedSection:
    made, standard = ("hot", "EN 10210-2") if hot else ("cold", "EN 10219-2")
    *outsides, wall = sizes
    if name == "CHS":
        _counted(name, sizes, (2,), "diameter and wall, such as CHS 48.3x3.2")
        section = Section("round_tube", diameter=outsides[0], wall=wall)
    else:
        _counted(name, sizes, (2, 3) if name == "SHS" else (3,), "two sides and the wall, such as RHS 60x40x4")
        width, height = outsides[0], outsides[-1]
        if name == "SHS" and width != height:
            raise _refused(f"the sides of SHS {plain(width)}x{plain(height)}x{plain(wall)} differ", "SHS of equal sides, or RHS")
        radius = HOT_RADIUS * wall if hot else None
        if width == height:
            section = Section("square_tube", width=width, wall=wall, corner_radius=radius)
        else:
            section = Section("rect_tube", width=width, height=height, wall=wall, corner_radius=radius)
        outsides = [width, height]
    outside = plain(outsides[0]) if section.shape != "rect_tube" else "x".join(plain(s) for s in sorted(outsides, reverse=True))
    lacks = SERIES[f"{made} {section.shape}"].lacks(outside, plain(wall))
    title = f"{'CHS' if name == 'CHS' else 'SHS' if section.shape == 'square_tube' else 'RHS'} "
    title += "x".join(map(plain, (*outsides, wall)))
    return DesignatedSection(f"{title} {standard}", section, not_in_series=_told(lacks, standard))


def _told(lacks: str, standard: str) -> str:
    return f"{lacks} is not in the series of {standard}" if lacks else ""


def _angle(name: str, sizes: tuple[float, ...], _hot: bool, _length: float | None) -> DesignatedSection:
    _counted(name, sizes, (2, 3), "two legs and the thickness, such as L 80x40x6")
    a, b, t = sizes if len(sizes) == 3 else (sizes[0], *sizes)
    known = _known("angle")
    fits = any(
        sorted((size.sizes["leg_a"], size.sizes["leg_b"])) == sorted((a, b)) and size.sizes["thickness"] == t for size in known
    )
    title = f"L {'x'.join(map(plain, (a, b, t)))}"
    if not fits:
        high, low = max(a, b), min(a, b)
        by_size = sorted(
            known,
            key=lambda size: (
                abs(size.sizes["leg_a"] - high) + abs(size.sizes["leg_b"] - low) + 4 * abs(size.sizes["thickness"] - t)
            ),
        )
        raise _refused(f"{title} is not in EN 10056-1", "the nearest: " + ", ".join(_close(size) for size in by_size[:3]))
    return DesignatedSection(title, Section("angle", leg_a=a, leg_b=b, thickness=t))


def _close(size: StandardSize) -> str:
    return "L " + size.name.replace(" ", "")


def _known(shape: str) -> tuple[StandardSize, ...]:
    table = size_table(shape, "mm")
    assert table is not None, shape
    return table.sizes


def _channel(name: str, sizes: tuple[float, ...], _hot: bool, _length: float | None) -> DesignatedSection:
    series = "UPN" if name == "UNP" else name
    asked = "x".join(map(plain, sizes))
    known = [size for size in _known("channel") if size.name.startswith(series + " ")]
    names = [size.name.replace(" ", "").removeprefix(series) for size in known]
    found = [k for k, each in enumerate(names) if each == asked or each.startswith(asked + "x")]
    if len(found) == 1 or (found and names[found[0]] == asked):
        size = known[found[0]]
        height, flange, web, thick = (size.sizes[field] for field in ("height", "flange", "web", "flange_thickness"))
        section = Section("channel", height=height, flange=flange, web=web, flange_thickness=thick)
        return DesignatedSection(f"{series} {names[found[0]]}", section)
    near = found or sorted(range(len(known)), key=lambda k: (abs(known[k].sizes["height"] - sizes[0]), k))[:3]
    listed = ", ".join(f"{series} {names[k]}" for k in sorted(near))
    wrong = f"{series} {asked} is {'more than one size' if found else 'not'} in EN 10365"
    raise _refused(wrong, f"{'one of these' if found else 'the nearest'}: {listed}")


def _flat(name: str, sizes: tuple[float, ...], _hot: bool, _length: float | None) -> DesignatedSection:
    _counted(name, sizes, (2,), "width and thickness, such as FL 50x8")
    width, thickness = sizes
    lacks = SERIES["flat_bar"].lacks(plain(width), plain(thickness))
    section = Section("flat_bar", width=width, thickness=thickness)
    return DesignatedSection(f"FL {plain(width)}x{plain(thickness)}", section, not_in_series=_told(lacks, "EN 10058"))


def _square(name: str, sizes: tuple[float, ...], _hot: bool, _length: float | None) -> DesignatedSection:
    _counted(name, sizes, (1,), "the side, such as SQ 20")
    lacks = SERIES["square_bar"].lacks(plain(sizes[0]))
    section = Section("flat_bar", width=sizes[0], thickness=sizes[0])
    return DesignatedSection(f"SQ {plain(sizes[0])}", section, not_in_series=_told(lacks, "EN 10059"))


def _round(name: str, sizes: tuple[float, ...], _hot: bool, _length: float | None) -> DesignatedSection:
    _counted(name, sizes, (1,), "the diameter, such as RD 20")
    lacks = SERIES["round_bar"].lacks(plain(sizes[0]))
    section = Section("round_bar", diameter=sizes[0])
    return DesignatedSection(f"RD {plain(sizes[0])}", section, not_in_series=_told(lacks, "EN 10060"))


def _plate(name: str, sizes: tuple[float, ...], _hot: bool, length: float | None) -> DesignatedSection:
    _counted(name, sizes, (2, 3), "thickness, width and length, such as PL 8x100x200")
    thickness, width = sizes[:2]
    named = sizes[2] if len(sizes) == 3 else None
    long = named if named is not None else length
    if long is None:
        raise _refused(f"PL {plain(thickness)}x{plain(width)} has no length", "thickness, width and length, such as PL 8x100x200")
    outline = ((0.0, 0.0), (width, 0.0), (width, long), (0.0, long))
    title = f"PL {'x'.join(map(plain, (thickness, width, long)))}"
    return DesignatedSection(title, Section("plate", plate_outline=outline), long, thickness)


_KINDS: Mapping[str, Callable[[str, tuple[float, ...], bool, float | None], DesignatedSection]] = {
    **dict.fromkeys(("SHS", "RHS", "CHS"), _hollow),
    "L": _angle,
    **dict.fromkeys(("UPE", "UPN", "UNP", "PFC"), _channel),
    **dict.fromkeys(("FL", "FLAT"), _flat),
    "SQ": _square,
    **dict.fromkeys(("RD", "ROUND"), _round),
    **dict.fromkeys(("PL", "PLATE"), _plate),
}
