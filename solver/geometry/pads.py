"""The patches in which pads touch faces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from inventory.shapes import Array
from solver.geometry.bearing import asked, covering
from solver.geometry.faces import SLIVER, Face, simplified
from solver.geometry.hulls import Flags, Index
from solver.geometry.tolerances import BEARING_SLACK, PARALLEL, ROUNDING

BESIDE_LINE = 0.04
"""A clamp's tip this near (mm) to the line along which a round part is touched stands on it."""


@dataclass(frozen=True)
class Patches:
    """Where pads meet a face: which pads (indices), their patches (k, 3), and a locating point (3,) in each."""

    pads: Index
    patches: list[Array]
    points: Array


def pad_patches(
    face: Face,
    centres: Array,
    axes: tuple[Array, Array],
    size: tuple[float, float],
    least: float,
    share: float = 0.0,
    *,
    centred: bool = False,
) -> Patches:
    """Return the patches in which pads at `centres` (n, 3), sides along `axes` (unit), touch the face; a patch is convex.

    A patch is at least `least` mm wide and high, or nearly as wide and high as pad or face, and at least `share` of the lesser
    of the two. Where pad and face meet in a shape that is not convex, the pad is not used, except on the end of a thin-walled
    section, where the patch is the hull of what it meets, and what the pad covers of the outline's hull counts as its share. The
    locating point is the pad's centre, or the nearest point to it of the patch (of the material, unless the section is hollow);
    `centred` drops pads whose centre is farther off (a clamp's tip must stand on the part).
    """
    width, height = axes
    if side_by_side(face, width):
        rows = Rectangles.of([face], [width], [size], [share]).take(np.zeros(len(centres), dtype=np.intp))
        touching, rings, at = rows.patches(centres, least, np.full(len(centres), centred))
        return Patches(touching, list(rings), at)
    half_w, half_h = size[0] / 2 * width, size[1] / 2 * height
    corners = np.stack([-half_w - half_h, half_w - half_h, half_w + half_h, -half_w + half_h])
    rings = face.flat(centres[:, None, :] + corners[None, :, :])
    near = _within_reach(face, rings, face.flat(centres), centred)
    if face.wall is not None:
        near = near[covering(face, rings[near], axes, size, share)]
    near, whole = _within_sides(face.sides, rings, near) if face.sides is not None else (near, None)
    pads_there = np.asarray(shapely.polygons(rings[near]), dtype=object)
    shapely.prepare(face.shape)
    if whole is None:
        whole = np.zeros(len(near), dtype=bool) if face.wall is not None else np.asarray(shapely.covers(face.shape, pads_there))
    inside, partly = near[whole], near[~whole]
    shared = np.asarray(shapely.intersection(pads_there[~whole], face.shape), dtype=object)
    met = _on_part(face, shared, centres[partly], axes, _wanted(face, size, axes, least, share), centred)
    return Patches(
        np.concatenate([inside, partly[met.pads]]), [*face.lifted(rings[inside]), *met.patches],
        np.concatenate([centres[inside], met.points]),
    )  # fmt: skip


def _within_reach(face: Face, rings: Array, centres: Array, centred: bool) -> Index:
    """Return which pads can meet the face at all: their bounds overlap its bounds; `centred` ones have their centre there."""
    low_a, low_b, high_a, high_b = face.shape.bounds
    least, most = (centres, centres) if centred else (rings.min(axis=1), rings.max(axis=1))
    slack = BESIDE_LINE if face.shape.geom_type == "LineString" else 1e-6
    meets = (most[:, 0] >= low_a - slack) & (least[:, 0] <= high_a + slack)
    meets &= (most[:, 1] >= low_b - slack) & (least[:, 1] <= high_b + slack)
    return np.flatnonzero(meets)


def _within_sides(sides: Array, rings: Array, near: Index) -> tuple[Index, Flags]:
    """Return which of the pads `near` are not beyond a half plane of a convex face, and which of these lie wholly within all."""
    depth: Array = rings[near] @ sides[:, :2].T + sides[:, 2]
    met = depth.min(axis=1).max(axis=1) < 0.0
    whole: Flags = depth[met].max(axis=(1, 2)) <= ROUNDING if met.any() else met[met]
    return near[met], whole


def _wanted(face: Face, size: tuple[float, float], axes: tuple[Array, Array], least: float, share: float) -> list[float]:
    """Return how wide and high a patch must be, mm; a tangent line is as wide as it is, on a rim half a wall does."""
    if face.shape.geom_type == "LineString":
        return [0.0, 0.0]
    corners = face.corners()
    least = least if face.wall is None else min(least, face.wall / 2)
    shared = asked(face, axes, size, share if face.wall is None else 0.0)
    return [
        max(own, min(least, 0.9 * pad, 0.9 * float(np.ptp(corners @ axis))))
        for pad, axis, own in zip(size, axes, shared, strict=True)
    ]


def side_by_side(face: Face, width: Array) -> bool:
    """Return whether a face is a rectangle with sides along a pad's width and height."""
    return face.rectangle is not None and abs(abs(float(width @ face.a)) - 0.5) > 0.5 - PARALLEL


