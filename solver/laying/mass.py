"""Mass, centre of gravity and radius of gyration of a part, from its section, length and cuts.

Sections count with their true arcs, not with the polygons that stand for them.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from inventory.shapes import Array
from solver.geometry.cut_solids import Moments, moments
from solver.weldment import Part


def mass_kg(part: Part, density_kg_per_m3: float) -> float:
    """Return the mass of a part made of one density (kg/m3, as the rule book gives it), kg."""
    if part.cuts:
        return _left(part).volume * density_kg_per_m3 * 1e-9
    return part.section.properties.area * part.length * density_kg_per_m3 * 1e-9


def centre_of_gravity(part: Part, frame: Array) -> Array:
    """Return the centre of gravity (3,) of a part whose section lies in a frame (4x4: columns u, v, w, origin), mm."""
    local = _centre(_left(part)) if part.cuts else np.array([*part.section.properties.centroid, part.length / 2])
    centre: Array = frame[:3, 3] + frame[:3, :3] @ local
    return centre


def gyration_mm(part: Part) -> float:
    """Return a part's radius of gyration about its centre of gravity, sqrt(trace(I) / 2m), mm.

    A prism of area A and length L has trace(I) / 2m = (i_uu + i_vv) / A + L^2 / 12, however it lies.
    """
    if part.cuts:
        left = _left(part)
        return math.sqrt(float(np.trace(left.second)) / left.volume - float(_centre(left) @ _centre(left)))
    section = part.section.properties
    return math.sqrt((section.i_uu + section.i_vv) / section.area + part.length**2 / 12)


def _centre(left: Moments) -> Array:
    return left.first / left.volume


@lru_cache(maxsize=512)
def _left(part: Part) -> Moments:
    """Return the moments of what a part's cuts leave, in the section's own frame."""
    return moments([np.array(ring) for ring in part.section.true_rings], 0.0, part.length, part.cuts)
