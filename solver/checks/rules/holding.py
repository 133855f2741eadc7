"""Whether the clamped weldment stays put: gravity, pushes at the welds, the pull of cooling tacks; and how far locators give."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.equilibrium import Body, System, resisted
from solver.checks.arithmetic.paths import Path
from solver.checks.report import fail, passed
from solver.checks.scene.scene import UP, Scene
from solver.checks.scene.table_contact import table_patch
from solver.checks.scene.wedge import open_wedge
from solver.plans import Finding
from solver.weldment import Weld

GRAVITY = 9.80665
SHRINKS = ("fillet", "lap", "corner")
AXES = [tuple(float(s) if k == i else 0.0 for k in range(3)) for i in range(3) for s in (1, -1)]
PUSHES = np.array([*AXES, *(tuple(s / math.sqrt(3) for s in signs) for signs in product((1.0, -1.0), repeat=3))])


@dataclass(frozen=True, eq=False)
class Case:
    """One load case: its rule and subject, the load beside gravity and clamps, columns of any sign."""

    rule: str
    subject: str
    load: Array
    free: Array | None = None


def check_held(scene: Scene) -> Iterator[Finding]:
    """Yield whether every load case is resisted, first with locators giving no more than allowed, then at all."""
    stiff = system_of(scene, capped=True)
    cases = list(load_cases(scene, stiff))
    verdicts = _resisted(scene, stiff, cases)
    failing = [case for case, held in zip(cases, verdicts, strict=True) if held is False]
    loose = []
    if failing:
        held = _resisted(scene, system_of(scene, capped=False), failing)
        loose = [case for case, ok in zip(failing, held, strict=True) if not ok]
    for case in failing:
        if case in loose:
            yield fail(case.rule, case.subject, "contacts, friction and clamps cannot balance it")
        else:
            limit = scene.rules["stack.deflection_max"]
            yield fail("stack.deflection_max", case.subject, f"{case.rule}: a locator gives more than allowed", None, limit, "mm")
    open_cases = {case.rule for case, held in zip(cases, verdicts, strict=True) if held is None}
    for rule in dict.fromkeys(case.rule for case in cases):
        if not any(case.rule == rule for case in loose) and rule not in open_cases:
            yield passed(rule, "weldment", f"{sum(case.rule == rule for case in cases)} load cases")
    if not failing:
        yield passed("stack.deflection_max", "weldment")


def _resisted(scene: Scene, system: System, cases: list[Case]) -> list[bool | None]:
    loads = np.array([case.load for case in cases])
    return resisted(system, still_load(scene, system), loads, [case.free for case in cases], [case.rule for case in cases])


def system_of(scene: Scene, *, capped: bool) -> System:
    """Return the forces that contacts and clamp tips may make; `capped`: no locator is pushed further than it may give."""
    friction = scene.rules["hold.friction"]
    bodies = [Body(k, part.inertia.centre, part.inertia.rho) for k, part in enumerate(scene.parts.values())]
    by_id = dict(zip(scene.parts, bodies, strict=True))
    system = System(bodies, [], [])
    for piece in scene.pieces.values():
        for contact in piece.placement.contacts:
            body, normal = by_id[contact.part], np.array(contact.normal)
            if piece.item.clamp is not None:
                share = piece.item.clamp.force_n / len(piece.placement.contacts)
                system.grip(body, np.array(contact.at), piece.force, friction * share)
            else:
                cap = piece.stiffness_n_per_mm * scene.rules["stack.deflection_max"] if capped else None
                system.contact(body, None, np.array(contact.patch), normal, friction, cap)
    for part in scene.parts.values():
        patch = table_patch(scene, part)
        if len(patch):
            system.contact(by_id[part.id], None, patch, UP, friction, None)
    for mate in scene.answer.part_contacts:
        system.contact(by_id[mate.part], by_id[mate.on], np.array(mate.patch), np.array(mate.normal), friction, None)
    return system


def still_load(scene: Scene, system: System) -> Array:
    """Return the load of gravity and of all clamps shut."""
    load = np.zeros(6 * len(system.bodies))
    by_id = dict(zip(scene.parts, system.bodies, strict=True))
    for part in scene.parts.values():
        load += system.wrench(by_id[part.id], -GRAVITY * part.inertia.mass * UP, part.inertia.centre)[0]
    for clamp in scene.pieces.values():
        if clamp.item.clamp is not None:
            for contact in clamp.placement.contacts:
                share = clamp.item.clamp.force_n / len(clamp.placement.contacts)
                load += system.wrench(by_id[contact.part], share * clamp.force, np.array(contact.at))[0]
    return load


def load_cases(scene: Scene, system: System) -> Iterator[Case]:
    """Yield gravity alone, the pushes at every weld, and the pull of a cooling tack at either end.

    The middle of a straight weld needs no case of its own: its loads are the means of those at the ends, and what can be balanced
    is convex.
    """
    by_id = dict(zip(scene.parts, system.bodies, strict=True))
    yield Case("hold.gravity", "weldment", np.zeros(6 * len(system.bodies)))
    push = scene.rules["hold.handling_n"] * scene.rules["clamp.safety"]
    seen: set[tuple[str, tuple[float, ...]]] = set()
    for weld in scene.welds:
        path = Path(scene.path(weld))
        ends = [path.points[0], path.points[-1]]
        middle = path.at(path.length / 2)
        points = ends if np.allclose(middle, (ends[0] + ends[1]) / 2, atol=1e-6) else [*ends, middle]
        for id, at in product(weld.parts, points):
            key = (id, tuple(np.round(at, 6).tolist()))
            if push > 0 and key not in seen:
                seen.add(key)
                for load in system.wrench(by_id[id], push * PUSHES, np.tile(at, (len(PUSHES), 1))):
                    yield Case("hold.handling_n", f"{weld.id} {id}", load)
        if weld.kind in SHRINKS:
            yield from _shrink(scene, system, by_id, weld, path)


def _shrink(scene: Scene, system: System, by_id: dict[str, Body], weld: Weld, path: Path) -> Iterator[Case]:
    """Yield the pull of a tack at either end (a weld without an open side is reported where the torch is checked)."""
    rules = scene.rules
    leg = weld.leg if weld.leg is not None else (weld.throat or 0.0) * math.sqrt(2)
    throat = weld.throat if weld.throat is not None else leg / math.sqrt(2)
    pull = throat * rules["tack.length"] * rules["hold.shrink_n_per_mm2"] * rules["clamp.safety"]
    a, b = weld.parts
    for s in (0.0, path.length):
        root = path.at(s)
        wedge = open_wedge(scene, weld, path.segments(s)[0])
        if wedge is None:
            continue
        toes = {id: root + leg * wedge.rays[id] for id in weld.parts}
        apart = toes[b] - toes[a]
        force = pull * apart / np.linalg.norm(apart)
        load = system.wrench(by_id[a], force, toes[a])[0] - system.wrench(by_id[b], force, toes[b])[0]
        root_force = system.wrench(by_id[a], np.eye(3), np.tile(root, (3, 1)))
        root_force -= system.wrench(by_id[b], np.eye(3), np.tile(root, (3, 1)))
        yield Case("hold.shrink_n_per_mm2", weld.id, load, root_force)
