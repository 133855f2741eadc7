"""Profiles with random cuts, mitred tubes, and what is left of them as exact meshes."""

from __future__ import annotations

from random import Random

import manifold3d as m3
import numpy as np

from inventory.errors import InvalidDocument
from inventory.shapes import Array, PlaneCut, Point3, Prism
from solver.sections import Section
from solver.weldment import Part, Pose
from tests.outside import meshes
from tests.outside.test_meshes import SECTIONS, a_prism

LEAST_MM3 = 50.0


def a_cut(draw: Random, prism: Prism) -> PlaneCut:
    """Return a plane through a random point of a prism's bounds: a mitre, a rip along it, or anything at all."""
    ring = np.array(prism.outline)
    (low_u, low_v), (high_u, high_v) = ring.min(axis=0), ring.max(axis=0)
    w = draw.uniform(prism.start, prism.end)
    point = (float(draw.uniform(low_u, high_u)), float(draw.uniform(low_v, high_v)), w)
    sign = draw.choice((-1.0, 1.0))
    mitre = draw.choice(((1.0, 0.0, 1.0), (0.0, -1.0, 1.0), (0.0, 0.5, 1.0), (0.0, 0.0, 1.0)))
    rip = (draw.uniform(-1, 1), draw.uniform(-1, 1), 0.0)
    any_way: Point3 = (draw.uniform(-1, 1), draw.uniform(-1, 1), draw.uniform(-1, 1))
    u, v, w = draw.choice((mitre, mitre, any_way, any_way, rip))
    return PlaneCut(point, (sign * u, sign * v, sign * w))


def a_cut_prism(draw: Random, spread: float = 120.0) -> Prism:
    """Return a profile of random length anywhere with one to three cuts that leave something of it."""
    while True:
        whole = a_prism(draw, spread)
        try:
            cut = with_cuts(whole, tuple(a_cut(draw, whole) for _ in range(draw.choice((1, 1, 2, 3)))))
        except InvalidDocument:
            continue
        if meshes.solid(cut).volume() > LEAST_MM3:
            return cut


def with_cuts(prism: Prism, cuts: tuple[PlaneCut, ...]) -> Prism:
    """Return a prism with these cuts."""
    return Prism(prism.outline, prism.start, prism.end, prism.cutouts, prism.frame, cuts)


def a_cut_part(draw: Random) -> Part:
    """Return a part of any profile, anywhere, with one or two cuts."""
    while True:
        section = draw.choice(SECTIONS)
        pose = Pose(
            (draw.uniform(-50, 50), draw.uniform(-50, 50), draw.uniform(-50, 50)),
            (draw.gauss(0, 1), draw.gauss(0, 1), draw.gauss(0, 1)),
            (draw.gauss(0, 1), draw.gauss(0, 1), draw.gauss(0, 1)),
        )
        length = draw.uniform(40, 300)
        bare = Prism(section.outline, 0.0, length, section.cutouts)
        try:
            part = Part("part", section, length, pose, cuts=tuple(a_cut(draw, bare) for _ in range(draw.choice((1, 2)))))
        except InvalidDocument:
            continue
        if meshes.solid(part.drawn).volume() > LEAST_MM3:
            return part


def second_moments(body: m3.Manifold) -> tuple[float, Array, Array]:
    """Return volume, first and second moments (3, 3) of a closed mesh about the origin, by its tetrahedra."""
    mesh = body.to_mesh64()
    corners = np.asarray(mesh.vert_properties, float)[:, :3][np.asarray(mesh.tri_verts)]
    share = np.einsum("ni,ni->n", corners[:, 0], np.cross(corners[:, 1], corners[:, 2])) / 6
    total = corners.sum(axis=1)
    second = np.einsum("n,nci,ncj->ij", share, corners, corners) + np.einsum("n,ni,nj->ij", share, total, total)
    return float(share.sum()), share @ total / 4, second / 20


MITRE = PlaneCut((25.0, 0.0, 400.0), (-1.0, 0.0, 1.0))
"""Through the outer edge of a tube 50 wide and 400 long, at 45 degrees: the outside keeps its length, the inside loses 50."""


def mitred_tube(id: str = "tube", at: Point3 = (0.0, 0.0, 25.0), along: Point3 = (1.0, 0.0, 0.0), **changes: object) -> Part:
    """Return a square tube 50 x 3, 400 long, lying level, mitred at its end."""
    section = changes.pop("section", Section("square_tube", width=50, wall=3))
    assert isinstance(section, Section)
    cuts = changes.pop("cuts", (MITRE,))
    assert isinstance(cuts, tuple)
    return Part(id, section, 400.0, Pose(at, along, (0.0, 0.0, 1.0)), cuts=cuts)
