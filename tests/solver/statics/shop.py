"""Small assemblies for statics: blocks on the slab, stops, clamps, and random fixtures."""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.rule_book.book import RuleBook
from solver.statics import (
    GROUND,
    ClampForce,
    Clamps,
    ContactPoint,
    Contacts,
    ContactSystem,
    LoadCases,
    PartWeights,
    WeldJoint,
    load_cases,
    patch_points,
)
from solver.statics.loads import NO_PART, CaseName

UP = (0.0, 0.0, 1.0)


def rectangle(x: tuple[float, float], y: tuple[float, float], z: float) -> list[tuple[float, float, float]]:
    """A level patch."""
    return [(x[0], y[0], z), (x[1], y[0], z), (x[1], y[1], z), (x[0], y[1], z)]


def block(
    weight_n: float,
    width: float,
    height: float,
    *more: ContactPoint,
    clamps: tuple[ClampForce, ...] = (),
    caps: tuple[float, ...] = (),
    mu: float,
) -> ContactSystem:
    """One block, width x width x height, its base centred on the table's origin."""
    half = width / 2
    points = patch_points(0, rectangle((-half, half), (-half, half), 0.0), UP)
    part_weights = PartWeights(np.array([[0.0, 0.0, height / 2]]), np.array([weight_n]))
    return ContactSystem(part_weights, Contacts.of([*points, *more], caps), Clamps.of(clamps), mu)


def push(*pushes: tuple[tuple[float, float, float], tuple[float, float, float]], part: int = 0) -> LoadCases:
    """Gravity alone, then each push (at, force) on `part`."""
    count = len(pushes)
    at, force = np.zeros((count + 1, 2, 3)), np.zeros((count + 1, 2, 3))
    for k, (point, pull) in enumerate(pushes):
        at[k + 1, 0], force[k + 1, 0] = point, pull
    names = (CaseName("gravity"), *(CaseName("handling", "w", "start", part) for _ in pushes))
    index = np.array([[NO_PART, NO_PART], *([part, NO_PART] for _ in pushes)])
    return LoadCases(names, index, at, force, np.full((count + 1, 3), np.nan))


def random_fixture(rng: np.random.Generator, parts: int | None = None) -> tuple[ContactSystem, LoadCases, int]:
    """A base bar on the slab and lugs on it, with random stops and clamps: (all candidates, cases, their number)."""
    parts = int(rng.integers(1, 4)) if parts is None else parts
    length = 200.0 + 100.0 * parts
    centres = [(length / 2, 0.0, 25.0)]
    points: list[ContactPoint] = patch_points(0, rectangle((0, length), (-25, 25), 0.0), UP)
    stops: list[tuple[int, Array, Array]] = []
    presses: list[tuple[int, Array, Array]] = []
    for x in rng.uniform(10, length - 10, 3):
        stops.append((0, np.array([x, -25, 25]), np.array([0.0, 1, 0])))
        presses.append((0, np.array([x, rng.uniform(-20, 20), 50]), np.array([0.0, 0, -1])))
    stops.append((0, np.array([0, 0, 25.0]), np.array([1.0, 0, 0])))
    presses.append((0, np.array([rng.uniform(0, length), 25, 25.0]), np.array([0.0, -1, 0])))
    joints = []
    for k in range(1, parts):
        x = 150.0 * k
        centres.append((x, 0.0, 95.0))
        points += patch_points(k, rectangle((x - 4, x + 4), (-22, 22), 50.0), UP, other=0)
        for y in (-20.0, 20.0):
            stops.append((k, np.array([x - 4, y, rng.uniform(60, 130)]), np.array([1.0, 0, 0])))
        stops.append((k, np.array([x, -22, rng.uniform(60, 130)]), np.array([0.0, 1, 0])))
        presses.append((k, np.array([x + 4, rng.uniform(-20, 20), rng.uniform(60, 130)]), np.array([-1.0, 0, 0])))
        presses.append((k, np.array([x, rng.uniform(-20, 20), 140.0]), np.array([0.0, 0, -1])))
        ends = np.array([(x + 4, -22.0, 50.0), (x + 4, 22.0, 50.0)])
        toes = np.stack([ends + np.array([4.0, 0, 0]), ends + np.array([0, 0, 4.0])], axis=1)
        joints.append(WeldJoint(f"w{k}", (0, k), ends, ends.mean(axis=0), toes, "fillet", 2.83))
    caps = []
    for owner, (part, at, normal) in enumerate(stops):
        across = np.cross(normal, UP) * 8
        corners = [at - across - (0, 0, 6), at + across - (0, 0, 6), at + across + (0, 0, 6), at - across + (0, 0, 6)]
        points += patch_points(part, [corner.tolist() for corner in corners], normal.tolist(), GROUND, owner, owner)
        caps.append(float(rng.choice([300.0, 1500.0, 4000.0])))
    clamps = [
        ClampForce(part, at.tolist(), direction.tolist(), float(rng.choice([200.0, 600.0, 1500.0])), len(stops) + k)
        for k, (part, at, direction) in enumerate(presses)
    ]
    weights = rng.uniform(3, 60, parts)
    part_weights = PartWeights(np.array(centres), weights)
    rules = RuleBook({"hold.handling_n": float(rng.choice([20.0, 60.0, 100.0]))})
    everything = ContactSystem(
        part_weights, Contacts.of(points, caps), Clamps.of(clamps), float(rng.choice([0.0, 0.1, 0.15, 0.3]))
    )
    cases = (
        load_cases(joints, rules)
        if joints
        else push(((0, 0, 50), (30, 0, 0)), ((0, 0, 50), (-30, 0, 0)), ((length, 0, 50), (0, 0, 30)))
    )
    return everything, cases, len(stops) + len(clamps)


def sampled(cases: LoadCases, rng: np.random.Generator, count: int) -> LoadCases:
    """Gravity and a few other cases."""
    pick = np.unique(np.concatenate([[0], rng.integers(0, len(cases), count)]))
    return LoadCases(tuple(cases.names[k] for k in pick), cases.part[pick], cases.at[pick], cases.force[pick], cases.root[pick])
