"""The lists beside the drawing: parts, welds, seams without a weld, tolerances, open dimensions, each in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from inventory.limits import plain, shown
from service.page.weldments.chosen import Chosen, DraftFault
from service.weldments.drafted_weldment import DraftedWeldment
from service.weldments.edited import named
from service.weldments.requirements import face_key
from service.weldments.section_forms import SHAPES
from solver.drafting import Seam, face
from solver.geometry.joints import length_of
from solver.weldment import OpenDimension, Part, Tolerance, Weld

Length = Callable[[float], str]
"""Words a length, mm, as whoever looks wants lengths."""


@dataclass(frozen=True, slots=True)
class ListedEntry:
    """One line of a list: what it picks, its name, what it is, and whether something is to be mended."""

    about: Chosen
    name: str
    words: str
    at_fault: bool = False
    kind: str = ""


@dataclass(frozen=True, slots=True)
class SeamsBetween:
    """The seams between two parts that carry no weld."""

    parts: tuple[str, str]
    seams: tuple[ListedEntry, ...]


@dataclass(frozen=True, slots=True)
class ListedWeldment:
    """Every list of a draft."""

    parts: tuple[ListedEntry, ...]
    welds: tuple[ListedEntry, ...]
    tolerances: tuple[ListedEntry, ...]
    open_dimensions: tuple[ListedEntry, ...]
    seams: tuple[SeamsBetween, ...]

    @property
    def seam_kinds(self) -> tuple[tuple[str, int], ...]:
        """How many seams of each kind carry no weld, by kind, fillets first."""
        count = Counter(seam.kind for each in self.seams for seam in each.seams)
        return tuple(sorted(count.items(), key=lambda kind: (kind[0] != "fillet", kind[0])))

    @property
    def seam_count(self) -> int:
        """How many seams carry no weld."""
        return sum(len(each.seams) for each in self.seams)


def listed_weldment(
    drafted: DraftedWeldment, seams: Sequence[tuple[int, Seam]], faults: Iterable[DraftFault], length: Length
) -> ListedWeldment:
    """Return the lists of a draft."""
    faulty = {str(fault.about) for fault in faults if fault.about is not None}

    def listed(kind: str, name: str, words: Callable[[dict[str, Any], int], tuple[str, str]]) -> tuple[ListedEntry, ...]:
        return tuple(
            ListedEntry(Chosen(kind, k), *words(entry, k), f"{kind}:{k}" in faulty)
            for k, entry in enumerate(drafted.entries(name))
        )

    parts, welds, tolerances, dimensions = drafted.parts, drafted.welds, drafted.tolerances, drafted.open_dimensions
    return ListedWeldment(
        listed("part", "parts", lambda entry, k: (named(entry, f"part {k + 1}"), _part(parts[k], entry, length))),
        listed("weld", "welds", lambda entry, k: (named(entry, f"weld {k + 1}"), _weld(welds[k], entry, length))),
        listed("tolerance", "tolerances", lambda entry, k: _tolerance(tolerances[k], entry, drafted, length)),
        listed("open", "open_dimensions", lambda entry, k: _open(dimensions[k], entry, drafted, length)),
        _between(seams, length),
    )


def _between(seams: Sequence[tuple[int, Seam]], length: Length) -> tuple[SeamsBetween, ...]:
    found: dict[frozenset[str], list[tuple[int, Seam]]] = {}
    for number, seam in seams:
        found.setdefault(frozenset(seam.parts), []).append((number, seam))
    return tuple(
        SeamsBetween(
            each[0][1].parts,
            tuple(
                ListedEntry(Chosen("seam", number), seam.place, f"{seam.kind}, {length(seam.length)}", kind=seam.kind)
                for number, seam in each
            ),
        )
        for each in found.values()
    )


def _part(part: Part | None, entry: dict[str, Any], length: Length) -> str:
    section = entry.get("section")
    shape = section.get("shape") if isinstance(section, dict) else None
    if part is None:
        return SHAPES[shape][0] if isinstance(shape, str) and shape in SHAPES else "not readable yet"
    return f"{part_words(part, length)}, {part.material}"


def part_words(part: Part, length: Length) -> str:
    """Return a part's section and length in words: ``square tube 50 mm x 3 mm, 500 mm long``."""
    kind, section = SHAPES[part.section.shape][0], part.section
    if not section.profile.sizes:
        wide = [max(c) - min(c) for c in zip(*section.plate_outline, strict=True)]
        return f"{kind} {length(wide[0])} x {length(wide[1])} x {length(part.length)}"
    sizes = " x ".join(length(section.sizes[name]) for name in section.profile.sizes)
    return f"{kind} {sizes}, {length(part.length)} long"


def _weld(weld: Weld | None, entry: dict[str, Any], length: Length) -> str:
    if weld is None:
        return f"{shown(entry.get('kind', 'no kind'))}, not readable yet"
    size = weld.leg or weld.throat
    measure = "" if size is None else f" {'leg' if weld.leg else 'throat'} {length(size)}"
    fixture = {"full": "", "tack": ", tacked", "none": ", not in the fixture"}[weld.in_fixture]
    return f"{weld.kind}{measure}, {length(length_of(weld))}, {weld.parts[0]} and {weld.parts[1]}{fixture}"


def _place(entry: Tolerance | OpenDimension, drafted: DraftedWeldment) -> str:
    part, key = drafted.part(entry.part), face_key(drafted, entry)
    if part is not None and key is not None:
        return face(part, key).words
    return "along (" + ", ".join(plain(round(c, 3)) for c in entry.direction) + ")"


def _tolerance(tolerance: Tolerance | None, entry: dict[str, Any], drafted: DraftedWeldment, length: Length) -> tuple[str, str]:
    if tolerance is None:
        return f"{shown(entry.get('part', 'a part'))}", "tolerance, not readable yet"
    to = f", from {tolerance.relative_to}" if tolerance.relative_to else ""
    return tolerance.part, f"± {length(tolerance.plus_minus)}{to}, {_place(tolerance, drafted)}"


def _open(entry: OpenDimension | None, given: dict[str, Any], drafted: DraftedWeldment, length: Length) -> tuple[str, str]:
    if entry is None:
        return f"{shown(given.get('part', 'a part'))}", "open dimension, not readable yet"
    return entry.part, f"{length(entry.low)} to {length(entry.high)}, {_place(entry, drafted)}"
