"""Level places along the faces that pads meet: how far a pad reaches from its hole, and from where to where its face goes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from inventory.shapes import Array
from solver.geometry.tolerances import LEVEL
from solver.hardware.matching import Match
from solver.hardware.travel import Travel


def pads_along(found: Sequence[Match], travels: Sequence[Travel | None]) -> Array:
    """Return how far along the face from its hole each pad reaches at any setting, least and most (m, 2), mm."""
    reaches = []
    for match, travel in zip(found, travels, strict=True):
        across = _across(match)
        slip = [0.0] if travel is None else [float(travel.axis[:2] @ across) * end for end in (travel.low, travel.high)]
        place, half = float(match.pad.at[:2] @ across), match.pad.width / 2
        reaches.append((place + min(slip) - half, place + max(slip) + half))
    return np.array(reaches).reshape(-1, 2)


def faces_along(found: Sequence[Match]) -> Array:
    """Return from where to where each match's face reaches along itself, (m, 2), mm: no patch reaches farther."""
    ends = []
    for match in found:
        along = match.face.corners()[:, :2] @ _across(match)
        ends.append((float(along.min()), float(along.max())))
    return np.array(ends).reshape(-1, 2)


def _across(match: Match) -> Array:
    """Return the level direction along the face, square to how the pad looks; nothing for a pad that looks up or down."""
    across: Array = np.array([-match.pad.normal[1], match.pad.normal[0]]) / max(LEVEL, float(np.hypot(*match.pad.normal[:2])))
    return across
