"""An alternative given as values: judged like one read from a document, so that no number or body goes unseen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any, get_args

from inventory.errors import Fault, InvalidDocument
from inventory.shapes import Prism
from solver.checks.scene.reading import LARGEST_NUMBER
from solver.plans import Alternative, Change, Handling, PartContact, PlacedContact, Placement, Role

BODIES = ("stations", "parts", "placements", "part_contacts", "welds", "load", "changes")
"""What of an alternative stands in the table frame; prices, times and counts have no size to keep to."""
OF_VARIANTS = ("parts", "placements", "part_contacts", "welds", "load")

FLAGS = ("heavy",)
"""Fields that are true or false; anywhere else only numbers, texts and lists stand."""


def value_faults(alternative: Alternative) -> Iterator[Fault]:
    """Yield every number no table can hold, every unsound solid, empty patch and unknown role."""
    if not alternative.stations:
        yield Fault("/stations", "is empty", "at least one station")
    for name in BODIES:
        yield from _faults(getattr(alternative, name), f"/{name}")
    for k, variant in enumerate(alternative.variants):
        yield from _faults(tuple(variant.settings.values()), f"/variants/{k}/settings")
        yield from _faults(variant.station, f"/variants/{k}")
        for name in OF_VARIANTS:
            yield from _faults(getattr(variant, name), f"/variants/{k}/{name}")


def _faults(value: Any, pointer: str) -> Iterator[Fault]:
    if isinstance(value, Prism):
        yield from _solid_faults(value, pointer)
    elif isinstance(value, tuple):
        for k, entry in enumerate(value):
            yield from _faults(entry, f"{pointer}/{k}")
    elif is_dataclass(value):
        yield from _own_faults(value, pointer)
        for each in fields(value):
            if each.name in FLAGS and isinstance(getattr(value, each.name), bool):
                continue
            yield from _faults(getattr(value, each.name), f"{pointer}/{each.name}")
    elif isinstance(value, float | int) and not isinstance(value, bool):
        if not abs(value) <= LARGEST_NUMBER:
            yield Fault(pointer, f"is {value}", f"a number within {LARGEST_NUMBER:,}")
    elif value is not None and not isinstance(value, str):
        yield Fault(pointer, f"is a {type(value).__name__}", "a number, a text or a list of them")


def _own_faults(value: Any, pointer: str) -> Iterator[Fault]:
    """Yield what one object must have that no number in it shows."""
    if isinstance(value, PlacedContact | PartContact) and not value.patch:
        yield Fault(f"{pointer}/patch", "is empty", "at least one point")
    if isinstance(value, Change) and value.do not in get_args(Handling):
        yield Fault(f"{pointer}/do", f"is {value.do!r}", "take_off, move, set or add")
    if isinstance(value, Placement):
        for k, (_, role) in enumerate(value.locates):
            if role not in get_args(Role):
                yield Fault(f"{pointer}/locates/{k}/as", f"is {role!r}", "support, side or end")


def _solid_faults(solid: Prism, pointer: str) -> Iterator[Fault]:
    # A solid moved to its place is not judged anew when it is moved; here it is.
    try:
        Prism(solid.outline, solid.start, solid.end, solid.cutouts, solid.frame, solid.cuts)
    except InvalidDocument as unsound:
        yield from (fault.under(pointer) for fault in unsound.faults)
