"""Sites found many at a time are those found one at a time: the pads that touch, and the bodies that stand."""

from __future__ import annotations

import numpy as np
import pytest

from solver.geometry.hulls import Index
from solver.geometry.pads import pad_patches
from solver.hardware.candidates import Lattice
from solver.hardware.matching import LEAST_PATCH
from solver.hardware.reachable_holes import PlacedPads, ReachableHoles
from solver.hardware.sites import find_sites
from tests.solver.hardware.test_screening import reached

JOBS = [(0, 3), (1, 4), (5, 4), (8, 3)]


def everywhere(reach: ReachableHoles, lattices: list[Lattice]) -> PlacedPads:
    return reach.placed_pads(lattices, np.ones((len(reach.matches), len(lattices)), dtype=bool))


def at(pads: PlacedPads, rows: Index) -> list[tuple[float, ...]]:
    return [(float(pads.match[row]), float(pads.lattice[row]), *pads.hole[row].tolist()) for row in rows.tolist()]


@pytest.mark.parametrize(("number", "parts"), JOBS)
def test_pads_touch_what_each_match_alone_says(number: int, parts: int) -> None:
    reach, lattices, _ = reached(number, parts)
    pads = everywhere(reach, lattices)
    rows, points, patches = reach.patches(pads)
    found = dict(zip(at(pads, rows), zip(points, patches.each(), strict=True), strict=True))
    seen = 0
    for one, match in enumerate(reach.matches):
        own = np.flatnonzero(pads.match == one)
        axes, size = (match.pad.across, match.pad.upward), (match.pad.width, match.pad.height)
        alone = pad_patches(match.face, pads.centre[own], axes, size, LEAST_PATCH, match.share, centred=bool(reach.centred[one]))
        assert {key for key in found if key[0] == one} == set(at(pads, own[alone.pads]))
        for key, point, patch in zip(at(pads, own[alone.pads]), alone.points, alone.patches, strict=True):
            assert np.allclose(found[key][0], point) and np.allclose(found[key][1], patch)
        seen += len(own) and not reach.plain[one]
    assert seen


@pytest.mark.parametrize(("number", "parts"), JOBS)
def test_bodies_stand_where_their_hole_and_setting_put_them(number: int, parts: int) -> None:
    reach, lattices, _ = reached(number, parts)
    sites = find_sites(reach, lattices)
    shut, opened, carriers = sites.bodies(), sites.bodies(opened=True), sites.bodies(carriers=True)
    for row in range(0, len(sites), 7):
        stack = sites.stacks[int(sites.stack[row])]
        origin, moved = sites.origin[row], sites.origin[row] + sites.displacement[row]
        still, moving = stack.still.shifted(origin), stack.moving.shifted(moved)
        for found, expected in (
            (shut, [*still.each(), *moving.each()]),
            (opened, stack.opened.shifted(origin).each()),
            (carriers, stack.carrying.shifted(origin).each()),
        ):
            own = found.take(found.owner == row)
            assert len(own) == len(expected) and all(np.allclose(a, b) for a, b in zip(own.each(), expected, strict=True))
            assert np.allclose(own.boxes, [(points.min(axis=0), points.max(axis=0)) for points in expected] or own.boxes)
