"""Prisms with planes taken off them, as closed shells: flat facets given by their directed edges.

A plane shortens the edges of every facet and joins the ends it leaves, in pairs along its own line; those joints, the other way
round, are the edges of the facet it makes. Corners that lie on a plane stay. Volume and moments are sums of tetrahedra.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import plane
from solver.checks.arithmetic.vectors import cross, following, square_to
from solver.deadline import look

ON_PLANE = 1e-9
"""Corners this near to a plane lie on it, mm."""
Plane = tuple[Array, float]
"""A unit normal to the side that is taken away, and how far along it the plane lies, mm."""


@dataclass(frozen=True)
class Facet:
    """A flat face: its name, outward normal and directed edges (m, 2, 3), the inside to their left as seen from outside."""

    name: str
    normal: Array
    edges: Array

    @cached_property
    def basis(self) -> Array:
        """Two directions of its plane, (2, 3), right-handed with the normal."""
        return np.array(square_to(self.normal))

    @cached_property
    def flat(self) -> tuple[Array, Array]:
        """Start and end points of its edges in its plane, seen from the first one's start."""
        found = (self.edges - self.edges[0, 0]) @ self.basis.T
        return found[:, 0], found[:, 1]

    @cached_property
    def area(self) -> float:
        """Its area, mm2."""
        (x0, y0), (x1, y1) = (points.T for points in self.flat)
        return float((x0 * y1 - y0 * x1).sum() / 2)

    def rings(self) -> list[Array]:
        """Return its edges chained to closed rings (n, 3)."""
        after = {tuple(edge[0]): k for k, edge in enumerate(self.edges.tolist())}
        left, found = dict.fromkeys(range(len(self.edges))), []
        while left:
            ring, k = [], next(iter(left))
            while k in left:
                del left[k]
                ring.append(self.edges[k, 0])
                k = after.get(tuple(self.edges[k, 1].tolist()), -1)
            found.append(np.array(ring))
        return [ring for ring in found if len(ring) > 2]


def shell(rings: Sequence[Array], low: float, high: float, planes: Sequence[Plane]) -> tuple[Facet, ...]:
    """Return the facets of a prism (rings (n, 2), from `low` to `high` along w) without what planes take off it.

    They are named `start`, `end`, `side`, and `cut:0` if the first plane made them; none if nothing is left.
    """
    facets = _prism(rings, low, high)
    for number, (normal, offset) in enumerate(planes):
        facets = _cut(facets, normal, offset, f"cut:{number}")
    return tuple(facets)


def _prism(rings: Sequence[Array], low: float, high: float) -> list[Facet]:
    edges = []
    for number, ring in enumerate(rings):
        turned = ring if (plane.area(ring) > 0) == (number == 0) else ring[::-1]
        edges.append(np.stack([turned, following(turned)], axis=1))
    flat = np.concatenate(edges)
    bottom, top = (np.dstack([flat, np.full(flat.shape[:2], w)]) for w in (low, high))
    up = np.array([0.0, 0.0, 1.0])
    facets = [Facet("start", -up, bottom[:, ::-1]), Facet("end", up, top)]
    for (a, b), (d, c) in zip(bottom, top, strict=True):
        step = b - a
        outward = np.array([step[1], -step[0], 0.0]) / np.hypot(step[0], step[1])
        facets.append(Facet("side", outward, np.array([[a, b], [b, c], [c, d], [d, a]])))
    return facets


def _cut(facets: Sequence[Facet], normal: Array, offset: float, name: str) -> list[Facet]:
    """Return facets without what lies beyond a plane, and the one it makes."""
    kept, joints = [], []
    for facet in facets:
        look()
        depth = _depth(facet.edges, normal, offset)
        inside = depth <= ON_PLANE
        if inside.all():
            kept.append(facet)
            continue
        stay = facet.edges[inside.all(axis=1)]
        leaving, coming = (facet.edges[inside[:, 0] & ~inside[:, 1]], facet.edges[~inside[:, 0] & inside[:, 1]])
        exits, entries = (_passing(edges, normal, offset) for edges in (leaving, coming))
        along = cross(facet.normal, normal)
        own = np.stack([exits[np.argsort(exits @ along)], entries[np.argsort(entries @ along)]], axis=1)
        joints.append(own[:, ::-1])
        whole = np.concatenate([stay, np.stack([leaving[:, 0], exits], axis=1), np.stack([entries, coming[:, 1]], axis=1), own])
        left = Facet(facet.name, facet.normal, _long(whole))
        if len(left.edges) > 2:
            kept.append(left)
    made = _long(np.concatenate([*joints, np.zeros((0, 2, 3))]))
    return [*kept, Facet(name, normal, made)] if len(made) > 2 else kept


def _passing(edges: Array, normal: Array, offset: float) -> Array:
    """Return where edges (m, 2, 3) pass a plane, (m, 3): the same to the last bit whichever way an edge runs."""
    turned = np.array([tuple(a) > tuple(b) for a, b in edges.tolist()], dtype=bool)[:, None]
    one, other = np.where(turned, edges[:, 1], edges[:, 0]), np.where(turned, edges[:, 0], edges[:, 1])
    here, there = _depth(one, normal, offset), _depth(other, normal, offset)
    found: Array = one + (here / (here - there))[:, None] * (other - one)
    on = np.abs(here) <= ON_PLANE
    found[on] = one[on]
    on = np.abs(there) <= ON_PLANE
    found[on] = other[on]
    return found


def _depth(points: Array, normal: Array, offset: float) -> Array:
    """Return how far beyond a plane points (..., 3) lie: a point's depth is the same to the last bit wherever it stands."""
    found: Array = points[..., 0] * normal[0] + points[..., 1] * normal[1] + points[..., 2] * normal[2] - offset
    return found


def _long(edges: Array) -> Array:
    """Return the edges that have a length."""
    return edges[np.abs(edges[:, 1] - edges[:, 0]).max(axis=1) > 0.0] if len(edges) else edges


def edges_of(facets: Sequence[Facet]) -> Array:
    """Return every edge of a shell once, (m, 2, 3)."""
    both = np.concatenate([facet.edges for facet in facets])
    forward = np.array([tuple(a) <= tuple(b) for a, b in both.tolist()])
    turned = np.where(forward[:, None, None], both, both[:, ::-1])
    return np.unique(turned.reshape(-1, 6), axis=0).reshape(-1, 2, 3)


def corners_of(facets: Sequence[Facet]) -> Array:
    """Return every corner of a shell once, (n, 3)."""
    return np.unique(np.concatenate([facet.edges[:, 0] for facet in facets]), axis=0)


def moments(facets: Sequence[Facet]) -> tuple[float, Array, Array]:
    """Return a shell's volume (mm3), and its first (3,) and second (3, 3) moments about the origin."""
    volume, first, second = 0.0, np.zeros(3), np.zeros((3, 3))
    for facet in facets:
        a, b, c = facet.edges[0, 0][None], facet.edges[:, 0], facet.edges[:, 1]
        share = (a * cross(b, c)).sum(axis=1) / 6
        total = a + b + c
        volume += float(share.sum())
        first += share @ total / 4
        for corner in (np.broadcast_to(a, b.shape), b, c, total):
            second += np.einsum("n,ni,nj->ij", share, corner, corner) / 20
    return volume, first, second
