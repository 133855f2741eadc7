"""A drawn solid as a part: section, length, pose and cut ends, with how far that is from what is drawn; or why it is none.

Which part it is where it might be several, in this order:

1. a tube, a round, an angle or a channel, unless it is shorter along its axis than its metal is thick (a tube's wall, a leg,
   half a round's diameter): then it is cut from sheet, a plate;
2. a block of six flat faces with a full rectangle as section is a flat bar if its length is more than `BAR` times its section's
   longer side, or if its section's shorter side is more than `BLOCK` of its longer one and it is no shorter than that: too thick
   for a plate;
3. any other prism is a plate by its outline and cut-outs: along the axis across which it is thin (`SHEET`) with two square faces,
   else along the axis that needs the fewest cuts, else along its shortest. So are rolled and extruded profiles without a name of
   their own: their thickness is their length.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from inventory.cuts import PlaneCut
from inventory.errors import InvalidDocument
from inventory.shapes import Array, Point2
from solver.drafting.tidy import tidy, tidy_point
from solver.recognition.boundary import CylinderSurface, SolidBoundary, numbers_of
from solver.recognition.candidates import PrismView, axes, views
from solver.recognition.deviation import PrismDeviation, measured
from solver.recognition.directions import COARSE, DIGITS, DIRECTION_DIGITS, across_of, pose_of
from solver.recognition.drilled_holes import filled_across
from solver.recognition.outlines.named_shapes import NamedShape, named_shape
from solver.recognition.outlines.polygons import polygon
from solver.recognition.outlines.sides import Sides, enclosed
from solver.recognition.sightings import Sighting
from solver.recognition.tolerances import BREAK
from solver.sections import Section
from solver.weldment import Material, Part, Pose

FARTHEST = 1e6
"""Coordinates beyond this, mm, are not looked at; what a part may have is less."""
BAR = 3.0
BLOCK = 0.5
SHEET = 1 / 3
LARGEST_MM, LARGEST_SHARE = 1.0, 0.02
"""A prism farther than this from what is drawn is not taken for it: distance between surfaces, share of the volume.

