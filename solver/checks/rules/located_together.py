"""Whether parts that meet in a closed ring may be located together: one matrix of full rank for all, every joint pressed.

A tip that a pad meets counts for such a ring alone. Unknown are the motions of all its parts; a contact of two of them has a row
a corner of its patch, on the difference of their motions.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic.equilibrium import Body, System
from solver.checks.arithmetic.pressing import ENOUGH_N, least_push
from solver.checks.report import at_least, at_most, fail
from solver.checks.rules.holding import still_load
from solver.checks.rules.locating import condition, matrix
from solver.checks.scene.rings import RULE, Ring, rings_together
from solver.checks.scene.rows import Row, rows_of
from solver.checks.scene.scene import UP, Scene
from solver.checks.scene.table_contact import table_patch
from solver.checks.scene.tips import NAME
from solver.plans import Finding


def check_together(scene: Scene) -> Iterator[Finding]:
    """Yield, for each ring located together, the condition of its matrix and how hard its joints are pressed, and stray tips."""
    rings = rings_together(scene)
    together = {id for ring in rings for id in ring.parts}
    for piece in scene.pieces.values():
        for contact in piece.placement.contacts:
            if contact.face.startswith(NAME) and (piece.clamping or contact.part not in together):
                yield fail(
                    RULE, f"{piece.id} {contact.part}", "a tip counts for a locator of a closed ring located together alone"
                )
    for ring in rings:
        if _leans_on_itself(scene, ring):
            yield fail("locate.chain", ring.subject, "a part that one of the ring leans on leans on the ring itself")
        yield _condition(scene, ring)
        text = "least push at a joint, clamps shut, counted without friction, N or more"
        yield at_least(RULE, ring.subject, _pressed(scene, ring), ENOUGH_N, "N", text)


def _leans_on_itself(scene: Scene, ring: Ring) -> bool:
    """Return whether the ring leans on a part outside it that leans on the ring, by whatever other parts."""
    beneath = [mate.on for mate in scene.answer.part_contacts if mate.part in ring.parts and mate.on not in ring.parts]
    for id in beneath:
        beneath += [mate.on for mate in scene.answer.part_contacts if mate.part == id and mate.on not in beneath]
    return bool(set(beneath) & set(ring.parts))


def ring_matrix(scene: Scene, parts: Sequence[str], rows: Mapping[str, Sequence[Row]]) -> Array:
    """Return the locator matrix of some parts together, six columns a part; rows in the order of parts and of their rows."""
    found = []
    for k, id in enumerate(parts):
        own = matrix(scene.parts[id], rows[id]) if rows[id] else np.zeros((0, 6))
        block = np.zeros((len(own), 6 * len(parts)))
        block[:, 6 * k : 6 * k + 6] = own
        for number, row in enumerate(rows[id]):
            if row.kind == "part" and row.source in parts:
                on = parts.index(row.source)
                block[number, 6 * on : 6 * on + 6] -= matrix(scene.parts[row.source], [row])[0]
        found.append(block)
    return np.concatenate(found)


def _condition(scene: Scene, ring: Ring) -> Finding:
    limit, rule = scene.rules["locate.condition_max"], "locate.condition_max"
    rows = {id: rows_of(scene, id) for id in ring.parts}
    whole, rank = ring_matrix(scene, ring.parts, rows), 6 * len(ring.parts)
    value = condition(whole, rank, limit)
    if not np.isfinite(value):
        return fail(rule, ring.subject, f"the rows of the ring do not reach rank {rank}", value, limit)
    return at_most(rule, ring.subject, value, limit, "", "the ring's parts together")


def _pressed(scene: Scene, ring: Ring) -> float:
    """Return the push that every joint of a ring can have at once, N, at most `ENOUGH_N`; less than 0 if nothing balances."""
    bodies = [Body(k, part.inertia.centre, part.inertia.rho) for k, part in enumerate(scene.parts.values())]
    by_id = dict(zip(scene.parts, bodies, strict=True))
    system = System(bodies, [], [])
    for piece in scene.pieces.values():
        for contact in piece.placement.contacts if not piece.clamping else ():
            patch = np.array(contact.patch)
            system.add(system.wrench(by_id[contact.part], np.tile(contact.normal, (len(patch), 1)), patch))
    for part in scene.parts.values():
        patch = table_patch(scene, part)
        if len(patch):
            system.add(system.wrench(by_id[part.id], np.tile(UP, (len(patch), 1)), patch))
    joints: dict[frozenset[str], list[int]] = {}
    for mate in scene.answer.part_contacts:
        patch, normal = np.array(mate.patch), np.tile(mate.normal, (len(mate.patch), 1))
        load = system.wrench(by_id[mate.part], normal, patch) - system.wrench(by_id[mate.on], normal, patch)
        places = system.add(load)
        if mate in ring.joints:
            joints.setdefault(frozenset((mate.part, mate.on)), []).extend(places)
    return least_push(np.concatenate(system.columns), still_load(scene, system), list(joints.values()))
