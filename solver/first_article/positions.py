"""Where a part stands along the one it is welded to: from the nearer end of that one to the nearest face of the part."""

from __future__ import annotations

from collections.abc import Iterator

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
    found = dict.fromkeys(tuple(sorted(weld.parts)) for weld in finished.scene.request.weldment.welds)
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
    return float((high - low)[:2].max() if part.part.section.shape == "plate" else (high - low)[2])


def _axes(carrier: SetPart, part: SetPart) -> list[Array]:
    """Return the directions along which a part's place on its carrier is told: the carrier's length, a plate's two directions."""
    if carrier.part.section.shape != "plate":
        return [carrier.pose[:3, 2]]
    across = carrier.pose[:3, 2]
    own = [axis for axis in part.pose[:3, :3].T if abs(float(axis @ across)) < 1e-6]
    return own or [carrier.pose[:3, 0], carrier.pose[:3, 1]]


def _place(finished: FinishedWeldment, carrier: SetPart, part: SetPart, axis: Array) -> tuple[MeasuredFace, MeasuredFace] | None:
    """Return the carrier's end and the part's face that looks the same way and is nearest to it; None if none lies inside of it."""
    found: list[tuple[float, MeasuredFace, MeasuredFace]] = []
    for outward in (axis, -axis):
        ends, inward = finished.looking(carrier.id, outward)[:1], finished.looking(part.id, -outward)
        if _butts(finished, carrier, part, outward):
            return None
        near = finished.looking(part.id, outward)[:1]
        if ends and near and (inward or part.part.section.round):
            found.append((ends[0].height - near[0].height, ends[0], near[0]))
    found = [each for each in found if each[0] >= LEAST_MM]
    return min(found, key=lambda each: round(each[0], 3))[1:] if found else None


def _butts(finished: FinishedWeldment, carrier: SetPart, part: SetPart, outward: Array) -> bool:
    """Whether the carrier's end butts on the part: then the part stands not along it but at its end."""
    end = float((carrier.block.corners @ outward).max())
    start = float((part.block.corners @ outward).min())
    return abs(end - start) < BUTTED
