"""Whether declared contacts are real: the pad lies on the face named, touches it, and the patch lies inside both."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import plane
from solver.checks.arithmetic.vectors import square_to
from solver.checks.report import at_most, fail, passed
from solver.checks.scene.faces import Face, face, faces
from solver.checks.scene.scene import Pad, Scene, SetPart, SetPiece
from solver.checks.scene.table_contact import table_patch
from solver.checks.scene.tips import tip
from solver.checks.tolerances import SQUARE, TOUCH
from solver.plans import Finding, PlacedContact

MATERIAL_MM2 = 1.0


def check_contacts(scene: Scene) -> Iterator[Finding]:
    """Yield, for every declared contact, whether pad, face, normal, touch and patch agree."""
    for piece in scene.pieces.values():
        for contact in piece.placement.contacts:
            yield from _piece_contact(scene, piece, contact)
        yield from _roles(piece)
    for mate in scene.answer.part_contacts:
        subject = f"{mate.part} {mate.on}"
        patch, normal = np.array(mate.patch), np.array(mate.normal)
        yield _on_some_face(scene.parts[mate.part], patch, normal, subject)
        yield _on_some_face(scene.parts[mate.on], patch, -normal, subject)
    for part in scene.parts.values():
        yield from _rests(scene, part)
    for body in scene.bodies.values():
        for id in body.listed.rests_on:
            yield fail("contacts.rests_on", body.id, f"it is an outer body: nothing is known of how it would rest on {id}")


def _piece_contact(scene: Scene, piece: SetPiece, contact: PlacedContact) -> Iterator[Finding]:
    part = scene.parts[contact.part]
    subject = f"{piece.id} {part.id}"
    patch, normal, at = np.array(contact.patch), np.array(contact.normal), np.array([contact.at])
    touch = TOUCH + part.round_allowance
    found = face(part, contact.face) or tip(part, contact.face)
    if found is None:
        yield fail("contacts.face", subject, f"{part.id} has no face {contact.face!r}")
        return
    off = found.excess(np.concatenate([patch, at]), normal)
    if math.isinf(off):
        yield fail("contacts.normal", subject, f"the normal does not oppose {contact.face} of {part.id}")
    else:
        yield at_most("contacts.patch_in_face", subject, off, TOUCH, "mm", f"patch against {contact.face}")
    pads = [pad for k, pad in enumerate(piece.pads) if float(pad.normal @ normal) > SQUARE and (k == 0 or not piece.clamping)]
    if not pads:
        yield fail("contacts.pad", subject, f"{piece.item.id} has no pad that faces this way")
        return
    pad = min(pads, key=lambda candidate: candidate.excess(patch))
    yield at_most(
        "contacts.patch_in_pad", subject, pad.excess(np.concatenate([patch, at])), touch, "mm", "patch and point against the pad"
    )
    yield at_most(
        "contacts.at_in_patch", subject, _outside(at, patch, normal), TOUCH, "mm", "the locating point against the patch"
    )
    if isinstance(found, Face):
        yield from _meets_material(subject, found, pad)


def _meets_material(subject: str, found: Face, pad: Pad) -> Iterator[Finding]:
    size = 4 * float(np.linalg.norm(pad.half_width) * np.linalg.norm(pad.half_height))
    under = found.material_under(pad.corners)
    if under < min(MATERIAL_MM2, 0.25 * size):
        yield fail("contacts.material", subject, f"the pad meets no material of {found.label}", under, MATERIAL_MM2, "mm2")


def _outside(at: Array, patch: Array, normal: Array) -> float:
    """Return how far the locating point lies outside the hull of the patch, seen along the normal, mm."""
    basis = np.array(square_to(normal))
    return max(0.0, -plane.margin((at @ basis.T)[0], plane.hull(patch @ basis.T)))


def _roles(piece: SetPiece) -> Iterator[Finding]:
    """Yield whether the piece touches what it says it locates, from a side that suits the role."""
    if piece.clamping and piece.placement.locates:
        yield fail("contacts.role", piece.id, "a clamp locates nothing")
    for part, role in piece.placement.locates:
        ups = [float(contact.normal[2]) for contact in piece.placement.contacts if contact.part == part]
        suits = any(up > 0.5 if role == "support" else abs(up) < 0.87 for up in ups)
        if suits:
            yield passed("contacts.role", f"{piece.id} {part}", role)
        else:
            yield fail("contacts.role", f"{piece.id} {part}", f"no contact that can locate as {role}")


def _on_some_face(part: SetPart, patch: Array, normal: Array, subject: str) -> Finding:
    off = min(found.excess(patch, normal) for found in faces(part))
    if math.isinf(off):
        return fail("contacts.mates", subject, f"no face of {part.id} is square to the normal")
    return at_most("contacts.mates", subject, off, TOUCH, "mm", f"patch against {part.id}")


def _rests(scene: Scene, part: SetPart) -> Iterator[Finding]:
    """Yield what `rests_on` names but the part does not touch from above."""
    held = {
        piece.id for piece in scene.pieces.values() for c in piece.placement.contacts if c.part == part.id and c.normal[2] > 0
    }
    held |= {mate.on for mate in scene.answer.part_contacts if mate.part == part.id and mate.normal[2] > 0}
    if len(table_patch(scene, part)):
        held.add("table")
    for id in part.listed.rests_on:
        if id not in held:
            yield fail("contacts.rests_on", part.id, f"it does not rest on {id}")
