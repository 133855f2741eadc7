"""Exact meshes of prisms, by general libraries that share nothing with the planner's geometry."""

from __future__ import annotations

from collections.abc import Sequence

import fcl
import manifold3d as m3
import numpy as np

from inventory.shapes import Array, Prism

REACH = 10_000.0


def solid(prism: Prism) -> m3.Manifold:
    """Return a prism as an exact triangle mesh."""
    section = m3.CrossSection(
        [list(map(list, prism.outline)), *(list(map(list, ring)) for ring in prism.cutouts)], m3.FillRule.EvenOdd
    )
    upright = m3.Manifold.extrude(section, prism.end - prism.start).translate([0, 0, prism.start])
    for cut in prism.cuts:
        normal = np.array(cut.normal)
        upright = upright.trim_by_plane((-normal).tolist(), -float(normal @ np.array(cut.point)))
    return upright.transform(np.array(prism.frame)[:3])


def union(prisms: Sequence[Prism]) -> m3.Manifold:
    """Return several prisms as one body."""
    return m3.Manifold.batch_boolean([solid(prism) for prism in prisms], m3.OpType.Add)


def gap(one: m3.Manifold, other: m3.Manifold) -> float:
    """Return the distance of two bodies, 0 if they share any volume, mm."""
    return 0.0 if (one ^ other).volume() > 1e-9 else float(one.min_gap(other, REACH))


def bvh(prism: Prism) -> fcl.CollisionObject:
    """Return a prism's surface as a triangle soup for collision queries."""
    mesh = solid(prism).to_mesh()
    model = fcl.BVHModel()
    vertices, triangles = np.array(mesh.vert_properties, float)[:, :3], np.array(mesh.tri_verts)
    model.beginModel(len(triangles), len(vertices))
    model.addSubModel(vertices, triangles)
    model.endModel()
    return fcl.CollisionObject(model)


def surface_gap(one: fcl.CollisionObject, other: fcl.CollisionObject) -> float:
    """Return the distance of two surfaces, 0 or less if they cross, mm."""
    return float(fcl.distance(one, other, fcl.DistanceRequest(), fcl.DistanceResult()))


def capsule(start: Array, end: Array, radius: float) -> fcl.CollisionObject:
    """Return a capsule whose axis runs from `start` to `end`."""
    along = (end - start) / np.linalg.norm(end - start)
    first = np.cross(along, [0.0, 0.0, 1.0] if abs(along[2]) < 0.9 else [1.0, 0.0, 0.0])
    first /= np.linalg.norm(first)
    frame = np.column_stack([first, np.cross(along, first), along])
    return fcl.CollisionObject(fcl.Capsule(radius, float(np.linalg.norm(end - start))), fcl.Transform(frame, (start + end) / 2))


def meet(one: fcl.CollisionObject, other: fcl.CollisionObject) -> bool:
    """Return whether two bodies' surfaces touch or cross."""
    return bool(fcl.collide(one, other, fcl.CollisionRequest(), fcl.CollisionResult()))
