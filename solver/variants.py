"""Variants: other sizes of a weldment, or its mirror image, that run on one set-up with it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, get_args

from inventory import limits
from inventory.errors import Fault, refuse
from solver.plans import Alternative, VariantPlan
from solver.weldment import Weldment

Mirror = Literal["x", "y"]
MOST = 12
"""So many variants at most run beside the request's own weldment."""


@dataclass(frozen=True, slots=True)
class Variant:
    """One more weldment of a run: its name, how many of it, and how it is drawn.

    `mirror` names the axis of the weldment's frame along which it is the mirror image of the request's own weldment; None for
    another size. A size has the same parts, in the same order, and the same welds, drawn in the same frame.
    """

    name: str
    quantity: int
    weldment: Weldment
    mirror: Mirror | None = None

    def __post_init__(self) -> None:
        refuse(_own_faults(self))


def _own_faults(variant: Variant) -> Iterator[Fault]:
    if not variant.name.strip():
        yield Fault("/name", "the variant has no name", "a name of its own, such as 'L 600'")
    yield from limits.name_faults("/name", variant.name)
    yield from limits.QUANTITY.faults("/quantity", variant.quantity)
    if variant.mirror is not None:
        yield from limits.one_of_faults("/mirror", variant.mirror, get_args(Mirror))


def variant_faults(weldment: Weldment, variants: Sequence[Variant]) -> Iterator[Fault]:
    """Yield, under `/variants`, what keeps variants from being sizes of a weldment: other parts, welds or shapes, names twice."""
    if len(variants) > MOST:
        yield Fault("/variants", f"{len(variants)} variants", f"at most {MOST}")
    yield from limits.repeated_faults(((f"/variants/{k}/name", variant.name) for k, variant in enumerate(variants)), "name")
    for k, variant in enumerate(variants):
        yield from (fault.under(f"/variants/{k}/weldment") for fault in size_faults(weldment, variant.weldment))


def size_faults(weldment: Weldment, other: Weldment) -> Iterator[Fault]:
    """Yield what keeps a weldment from being another size of one: parts, welds and shapes must be the same."""
    own, there = [part.id for part in weldment.parts], [part.id for part in other.parts]
    if own != there:
        yield Fault("/parts", f"its parts are {_listed(there)}", f"the parts of the request's own weldment: {_listed(own)}")
    else:
        for k, (part, size) in enumerate(zip(weldment.parts, other.parts, strict=True)):
            if part.section.shape != size.section.shape:
                wrong = f"{limits.shown(part.id)} is a {size.section.shape} here and a {part.section.shape} in the request"
                yield Fault(f"/parts/{k}/section/shape", wrong, part.section.shape)
            if len(part.cuts) != len(size.cuts):
                wrong = f"{limits.shown(part.id)} has {len(size.cuts)} cuts here and {len(part.cuts)} in the request"
                yield Fault(f"/parts/{k}/cuts", wrong, f"{len(part.cuts)} cuts")
    welds, beads = [weld.id for weld in weldment.welds], [weld.id for weld in other.welds]
    if welds != beads:
        yield Fault("/welds", f"its welds are {_listed(beads)}", f"the welds of the request's own weldment: {_listed(welds)}")
        return
    for k, (weld, bead) in enumerate(zip(weldment.welds, other.welds, strict=True)):
        if set(weld.parts) != set(bead.parts):
            accepted = " and ".join(weld.parts)
            yield Fault(f"/welds/{k}/parts", f"{limits.shown(weld.id)} joins other parts than in the request", accepted)


def in_order_of(weldment: Weldment, other: Weldment) -> Weldment:
    """Return a weldment with its parts and welds in the order another has them; as it is if they are not the same."""
    places = {part.id: k for k, part in enumerate(weldment.parts)}
    beads = {weld.id: k for k, weld in enumerate(weldment.welds)}
    if places.keys() != {part.id for part in other.parts} or beads.keys() != {weld.id for weld in other.welds}:
        return other
    return Weldment(
        tuple(sorted(other.parts, key=lambda part: places[part.id])),
        tuple(sorted(other.welds, key=lambda weld: beads[weld.id])),
        other.name, other.tolerances, other.open_dimensions, other.units,
    )  # fmt: skip


def _listed(names: Sequence[str]) -> str:
    shown = ", ".join(limits.shown(name) for name in names[:6])
    return (shown or "none") + (f" and {len(names) - 6} more" if len(names) > 6 else "")


def alone(alternative: Alternative, variant: VariantPlan) -> Alternative:
    """Return a variant as an alternative by itself, at the price and with the kit of the one it belongs to."""
    return replace(
        alternative, title=variant.name, cycle_s=variant.cycle_s, stations=(variant.station,), parts=variant.parts,
        placements=variant.placements, part_contacts=variant.part_contacts, welds=variant.welds, load=variant.load,
        findings=variant.findings, measures=None, changes=None, variants=(),
    )  # fmt: skip
