"""Which ways a solid may be looked at as a prism: the axes that all its faces run along, but for its ends."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from inventory import limits
from inventory.shapes import Array
from solver.recognition.boundary import CylinderSurface, DrawnFace, PlaneSurface, SolidBoundary
from solver.recognition.cross_section import CrossSection, OpenOutline, basis_about, cross_section, is_lateral
from solver.recognition.cut_ends import CutEnds, cut_ends, supporting
from solver.recognition.directions import positive
from solver.recognition.sightings import Sighting, at_face, kind_of
from solver.recognition.tolerances import PARALLEL

NORMALS = 60
"""So many directions of planes, those of the most faces, are crossed with each other."""
SHOWN = 8
"""So many faces are named that keep a solid from being a prism; the rest is counted."""


@dataclass(frozen=True)
class PrismView:
    """A solid as a prism along one axis."""

    section: CrossSection
    ends: CutEnds

    @property
    def length(self) -> float:
        """How far it reaches along its axis, mm."""
        return self.ends.high - self.ends.low


def views(boundary: SolidBoundary) -> tuple[list[PrismView], tuple[Sighting, ...]]:
    """Return every way a solid is a prism with cut ends; if none, why not along the axis with the fewest, smallest odd faces."""
    convex = supporting(boundary)
    low, high = boundary.box
    origin = (low + high) / 2
    found: list[PrismView] = []
    against: list[Sighting] | None = None
    fewest = len(boundary.faces) + 1, 0.0
    for axis in axes(boundary.faces):
        lateral = [face for face in boundary.faces if is_lateral(face, axis)]
        ends = [face for face in boundary.faces if not is_lateral(face, axis)]
        reasons = _reasons(ends, convex)
        if not reasons:
            try:
                view = _view(boundary, lateral, ends, axis, origin)
            except OpenOutline as open_outline:
                reasons = [Sighting("section.open", open_outline.text, None, _place(open_outline, axis, origin))]
            else:
                if len(view.ends.planes) <= limits.CUTS:
                    found.append(view)
                    continue
                text = f"{len(view.ends.planes)} planes cut its ends, at most {limits.CUTS} can be told"
                reasons = [Sighting("ends.too_many_cuts", text)]
        spans = [float(np.ptp(face.points, axis=0).max()) for face in ends if face.number not in convex]
        odd = len(spans), sum(spans)
        if odd < fewest:
            against, fewest = reasons, odd
    if found or against:
        return found, () if found else tuple(against or ())
    everywhere = _reasons(boundary.faces, convex)
    return found, tuple(everywhere) or (Sighting("section.no_axis", "no two of its faces run along one direction"),)


def _view(
    boundary: SolidBoundary, lateral: Sequence[DrawnFace], ends: Sequence[DrawnFace], axis: Array, origin: Array
) -> PrismView:
    section = cross_section(lateral, basis_about(axis), origin)
    return PrismView(section, cut_ends(boundary, section, ends))


def axes(faces: Sequence[DrawnFace]) -> list[Array]:
    """Return the directions that faces run along, those of the most lateral faces first; each once, in its positive sense."""
    normals = _each_once([np.array(face.surface.normal) for face in faces if isinstance(face.surface, PlaneSurface)])[:NORMALS]
    turning = _each_once([np.array(face.surface.axis) for face in faces if isinstance(face.surface, CylinderSurface)])
    crossed = [np.cross(normals[i], normals[k]) for i in range(len(normals)) for k in range(i)]
    sizes = [float(np.linalg.norm(direction)) for direction in crossed]
    crossed = [direction / size for direction, size in zip(crossed, sizes, strict=True) if size > 1e-3]
    each = _each_once([*turning, *crossed])
    counted = [(sum(is_lateral(face, axis) for face in faces), axis) for axis in each[: 4 * NORMALS]]
    likely = sorted(((count, *np.round(axis, 6), axis) for count, axis in counted if count >= 1), key=lambda entry: entry[:4])
    return [entry[-1] for entry in reversed(likely)][:24]


def _each_once(directions: Sequence[Array]) -> list[Array]:
    """Return directions without repetition up to their sign, the most frequent first."""
    found: list[tuple[Array, int]] = []
    known = np.zeros((0, 3))
    counts: list[int] = []
    for direction in directions:
        way = positive(direction)
        near = np.flatnonzero(np.abs(known @ way) > 1 - PARALLEL**2) if len(known) else np.zeros(0, dtype=int)
        if len(near):
            counts[int(near[0])] += 1
        else:
            known = np.vstack([known, way])
            counts.append(1)
    found = sorted(zip(known, counts, strict=True), key=lambda entry: -entry[1])
    return [direction for direction, _ in found]


def _reasons(ends: Sequence[DrawnFace], convex: set[int]) -> list[Sighting]:
    """Return what keeps faces from being plane ends of a prism."""
    odd = [face for face in ends if face.number not in convex]
    found = []
    for face in odd[:SHOWN]:
        if isinstance(face.surface, PlaneSurface):
            text = "the solid lies on both sides of this flat face: a step, a notch or a pocket, not an end"
            found.append(at_face("face.inner_step", face, text))
        else:
            text = f"the face ({kind_of(face)}) neither runs along the solid nor is it a flat end"
            found.append(at_face("face.curved", face, text))
    if len(odd) > SHOWN:
        found.append(Sighting("face.more", f"{len(odd) - SHOWN} more such faces"))
    return found


def _place(open_outline: OpenOutline, axis: Array, origin: Array) -> tuple[float, float, float] | None:
    if open_outline.at is None:
        return None
    x, y, z = (round(float(value), 3) + 0.0 for value in origin + basis_about(axis) @ np.array([*open_outline.at, 0.0]))
    return x, y, z