@dataclass(frozen=True)
class Rectangles:
    """Pads against faces that are rectangles with the same axes, one row each.

    Parameters
    ----------
    origin, a, b : (n, 3) arrays
        The faces' corners and axes (unit).
    whole, half : (n, 2) arrays
        The faces' sizes, and half the pads' sizes, along a and b, mm.
    share : (n,) array
        Of the lesser of pad and face so much must bear.
    """

    origin: Array
    a: Array
    b: Array
    whole: Array
    half: Array
    share: Array

    @staticmethod
    def of(
        faces: Sequence[Face], widths: Sequence[Array], sizes: Sequence[tuple[float, float]], shares: Sequence[float]
    ) -> Rectangles:
        """Return the rows of pads of some widths' directions and sizes; faces that are no rectangles have size 0."""
        swapped = np.array([abs(float(width @ face.a)) < 0.5 for face, width in zip(faces, widths, strict=True)], dtype=bool)
        half = np.array(sizes).reshape(-1, 2) / 2
        return Rectangles(
            np.array([face.origin for face in faces]).reshape(-1, 3),
            np.array([face.a for face in faces]).reshape(-1, 3),
            np.array([face.b for face in faces]).reshape(-1, 3),
            np.array([face.rectangle or (0.0, 0.0) for face in faces]).reshape(-1, 2),
            np.where(swapped[:, None], half[:, ::-1], half),
            np.array(shares, dtype=float),
        )

    def take(self, rows: Index) -> Rectangles:
        """Return only some rows, any number of times."""
        return Rectangles(self.origin[rows], self.a[rows], self.b[rows], self.whole[rows], self.half[rows], self.share[rows])

    def patches(self, centres: Array, least: float, centred: Flags) -> tuple[Index, Array, Array]:
        """Return which pads at `centres` (n, 3) touch, their patches (k, 4, 3) and locating points (k, 3): by comparing sides.

        Pads flagged `centred` must have their centre on the face.
        """
        away = centres - self.origin
        centre = np.stack([(away * self.a).sum(axis=1), (away * self.b).sum(axis=1)], axis=1)
        low, high = np.maximum(centre - self.half, 0.0), np.minimum(centre + self.half, self.whole)
        lesser = np.minimum(2 * self.half, self.whole)
        fits = (high - low >= np.minimum(least, 0.9 * lesser)).all(axis=1)
        fits &= (high - low >= self.share[:, None] * lesser - BEARING_SLACK).all(axis=1)
        fits &= ~centred | ((centre >= -1e-6) & (centre <= self.whole + 1e-6)).all(axis=1)
        pads = np.flatnonzero(fits)
        low, high, centre = low[pads], high[pads], np.clip(centre, low, np.maximum(low, high))[pads]
        flat = np.stack([low, np.stack([high[:, 0], low[:, 1]], axis=1), high, np.stack([low[:, 0], high[:, 1]], axis=1)], axis=1)
        a, b, origin = self.a[pads], self.b[pads], self.origin[pads]
        rings = origin[:, None] + flat[:, :, :1] * a[:, None] + flat[:, :, 1:] * b[:, None]
        return pads, rings, origin + centre[:, :1] * a + centre[:, 1:] * b


def _on_part(
    face: Face, shared: NDArray[np.object_], centres: Array, axes: tuple[Array, Array], wanted: list[float], centred: bool
) -> Patches:
    """Return the patches of pads at `centres` (n, 3) that share only a part (n shapes) with the face."""
    met, hulls, kind = shared, np.asarray(shapely.convex_hull(shared), dtype=object), shapely.get_type_id(shared)
    if face.shape.geom_type == "LineString":
        usable, beside = (kind == shapely.GeometryType.LINESTRING) & (shapely.length(shared) > SLIVER), BESIDE_LINE
    else:
        shared, kind = (hulls, shapely.get_type_id(hulls)) if face.wall is not None else (shared, kind)
        full, beside = shapely.area(hulls), 0.0
        usable = (kind == shapely.GeometryType.POLYGON) & (full - shapely.area(shared) <= 1e-6 * full)
        usable &= (full >= SLIVER * shapely.length(shared) / 2) & (full > 0.0)
    pads = np.flatnonzero(usable)
    hulls = np.array([simplified(hull) for hull in hulls[pads]], dtype=object)
    corners, of = shapely.get_coordinates(hulls, return_index=True)
    kept = np.ones(len(of), dtype=bool)
    if beside == 0.0:
        kept[np.cumsum(np.bincount(of, minlength=len(hulls))) - 1] = False
    points, of = face.lifted(corners[kept]), of[kept]
    first = np.searchsorted(of, np.arange(len(hulls)))
    reaches = [points @ axis for axis in axes]
    fits = np.ones(len(hulls), dtype=bool)
    for along, least in zip(reaches, wanted, strict=True) if len(hulls) else ():
        fits &= np.maximum.reduceat(along, first) - np.minimum.reduceat(along, first) >= least
    middles = shapely.points(face.flat(centres[pads]))
    ground = met[pads] if face.wall is not None and not face.hollow else hulls
    off = shapely.distance(ground, middles)
    fits &= ~(centred & (off >= 1e-6) & (off > beside))
    nearest = shapely.get_coordinates(shapely.get_point(shapely.shortest_line(ground, middles), 0))
    at = np.where((off < 1e-6)[:, None], centres[pads], face.lifted(nearest))
    patches = np.split(points, first[1:]) if len(hulls) else []
    return Patches(pads[fits], [patches[k] for k in np.flatnonzero(fits)], at[fits])