Excepted are roundings that an angle or a channel is modelled without, inside corners of tubes, which nothing touches, and the
volume of round sides that are drawn by facets.
"""


@dataclass(frozen=True)
class RecognisedPrism:
    """What a solid was recognised as.

    Parameters
    ----------
    section, length, pose, cuts
        As of a part; `length` is the uncut one, mm.
    deviation : PrismDeviation
        How far that is from what is drawn.
    sightings : tuple of Sighting
        What the part does not tell of the solid.
    """

    section: Section
    length: float
    pose: Pose
    cuts: tuple[PlaneCut, ...]
    deviation: PrismDeviation
    sightings: tuple[Sighting, ...] = ()

    def part(self, id: str, name: str = "", material: Material = "steel") -> Part:
        """Return it as a part of a weldment."""
        return Part(id, self.section, self.length, self.pose, material, name, self.cuts)


@dataclass(frozen=True, slots=True)
class NoPrism:
    """Why a solid is no part, by its faces."""

    reasons: tuple[Sighting, ...]


def recognise_filled(boundary: SolidBoundary) -> RecognisedPrism | NoPrism:
    """Return what a drawn solid is once holes drilled through its walls are filled; a solid that is a prism with them stays so.

    Filled is as little as makes it a prism. The deviation is that from what is drawn, holes and all.
    """
    as_drawn = recognise(boundary)
    if isinstance(as_drawn, RecognisedPrism) or flaw(boundary):
        return as_drawn
    fillings = [filling for axis in axes(boundary.faces) if (filling := filled_across(boundary, axis)) is not None]
    for filling in sorted(fillings, key=lambda each: each.volume):
        found = recognise(filling.boundary)
        if isinstance(found, RecognisedPrism):
            off = measured(boundary, found.section, found.length, found.pose, found.cuts)
            off = replace(off, largest_mm=max(off.largest_mm, filling.radius))  # from the middle of a hole to its rim
            return replace(found, deviation=off, sightings=(*found.sightings, *filling.sightings))
    return as_drawn


def recognise(boundary: SolidBoundary) -> RecognisedPrism | NoPrism:
    """Return what a drawn solid is as a part of a weldment, or what keeps it from being one."""
    unsound = flaw(boundary)
    if unsound:
        return NoPrism((unsound,))
    if not len(boundary.points):
        return NoPrism((Sighting("solid.no_edges", "none of its edges can be made out"),))
    found, against = views(boundary)
    if not found:
        return NoPrism(against)
    view, shape = _chosen(boundary, found)
    try:
        prism = _as_named(boundary, view, shape) if shape else _as_outline(boundary, view)
    except InvalidDocument as refused:
        faults = (f"{fault.wrong}; accepted: {fault.accepted}" for fault in refused.faults[:3])
        return NoPrism(tuple(Sighting("part.refused", text) for text in faults))
    return prism if _near(prism) else NoPrism((_too_far(prism), *prism.sightings))


def flaw(boundary: SolidBoundary) -> Sighting | None:
    """Return what keeps a boundary from being looked at as a solid at all: no volume, or numbers that are no places."""
    if not any(face.edges for face in boundary.faces) or not 0 < boundary.volume < np.inf:
        return Sighting("solid.no_volume", "the solid encloses no volume")
    for face in boundary.faces:
        surface = face.surface
        if not len(face.points) or (isinstance(surface, CylinderSurface) and not surface.radius > BREAK):
            return Sighting("solid.unreadable", "the face has no edges or no size", face.number)
    numbers = [*boundary.points.ravel(), *(number for face in boundary.faces for number in numbers_of(face.surface))]
    if not np.abs(numbers).max() + boundary.sag <= FARTHEST:  # nor is it if any of them is none
        return Sighting("solid.too_far", f"it reaches beyond {FARTHEST / 1000:g} m of the origin, or its places are no numbers")
    return None


def _near(prism: RecognisedPrism) -> bool:
    off = prism.deviation
    told = {sighting.code for sighting in prism.sightings}
    if told & {"section.roundings", "section.inside_radius"}:
        return True
    return off.largest_mm <= LARGEST_MM and ("section.facets" in told or abs(off.volume_share) <= LARGEST_SHARE)


def _too_far(prism: RecognisedPrism) -> Sighting:
    off = prism.deviation
    text = (
        f"the {prism.section.shape.replace('_', ' ')} nearest to it is {off.largest_mm:.3g} mm and "
        f"{100 * off.volume_share:.2g} % of its volume off; at most {LARGEST_MM:g} mm and {100 * LARGEST_SHARE:g} % are taken"
    )
    return Sighting("part.too_far", text)


def _chosen(boundary: SolidBoundary, found: Sequence[PrismView]) -> tuple[PrismView, NamedShape | None]:
    """Return the view that a solid is recognised by, with the shape's name if it has one there."""
    shaped = [(view, named_shape(view.section.outer, view.section.holes)) for view in found]
    named = [
        (view, shape)
        for view, shape in shaped
        if shape is not None and (_is_bar(boundary, view, shape) if shape.shape == "flat_bar" else view.length >= shape.thickest)
    ]
    if named:
        return min(named, key=lambda entry: (len(entry[0].ends.planes), entry[1].shape == "flat_bar", *_rank(entry[0])))
    return min(((view, None) for view, _ in shaped), key=lambda entry: _plate_rank(entry[0]))


def _is_bar(boundary: SolidBoundary, view: PrismView, shape: NamedShape) -> bool:
    if len(boundary.faces) != 6 or len(view.ends.planes) + sum(view.ends.square) != 2:
        return False
    short, long = sorted((shape.sizes["width"], shape.sizes["thickness"]))
    return view.length > BAR * long or (short > BLOCK * long and view.length >= long)


def _rank(view: PrismView) -> tuple[float, ...]:
    return -round(view.length, 3), *(-np.round(view.section.basis[:, 2], COARSE))


def _plate_rank(view: PrismView) -> tuple[float, ...]:
    outline = np.array(polygon(view.section.outer))
    narrow = _narrowest(outline)
    sheet = all(view.ends.square) and view.length <= SHEET * narrow
    return not sheet, len(view.ends.planes), round(view.length, 3), *(-np.round(view.section.basis[:, 2], COARSE))


