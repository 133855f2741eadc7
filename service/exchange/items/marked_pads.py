"""Pads that are marked on solids: the flat face that looks the marked way, or a place that was read off the file."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inventory import limits
from inventory.errors import Fault, InvalidDocument
from inventory.items import Contact
from inventory.shapes import Array
from service.documents.item_files.marks import MarkedPadDocument
from service.exchange.items.item_place import DIGITS, ItemPlace
from solver.drafting.tidy import tidy, tidy_point
from solver.geometry.cut_faces import part_faces
from solver.weldment import Part

SAME_WAY = np.cos(np.radians(0.5))
"""Faces that look away from a marked direction by less than half a degree look that way."""
LEVEL = 1e-9
RIM = 1.0
"""How wide a pad on a round side is if nothing is said, mm: a line is met."""


@dataclass(frozen=True)
class _Flat:
    """A flat face as a rectangle in the item's frame: its middle, normal, and extents along a pad's width and height, mm."""

    at: Array
    normal: Array
    width: float
    height: float


def marked_pad(pad: MarkedPadDocument, part: Part | None, moves: bool, place: ItemPlace) -> Contact:
    """Return the pad that is marked.

    Parameters
    ----------
    part : Part or None
        The solid it is on, as it lies in the file; None: `at` says all.
    moves : bool
        Whether that solid moves.

    Raises
    ------
    InvalidDocument
        With pointers into the mark.
    """
    shifts = moves if pad.moves is None else pad.moves
    if part is None:
        missing = [name for name in ("at", "width", "height") if getattr(pad, name) is None]
        if missing:
            raise InvalidDocument([Fault(f"/{missing[0]}", "is missing: no solid is named", "a solid, or at, width and height")])
        assert pad.at is not None and pad.width is not None and pad.height is not None
        return Contact(place.point(pad.at), place.direction(pad.normal), pad.width, pad.height, shifts)
    normal = np.array(place.direction(pad.normal))
    near = None if pad.at is None else np.array(place.point(pad.at))
    face = _rim(part, normal, place) if part.section.round else None
    face = face or _chosen(_looking(part, normal, place), near, part, pad)
    given = pad.width is not None and pad.height is not None
    at = near - float((near - face.at) @ face.normal) * face.normal if near is not None and given else face.at
    width = face.width if pad.width is None else pad.width
    height = face.height if pad.height is None else pad.height
    return Contact(
        tidy_point(at, DIGITS), tidy_point(face.normal, DIGITS * 2), tidy(width, DIGITS), tidy(height, DIGITS), shifts
    )  # fmt: skip


def _looking(part: Part, normal: Array, place: ItemPlace) -> list[_Flat]:
    """Return a part's flat faces that look a way, each as the rectangle around it in a pad's axes."""
    across, up = axes_of(normal)
    found = []
    for face in part_faces(0, part, place.frame @ part.pose.frame()):
        if face.normal @ normal < SAME_WAY:
            continue
        corners = face.corners()
        a, b = corners @ across, corners @ up
        middle = (a.min() + a.max()) / 2 * across + (b.min() + b.max()) / 2 * up + (face.normal @ face.origin) * normal
        found.append(_Flat(middle, normal, float(np.ptp(a)), float(np.ptp(b))))
    return found


def _chosen(faces: list[_Flat], near: Array | None, part: Part, pad: MarkedPadDocument) -> _Flat:
    what = f"solid {limits.shown(part.name or part.id)}"
    if not faces:
        wrong = f"no flat face of {what} looks along {_shown(pad.normal)}"
        raise InvalidDocument([Fault("/normal", wrong, "a direction square to one of its faces, out of the solid")])
    if near is not None:
        return min(faces, key=lambda face: float(np.linalg.norm(face.at - near)))
    if len(faces) > 1:
        places = "; ".join(f"{face.width:.4g} x {face.height:.4g} mm" for face in faces)
        wrong = f"{len(faces)} faces of {what} look along {_shown(pad.normal)}: {places}"
        raise InvalidDocument([Fault("/at", wrong, "a point at the one that is meant")])
    return faces[0]


def _rim(part: Part, normal: Array, place: ItemPlace) -> _Flat | None:
    """Return the line along a round part that looks a way, as wide as `RIM`; None if that is one of its ends."""
    frame = place.frame @ part.pose.frame()
    axis = frame[:3, 2]
    if abs(axis @ normal) > 1 - SAME_WAY:
        return None
    middle = frame[:3, 3] + axis * part.length / 2 + normal * part.section.sizes["diameter"] / 2
    across, _ = axes_of(normal)
    lies = abs(axis @ across) > 0.5
    return _Flat(middle, normal, part.length if lies else RIM, RIM if lies else part.length)


def axes_of(normal: Array) -> tuple[Array, Array]:
    """Return the directions of a pad's width and height: z x normal (x if the normal is vertical), normal x width."""
    level = np.cross((0.0, 0.0, 1.0), normal)
    long = float(np.linalg.norm(level))
    across = np.array((1.0, 0.0, 0.0)) if long < LEVEL else level / long
    return across, np.cross(normal, across)


def _shown(direction: list[float]) -> str:
    return "(" + ", ".join(f"{value:g}" for value in direction) + ")"
