"""The grooves beside round surfaces: tubes and bars on flats, tubes' rounded corners, round parts along each other."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.drafting.touching.lines import SHORT, TouchingLine, before_cuts
from solver.drafting.touching.parts_in_place import PartInPlace
from solver.drafting.touching.round_corners import ON, WIDEST_ROOT, Flank, groove_depth, groove_width
from solver.geometry.edges import without
from solver.geometry.tolerances import PARALLEL, ROUND_TOUCH, TOUCH


@dataclass(frozen=True)
class Grooves:
    """The lines of the beads beside round surfaces, and whether any of these touch: there may be no room beside them."""

    lines: list[TouchingLine]
    touching: bool


def grooves(one: PartInPlace, two: PartInPlace) -> Grooves:
    """Return where the round surfaces of two parts touch the other part, and the lines of the beads beside."""
    found = [*_on_flats(one, two), *_on_flats(two, one), *_along_each_other(one, two)]
    return Grooves([line for lines in found for line in lines], bool(found))


def _on_flats(own: PartInPlace, other: PartInPlace) -> Iterator[list[TouchingLine]]:
    """Yield for each place where a part's round surface touches a face of another the lines beside it."""
    radius = own.shape.radius
    if not radius:
        return
    normals, heights = other.planes
    deep = TOUCH + (ROUND_TOUCH * 2 * radius if own.round else 0.0)
    for number in np.flatnonzero(np.abs(normals @ own.axis) < PARALLEL).tolist():
        for flank in _flanks_towards(own, normals[number]):
            gap = float(flank.at @ normals[number] - heights[number])
            if not -deep <= gap <= TOUCH:
                continue
            at = flank.at - gap * normals[number]
            if own.round and not _on_face(own, other, number, at, flank):
                continue
            width = groove_width(radius, gap)
            lines = _on_face(own, other, number, at + width * flank.outwards, flank)
            if not lines and other.part.section.hollow:
                wall = _to_wall(own, other, number, at, flank, width)
                lines = [] if wall is None else _on_face(own, other, number, at + wall * flank.outwards, flank)
            if own.round or lines:
                yield lines


def _flanks_towards(own: PartInPlace, normal: Array) -> list[Flank]:
    if own.round:
        way, at = np.cross(normal, own.axis), own.frame[:3, 3] - own.shape.radius * normal
        return [Flank(at, -normal, way), Flank(at, -normal, -way)]
    return [flank for flank in own.flanks if float(flank.normal @ normal) < -1 + PARALLEL]


def _on_face(own: PartInPlace, other: PartInPlace, number: int, at: Array, flank: Flank) -> list[TouchingLine]:
    """Return the stretches of a line along a round surface that lie on a face, past its edge where that is rounded, too."""
    face, bounds = other.faces[number], other.shape.widened[number]
    line = TouchingLine(np.stack([at, at + own.part.length * own.axis]), face.normal, flank.outwards)
    left = [piece for stretch in bounds.stretches(*face.flat(line.ends)) for piece in before_cuts(own, line, stretch)]
    lines = line.pieces(left)
    if other.shape.flanks and not face.label.startswith("side:"):
        return [piece for line in lines for piece in _off_corners(other, line)]
    return lines


def _to_wall(own: PartInPlace, other: PartInPlace, number: int, at: Array, flank: Flank, width: float) -> float | None:
    """Return how far from where a round surface touches the end of a hollow part that part's wall begins, mm.

    Within the hollow there is nothing to weld to. None if the groove is too wide there, or there is no wall.
    """
    face, bounds = other.faces[number], other.shape.bounds[number]
    middle = at + float((face.lifted(bounds.corners.mean(axis=0)) - at) @ own.axis) * own.axis
    ends = face.flat(np.stack([middle + width * flank.outwards, middle + own.shape.radius * flank.outwards]))
    wall = next((low for low, high in bounds.stretches(*ends) if high - low > SHORT), None)
    if wall is None or groove_depth(own.shape.radius, width + wall) > WIDEST_ROOT:
        return None
    return width + wall


def _off_corners(other: PartInPlace, line: TouchingLine) -> list[TouchingLine]:
    """Return what of a line across the end of a tube lies between its rounded corners."""
    start, end = other.local(line.ends)
    step, half = end - start, other.shape.flat_half
    taken = []
    for axis in (0, 1):
        if abs(step[axis]) > ON and abs(start[1 - axis]) > half[1 - axis] - ON:
            places = sorted(float(line.length * (side * half[axis] - start[axis]) / step[axis]) for side in (-1, 1))
            taken += [(-math.inf, places[0]), (places[1], math.inf)]
    return line.pieces(without((0.0, line.length), taken))


def _along_each_other(one: PartInPlace, two: PartInPlace) -> Iterator[list[TouchingLine]]:
    """Yield the lines of the beads on both sides of where two round parts lie along each other."""
    if not (one.round and two.round) or float(np.linalg.norm(np.cross(one.axis, two.axis))) > PARALLEL:
        return
    start = one.frame[:3, 3]
    away = two.frame[:3, 3] - start
    away = away - float(away @ one.axis) * one.axis
    apart, radii = float(np.linalg.norm(away)), (one.shape.radius, two.shape.radius)
    gap = apart - sum(radii)
    if not -ROUND_TOUCH * 2 * max(radii) - TOUCH <= gap <= TOUCH:
        return
    normal = away / apart
    far_end = two.frame[:3, 3] + two.part.length * two.axis
    places = sorted(float((point - start) @ one.axis) for point in (two.frame[:3, 3], far_end))
    low, high = max(0.0, places[0]), min(one.part.length, places[1])
    if high - low <= SHORT:
        return
    for sign in (1.0, -1.0):
        outwards = sign * np.cross(normal, one.axis)
        at = start + radii[0] * normal + groove_width(min(radii), gap) * outwards
        line = TouchingLine(np.stack([at + low * one.axis, at + high * one.axis]), normal, outwards)
        left = [piece for stretch in before_cuts(one, line, (0.0, line.length)) for piece in before_cuts(two, line, stretch)]
        yield line.pieces(left)
