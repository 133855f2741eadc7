"""What a hand must hold while the parts go in, and what is heavy: recomputed, and compared with what each load step says.

After each step all that is in must stay put by gravity and by the clamps shut so far, and under a level pull at each part's
centre of gravity of a tenth of its weight, in eight directions (common practice, no source); where friction is very low, of 0.9
times the friction. Else a hand holds it until the clamps of the first step that ends so are shut. An outer body is always held by
hand.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.equilibrium import Body, System, resisted
from solver.checks.report import fail, summary
from solver.checks.rules.holding import GRAVITY
from solver.checks.scene.scene import UP, Scene
from solver.checks.scene.table_contact import table_patch
from solver.plans import Finding, LoadStep

LEAN = 0.1
LEAN_OF_FRICTION = 0.9
DOUBT = 0.02
"""What stays at so much less of the lean, or does not at so much more, may be said either way."""
KG, SHARE = 0.001, 0.005
"""How far a listed mass may be off, kg, and as a share of it: arcs are chords here. So near its limit, either may be said."""
LEVEL = np.array([(np.cos(k * np.pi / 4), np.sin(k * np.pi / 4), 0.0) for k in range(8)])


def check_loading(scene: Scene) -> Iterator[Finding]:
    """Yield whether every load step says what it weighs, whether that is heavy, and until when a hand must hold what is in.

    A document that says nothing of it is older, and is not judged.
    """
    yield from summary("load.by_hand", "weldment", _holds(scene))
    yield from summary("load.mass", "weldment", _masses(scene))


def _masses(scene: Scene) -> Iterator[Finding]:
    limit = scene.rules["lift.one_person_kg"]
    masses = {part.id: part.inertia.mass for part in scene.all_parts.values()}
    said = [(step.part, step.mass_kg, step.heavy, masses[step.part]) for step in scene.answer.load]
    out = scene.answer.unload
    for id, listed, heavy, mass in (*said, ("weldment", out.mass_kg, out.heavy, sum(masses.values()))):
        slack = KG + SHARE * mass
        if listed is not None and abs(listed - mass) > slack:
            yield fail("load.mass", id, f"{listed:g} kg listed, {mass:.3f} kg by its sizes", listed, mass, "kg")
        if heavy is not None and heavy != (mass > limit) and abs(mass - limit) > slack:
            yield fail("load.mass", id, f"{'' if mass > limit else 'not '}more than one person lifts", mass, limit, "kg")


def _holds(scene: Scene) -> Iterator[Finding]:
    load = scene.answer.load
    if all(step.mass_kg is None for step in load):
        return
    for place, step in enumerate(load):
        if step.part in scene.bodies:
            if step.hold_by_hand is None:
                yield fail(
                    "load.by_hand", step.part, "the step says that it stays put, and nothing of the fixture holds an outer body"
                )
            continue
        if not any(_until(scene, load, place, LEAN + doubt) == step.hold_by_hand for doubt in (0.0, DOUBT * LEAN, -DOUBT * LEAN)):
            wanted = _until(scene, load, place, LEAN) or "that it stays put"
            yield fail("load.by_hand", step.part, f"the step says {step.hold_by_hand or 'that it stays put'}, found {wanted}")


def _until(scene: Scene, load: tuple[LoadStep, ...], place: int, lean: float) -> str | None:
    """Return until when a hand holds what is in after a step, None if it stays put."""
    inside, shut = _so_far(load, place)
    if _stays(scene, inside, shut - set(load[place].then_close), lean):
        return None
    for later in range(place, len(load)):
        closing = load[later].then_close
        if closing and _stays(scene, *_so_far(load, later), lean):
            return f"until {' and '.join(closing)} {'is' if len(closing) == 1 else 'are'} shut"
    return "until the weldment is tacked"


def _so_far(load: tuple[LoadStep, ...], place: int) -> tuple[set[str], set[str]]:
    """Return the parts that are in after a step, and the clamps that are shut."""
    done = load[: place + 1]
    return {step.part for step in done}, {id for step in done for id in step.then_close}


def _stays(scene: Scene, inside: Collection[str], shut: Collection[str], lean: float) -> bool:
    """Return whether the parts inside stay put by gravity, the lean and the clamps in `shut`."""
    system, still = _system(scene, inside, shut)
    share = min(lean, LEAN_OF_FRICTION * scene.rules["hold.friction"])
    loads = [np.zeros(len(still))]
    for body, id in zip(system.bodies, _in_order(scene, inside), strict=True):
        part = scene.parts[id].inertia
        loads += list(system.wrench(body, share * GRAVITY * part.mass * LEVEL, np.tile(part.centre, (len(LEVEL), 1))))
    verdicts = resisted(system, still, np.array(loads), [None] * len(loads), ["lean"] * len(loads))
    return all(verdicts)


def _in_order(scene: Scene, inside: Collection[str]) -> list[str]:
    return [id for id in scene.parts if id in inside]


def _system(scene: Scene, inside: Collection[str], shut: Collection[str]) -> tuple[System, Array]:
    """Return the forces that may act on the parts inside, and their load by gravity and by the clamps that are shut."""
    ids, friction = _in_order(scene, inside), scene.rules["hold.friction"]
    inertias = [scene.parts[id].inertia for id in ids]
    bodies = [Body(k, inertia.centre, inertia.rho) for k, inertia in enumerate(inertias)]
    by_id, system = dict(zip(ids, bodies, strict=True)), System(bodies, [], [])
    still = np.zeros(6 * len(bodies))
    for body, inertia in zip(bodies, inertias, strict=True):
        still += system.wrench(body, -GRAVITY * inertia.mass * UP, inertia.centre)[0]
    for piece in scene.pieces.values():
        if piece.item.clamp is not None and piece.id not in shut:
            continue
        for contact in piece.placement.contacts:
            if contact.part not in by_id:
                continue
            body, at = by_id[contact.part], np.array(contact.at)
            if piece.item.clamp is not None:
                force = piece.item.clamp.force_n / len(piece.placement.contacts)
                system.grip(body, at, piece.force, friction * force)
                still += system.wrench(body, force * piece.force, at)[0]
            else:
                cap = piece.stiffness_n_per_mm * scene.rules["stack.deflection_max"]
                system.contact(body, None, np.array(contact.patch), np.array(contact.normal), friction, cap)
    for id in ids:
        if len(patch := table_patch(scene, scene.parts[id])):
            system.contact(by_id[id], None, patch, UP, friction, None)
    for mate in scene.answer.part_contacts:
        if mate.part in by_id and mate.on in by_id:
            system.contact(by_id[mate.part], by_id[mate.on], np.array(mate.patch), np.array(mate.normal), friction, None)
    return system, still
