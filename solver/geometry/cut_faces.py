"""Faces of parts with cut ends: what the cuts leave of the others, and those they make (`cut:0` by the first cut)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from inventory.cuts import ALONG, Line
from inventory.shapes import Array
from solver.geometry.cut_solids import in_half_planes, normal_planes
from solver.geometry.faces import SLIVER, Face, bears_on_rim, faces_of
from solver.geometry.tolerances import PARALLEL
from solver.weldment import Part

SQUARE_MM2 = 1e-6
"""A shape that lacks no more than this of its bounds is a rectangle."""


def part_faces(index: int, part: Part, frame: Array) -> list[Face]:
    """Return the flat faces of a part placed at `frame` (columns u, v, w, origin): what is left of them, and the cuts' own.

    A body has none.
    """
    if part.body:
        return []
    faces = faces_of(index, part, frame)
    if not part.cuts:
        return faces
    made = [_made_by(number, index, part, frame) for number in range(len(part.cuts))]
    return [*left_of(faces, part, frame), *(face for faces in made for face in faces)]


def left_of(faces: Sequence[Face], part: Part, frame: Array) -> list[Face]:
    """Return what a part's cuts leave of its faces; a plate's face that falls in two is two faces of one label."""
    planes = normal_planes(part.cuts, frame)
    return [piece for face in faces for piece in _pieces(face, [_half_plane(face, *plane) for plane in planes])]


def _half_plane(face: Face, normal: Array, offset: float) -> Line:
    """Return the half plane of a face's own plane that a cut leaves."""
    return float(normal @ face.a), float(normal @ face.b), float(normal @ face.origin) - offset


def _pieces(face: Face, half_planes: Sequence[Line]) -> list[Face]:
    shape = in_half_planes(face.shape, half_planes)
    if face.shape.geom_type == "LineString":
        return [replace(face, shape=shape)] if shape.length > SLIVER else []
    if face.wall is not None:
        filled = in_half_planes(face.whole, half_planes) if face.hollow else None
        return [replace(face, shape=shape, filled=filled)] if _wide(shape) else []
    sides = None
    if face.rectangle is not None:
        long, wide = face.rectangle
        sides = np.array([*half_planes, (-1.0, 0.0, 0.0), (1.0, 0.0, -long), (0.0, -1.0, 0.0), (0.0, 1.0, -wide)])
    left = [piece for piece in shapely.get_parts(shape).tolist() if _wide(piece)]
    return [_tidy(replace(face, shape=piece, rectangle=None, sides=sides)) for piece in left]


def _wide(shape: BaseGeometry) -> bool:
    return bool(shape.area > SLIVER * shape.length / 2)


def _tidy(face: Face) -> Face:
    """Return a face as a rectangle from its own corner, if it is one."""
    low_a, low_b, high_a, high_b = face.shape.bounds
    size = (high_a - low_a, high_b - low_b)
    if size[0] * size[1] - face.shape.area > SQUARE_MM2:
        return face
    at = face.origin + low_a * face.a + low_b * face.b
    return replace(face, origin=at, shape=box(0, 0, *size), rectangle=size, sides=None)


def _made_by(number: int, index: int, part: Part, frame: Array) -> list[Face]:
    """Return the face a part's cut makes; a cut along a hollow part makes a strip of each wall."""
    cut, local = part.cuts[number], np.eye(4)
    normal = np.array(cut.normal)
    a = np.cross(normal, [0.0, 0.0, 1.0])
    a = np.array([1.0, 0.0, 0.0]) if np.linalg.norm(a) < PARALLEL else a / np.linalg.norm(a)
    outline = Polygon(part.section.outline, part.section.cutouts)
    along = abs(normal[2]) < ALONG
    wall = None if along else bears_on_rim(part.section)
    whole = Face(index, f"cut:{number}", np.array(cut.point), a, np.cross(normal, a), normal, outline)
    others = [plane for k, plane in enumerate(normal_planes(part.cuts, local)) if k != number]
    ends = [(np.array([0.0, 0.0, -1.0]), 0.0), (np.array([0.0, 0.0, 1.0]), part.length)]
    shape = _strips(whole, outline, part.length) if along else _section(whole, outline)
    uncut = replace(whole, shape=shape, wall=wall, hollow=part.section.hollow and not along)
    turn, origin = frame[:3, :3], frame[:3, 3]
    return [
        replace(face, origin=origin + turn @ face.origin, a=turn @ face.a, b=turn @ face.b, normal=turn @ face.normal)
        for face in _pieces(uncut, [_half_plane(uncut, *plane) for plane in (*others, *ends)])
    ]


def _section(face: Face, outline: Polygon) -> BaseGeometry:
    """Return the outline of a section, pulled along w onto a face's plane, in the face's coordinates."""

    def onto(places: Array) -> Array:
        rise = (places - face.origin[:2]) @ face.normal[:2] / -face.normal[2]
        return face.flat(np.column_stack([places, face.origin[2] + rise]))

    return shapely.transform(outline, onto)


def _strips(face: Face, outline: Polygon, length: float) -> BaseGeometry:
    """Return where a plane along w cuts a section of some length, in the face's coordinates."""
    low_u, low_v, high_u, high_v = outline.bounds
    reach = (high_u - low_u + high_v - low_v + float(np.abs(face.origin[:2]).sum())) * face.a[:2]
    met = shapely.intersection(outline, LineString([face.origin[:2] - reach, face.origin[:2] + reach]))
    strips = []
    for line in shapely.get_parts(met).tolist():
        if line.length < SLIVER:
            continue
        ends = [np.array([*place, w]) for w in (0.0, length) for place in line.coords]
        strips.append(shapely.MultiPoint(face.flat(np.array(ends))).convex_hull)
    return shapely.union_all(strips)