def _narrowest(outline: Array) -> float:
    """Return the least width of an outline (n, 2), square to one of its sides, mm."""
    sides = np.roll(outline, -1, axis=0) - outline
    normals = np.column_stack([-sides[:, 1], sides[:, 0]]) / np.hypot(*sides.T)[:, None]
    return float(np.ptp(outline @ normals.T, axis=0).min())


def _as_named(boundary: SolidBoundary, view: PrismView, shape: NamedShape) -> RecognisedPrism:
    across = across_of(view.section, shape)
    sizes = dict(shape.sizes)
    turned = abs(across[0] * shape.across[0] + across[1] * shape.across[1]) < 0.5
    other = "height" if "height" in sizes else "thickness" if shape.shape == "flat_bar" else None
    if turned and other:
        sizes["width"], sizes[other] = sizes[other], sizes["width"]
    fields: dict[str, Any] = {name: tidy(size, DIGITS) for name, size in sizes.items()}
    sightings = []
    if shape.fillets:
        radii = " and ".join(f"{radius:g}" for radius in shape.fillets)
        sightings.append(Sighting("section.roundings", f"roundings of radius {radii} mm at root and toes are not modelled"))
    if shape.faceted:
        sightings.append(Sighting("section.facets", "its round sides are drawn by flat facets"))
    if shape.inside is not None:
        text = f"its inside corners have a radius of {shape.inside:.4g} mm; modelled is the outside radius less the wall"
        sightings.append(Sighting("section.inside_radius", text))
    return _prism(boundary, view, shape.origin, across, Section(shape.shape, **fields), tuple(sightings))


def _as_outline(boundary: SolidBoundary, view: PrismView) -> RecognisedPrism:
    across = across_of(view.section, None)
    outer = _seen(polygon(view.section.outer), across, (0.0, 0.0))
    corner = np.array(outer).min(axis=0)
    (x, y), (u, v) = across, corner
    origin = float(u * x - v * y), float(u * y + v * x)
    outline, *cutouts = (_ring(sides, across, origin) for sides in (view.section.outer, *view.section.holes))
    section = Section("plate", plate_outline=outline, plate_cutouts=tuple(cutouts))
    return _prism(boundary, view, origin, across, section, ())


def _ring(sides: Sides, across: Point2, origin: Point2) -> tuple[Point2, ...]:
    """Return an outline as documents write it: counter-clockwise, from its lowest and leftmost corner."""
    points = [(tidy(u, DIGITS), tidy(v, DIGITS)) for u, v in _seen(polygon(sides), across, origin)]
    if enclosed(sides) < 0:
        points.reverse()
    first = min(range(len(points)), key=lambda k: (round(points[k][1], 3), round(points[k][0], 3)))
    return (*points[first:], *points[:first])


def _seen(points: Sequence[Point2], across: Point2, origin: Point2) -> list[Point2]:
    x, y = across
    return [((u - origin[0]) * x + (v - origin[1]) * y, (v - origin[1]) * x - (u - origin[0]) * y) for u, v in points]


def _prism(
    boundary: SolidBoundary,
    view: PrismView,
    origin: Point2,
    across: Point2,
    section: Section,
    sightings: tuple[Sighting, ...],
) -> RecognisedPrism:
    pose = pose_of(view.section, origin, view.ends.low, across)
    length = tidy(view.length, DIGITS)
    cuts = _cuts(view, origin, across)
    return RecognisedPrism(section, length, pose, cuts, measured(boundary, section, length, pose, cuts), sightings)


def _cuts(view: PrismView, origin: Point2, across: Point2) -> tuple[PlaneCut, ...]:
    """Return the planes of cut ends as seen from a pose: each by its point on the axis, or the nearest one to the start."""
    x, y = across
    found = []
    for normal, offset in view.ends.planes:
        n = np.array([normal[0] * x + normal[1] * y, normal[1] * x - normal[0] * y, normal[2]])
        away = offset - float(normal @ np.array([*origin, view.ends.low]))
        on_axis = abs(n[2]) > 0.05 and abs(away / n[2]) < 10 * view.length
        point = np.array([0.0, 0.0, away / n[2]]) if on_axis else n * away
        found.append(PlaneCut(tidy_point(point, DIGITS), tidy_point(n, DIRECTION_DIGITS)))
    return tuple(sorted(found, key=lambda cut: (cut.normal[2] > 0, np.round((*cut.point[::-1], *cut.normal), 6).tolist())))
