"""Holes drilled through walls of profiles, filled where the user says so: what is left may be a prism.

A drilled hole is a round hollow across the profile's axis whose rims all lie within other faces. Slots, countersinks, holes that
break an edge and blind holes are none. The part then has no hole where the drawing has one: whoever fills it keeps pads off it.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from inventory.shapes import Array, Point3
from solver.recognition.boundary import CylinderSurface, DrawnEdge, DrawnFace, SolidBoundary
from solver.recognition.cross_section import is_lateral
from solver.recognition.sightings import Sighting, at_face

EdgeKey = tuple[Point3, ...]


@dataclass(frozen=True)
class FilledHoles:
    """A solid without some of its holes; `volume` is theirs, mm3, `radius` the widest one's, mm, and `sightings` tells each."""

    boundary: SolidBoundary
    volume: float
    radius: float
    sightings: tuple[Sighting, ...]


def filled_across(boundary: SolidBoundary, axis: Array) -> FilledHoles | None:
    """Return a solid with the holes filled that are drilled across an axis (unit, (3,)); None if there are none."""
    hollows = [face for face in boundary.faces if _is_hollow(face) and not is_lateral(face, axis)]
    while hollows:
        own = {_key(edge) for face in hollows for edge in face.edges}
        rims = {
            _key(edge) for face in boundary.faces if face not in hollows
            for loop in _rims(face, own) for edge in loop
        }  # fmt: skip
        whole = [face for face in hollows if _closed(face, hollows, rims)]
        if len(whole) == len(hollows):
            break
        hollows = whole
    if not hollows:
        return None
    numbers = {face.number for face in hollows}
    own = {_key(edge) for face in hollows for edge in face.edges}
    left = tuple(_without_rims(face, own) for face in boundary.faces if face.number not in numbers)
    volume = sum(_volume(face) for face in hollows)
    radius = max(face.surface.radius for face in hollows if isinstance(face.surface, CylinderSurface))
    told = tuple(_told(face) for face in hollows)
    return FilledHoles(replace(boundary, faces=left, volume=boundary.volume + volume), volume, radius, told)


def _is_hollow(face: DrawnFace) -> bool:
    return isinstance(face.surface, CylinderSurface) and not face.surface.convex


def _key(edge: DrawnEdge) -> EdgeKey:
    """Return what tells an edge from others, whichever face it is seen from."""
    return tuple(sorted((round(x, 4) + 0.0, round(y, 4) + 0.0, round(z, 4) + 0.0) for x, y, z in edge.points.tolist()))


def _rims(face: DrawnFace, own: Collection[EdgeKey]) -> list[tuple[DrawnEdge, ...]]:
    """Return the loops of a face that are made of hollows' edges alone; none if nothing else bounds it."""
    loops = [loop for loop in face.loops if all(_key(edge) in own for edge in loop)]
    return loops if len(loops) < len(face.loops) else []


def _without_rims(face: DrawnFace, own: Collection[EdgeKey]) -> DrawnFace:
    rims = _rims(face, own)
    return replace(face, loops=tuple(loop for loop in face.loops if loop not in rims)) if rims else face


def _closed(face: DrawnFace, hollows: Sequence[DrawnFace], rims: Collection[EdgeKey]) -> bool:
    """Whether every edge of a hollow is a rim, or lies between it and itself or another hollow."""
    keys = [_key(edge) for edge in face.edges]
    others = {_key(edge) for other in hollows if other is not face for edge in other.edges}
    return all(key in rims or key in others or keys.count(key) > 1 for key in keys)


def _volume(face: DrawnFace) -> float:
    surface = face.surface
    assert isinstance(surface, CylinderSurface)
    heights = (face.points - surface.point) @ np.array(surface.axis)
    middle = (heights.min() + heights.max()) / 2
    deep = float(heights[heights > middle].mean() - heights[heights <= middle].mean())
    return abs(surface.last - surface.first) / 2 * surface.radius**2 * deep


def _told(face: DrawnFace) -> Sighting:
    surface = face.surface
    assert isinstance(surface, CylinderSurface)
    share = "" if abs(surface.last - surface.first) > 2 * math.pi - 1e-6 else ", a share of its wall"
    return at_face("hole.filled", face, f"a hole of {2 * surface.radius:.4g} mm is filled{share}: no pad may lie over it")
