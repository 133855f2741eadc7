"""Mass, centre of gravity and radius of gyration of a part, from its section and length.

Sections count with their true arcs, not with the polygons that stand for them.
"""

from __future__ import annotations

import math

import numpy as np

from inventory.shapes import Array
from solver.weldment import Part


def mass_kg(part: Part, density_kg_per_m3: float) -> float:
    """Return the mass of a part made of one density (kg/m3, as the rule book gives it), kg."""
    return part.section.properties.area * part.length * density_kg_per_m3 * 1e-9


def centre_of_gravity(part: Part, frame: Array) -> Array:
    """Return the centre of gravity (3,) of a part whose section lies in a frame (4x4: columns u, v, w, origin), mm."""
    centre: Array = frame[:3, 3] + frame[:3, :3] @ np.array([*part.section.properties.centroid, part.length / 2])
    return centre


def gyration_mm(part: Part) -> float:
    """Return a part's radius of gyration about its centre of gravity, sqrt(trace(I) / 2m), mm.

    A prism of area A and length L has trace(I) / 2m = (i_uu + i_vv) / A + L^2 / 12, however it lies.
    """
    section = part.section.properties
    return math.sqrt((section.i_uu + section.i_vv) / section.area + part.length**2 / 12)
