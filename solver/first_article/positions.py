"""Where a part stands along the one it is welded to: from the nearer end of that one to the nearest face of the part."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from inventory.shapes import Array
from solver.checks.scene.scene import SetPart
from solver.first_article.measures import ArticleMeasure
from solver.first_article.reach import FinishedWeldment, MeasuredFace
from solver.first_article.tapes import between, measured
from solver.standards.iso13920 import LEAST_MM, LinearClass

BUTTED = 1.0
"""Opposite faces no farther apart than this butt on each other, mm."""


def welded_pairs(finished: FinishedWeldment) -> list[tuple[SetPart, SetPart]]:
    """Return every two parts that a weld joins, once, the longer one first; in the order of the welds."""
    parts = finished.scene.parts
    found = dict.fromkeys(tuple(sorted(weld.parts)) for weld in finished.scene.welds)
    order = {id: k for k, id in enumerate(parts)}
    pairs = [sorted((parts[a], parts[b]), key=lambda part: (-round(_size(part), 3), order[part.id])) for a, b in found]
    return [(longer, shorter) for longer, shorter in pairs]


def positions(finished: FinishedWeldment, tolerance_class: LinearClass) -> Iterator[ArticleMeasure]:
    """Yield, for each welded pair, the place of one part along the other; across a plate along both its directions."""
    for longer, shorter in welded_pairs(finished):
        for carrier, part in ((longer, shorter), (shorter, longer)):
            found = [place for axis in _axes(carrier, part) if (place := _place(finished, carrier, part, axis))]
            yield from (measured(finished, "position", between(finished, *place), tolerance_class) for place in found)
            if found:
                break


def _size(part: SetPart) -> float:
    """Return how long a part is, of a plate its larger side, mm."""
    low, high = part.block.local_bounds
    return float((high - low)[:2].max() if part.part.flat else (high - low)[2])


def _axes(carrier: SetPart, part: SetPart) -> list[Array]:
    """Return the directions along which a part's place on its carrier is told: the carrier's length, a plate's two directions."""
    if not carrier.part.flat:
        return [carrier.pose[:3, 2]]
    across = carrier.pose[:3, 2]
    own = [axis for axis in part.pose[:3, :3].T if abs(float(axis @ across)) < 1e-6]
    return own or [carrier.pose[:3, 0], carrier.pose[:3, 1]]


def near_and_far(axis: Array) -> tuple[Array, Array]:
    """Return both directions along an axis: to the left, near or down first, then to the right, far or up."""
    onward = axis if axis[np.argmax(np.abs(np.round(axis, 6)))] > 0 else -axis
    return -onward, onward


def _place(finished: FinishedWeldment, carrier: SetPart, part: SetPart, axis: Array) -> tuple[MeasuredFace, MeasuredFace] | None:
    """Return the carrier's end and the part's outermost face that looks the same way, of both ends the pair that is nearer.

    A part that reaches over the end is measured from there outwards. None if all is flush, or the carrier butts on the part.
    """
    found = []
    for outward in near_and_far(axis):
        if _butts(carrier, part, outward):
            return None
        for end in finished.looking(carrier.id, outward)[:1]:
            found += [(end, face) for face in finished.looking(part.id, outward)[:1] if _apart(end, face) >= LEAST_MM]
    return min(found, key=lambda pair: round(_apart(*pair), 3), default=None)


def _apart(end: MeasuredFace, face: MeasuredFace) -> float:
    return abs(end.height - face.height)


def _butts(carrier: SetPart, part: SetPart, outward: Array) -> bool:
    """Whether the carrier's end butts on the part: then the part stands not along it but at its end."""
    end = float((carrier.block.corners @ outward).max())
    start = float((part.block.corners @ outward).min())
    return abs(end - start) < BUTTED
