"""Whether pads bear properly: along both its directions, a pad's patch measures its share of the lesser of pad and face.

At the end of a section that is not solid, cut or not, the hull of its outline is the face, and what the pad covers of that
counts. Pins in holes and slots, V-blocks and round faces are exempt.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from inventory.shapes import Array
from solver.checks.arithmetic import plane
from solver.checks.report import at_least
from solver.checks.scene.faces import Face, face
from solver.checks.scene.scene import UP, Pad, Scene, SetPiece
from solver.checks.tolerances import LEVEL, SQUARE
from solver.plans import Finding, PlacedContact

SLACK = 1e-3


def check_bearing(scene: Scene) -> Iterator[Finding]:
    """Yield, for every pad on a flat face, how much of it bears along the direction in which least of what is asked does, mm."""
    locate, clamp = scene.rules["locate.pad_share"], scene.rules["clamp.pad_share"]
    for piece in scene.pieces.values():
        rule, share = ("clamp.pad_share", clamp) if piece.clamping else ("locate.pad_share", locate)
        for contact in piece.placement.contacts:
            found, pad = face(scene.parts[contact.part], contact.face), _pad(piece, contact)
            if share <= 0 or not isinstance(found, Face) or pad is None or _exempt(piece, contact):
                continue
            bears = [
                (own, share * lesser) for own, lesser in _measured(found, pad, np.array(contact.patch), _thin(scene, contact))
            ]
            own, asked = min(bears, key=lambda entry: entry[0] / max(entry[1], 1e-9))
            yield at_least(rule, f"{piece.id} {contact.part}", own, asked, "mm", f"on {contact.face}", SLACK)


def _exempt(piece: SetPiece, contact: PlacedContact) -> bool:
    """Return whether a contact is that of a pin in a hole, or of a V-block's flank."""
    flank = not piece.clamping and LEVEL < abs(float(np.array(contact.normal) @ UP)) < SQUARE
    return contact.face.startswith("cutout:") or flank


def _pad(piece: SetPiece, contact: PlacedContact) -> Pad | None:
    """Return the pad of a piece that makes a contact; a clamp's is its first."""
    normal, patch = np.array(contact.normal), np.array(contact.patch)
    pads = [pad for k, pad in enumerate(piece.pads) if float(pad.normal @ normal) > SQUARE and (k == 0 or not piece.clamping)]
    return min(pads, key=lambda pad: pad.excess(patch), default=None)


def _thin(scene: Scene, contact: PlacedContact) -> bool:
    """Return whether a contact is on the end of a profile, cut or not: its hull is the face if it is open or hollow."""
    return scene.parts[contact.part].part.section.shape != "plate" and contact.face.split(":")[0] in ("start", "end", "cut")


def _measured(found: Face, pad: Pad, patch: Array, thin: bool) -> Iterator[tuple[float, float]]:
    """Yield along the pad's width, then its height, how much bears and the lesser of pad and face, mm."""
    outline = found.rings[0]
    hull = plane.hull(outline)
    if thin and (found.hollow or abs(plane.area(hull)) > abs(plane.area(outline)) * (1 + 1e-6)):
        flat = plane.clip(hull, plane.hull(found.flat(pad.corners)))
    else:
        flat = found.flat(patch)
    for half, size in ((pad.half_width, pad.width), (pad.half_height, pad.height)):
        along = found.basis @ half / max(size / 2, 1e-12)
        own = float(np.ptp(flat @ along)) if len(flat) else 0.0
        yield own, min(size, float(np.ptp(outline @ along)))
