"""Faces and corners in a fitter's words, as the weldment lies on the table: left and right, near and far, upper and lower."""

from __future__ import annotations

import numpy as np

from inventory.shapes import Array
from solver.answer.piece_words import SIDES
from solver.weldment import Part

UPRIGHT = {1: "upper", -1: "lower"}


def look(direction: Array) -> str:
    """Return where a direction of the table frame mostly looks: ``left``, ``right``, ``near``, ``far``, ``upper``, ``lower``."""
    axis = int(np.argmax(np.abs(np.round(direction, 6))))
    sign = 1 if direction[axis] > 0 else -1
    return UPRIGHT[sign] if axis == 2 else SIDES[axis, -sign]


def face_words(part: Part, label: str, normal: Array, inner: bool = False) -> str:
    """Return a face of a part in words: ``the left end of rail``, ``the top of rail``, ``the far edge of lug``.

    `normal` points out of the part, in the table frame; `inner` says that another face of its kind lies farther out.
    """
    side, across = look(normal), label in ("start", "end") or label.startswith("cut:")
    noun = ("edge", "face")[across] if part.flat else ("side", "end")[across]
    inside = "inner " if inner else ""
    if noun in ("face", "side") and side in UPRIGHT.values():
        return f"the {inside}{'top' if side == 'upper' else 'underside'} of {part.id}"
    return f"the {inside}{side} {noun} of {part.id}"


def corner_words(part: str, outward: Array) -> str:
    """Return a corner of a flat frame in words, by the direction from the frame's middle: ``the near left corner of rail``."""
    big = float(np.abs(outward).max())
    words = [look(axis * outward) for axis in np.eye(3) if abs(float(axis @ outward)) > 1e-6 * big]
    order = ("upper", "lower", "near", "far", "left", "right")
    return f"the {' '.join(sorted(words, key=order.index))} corner of {part}"
