"""Mass, centre of gravity and inertia of a part in space, from its section alone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.weldment import Part

CUBIC_MM_PER_CUBIC_M = 1e9


@dataclass(frozen=True, slots=True)
class MassProperties:
    """Mass and its distribution in the weldment frame.

    Parameters
    ----------
    mass_kg : float
        Mass, kg.
    centre : (3,) array
        Centre of gravity, mm.
    inertia : (3, 3) array
        Inertia tensor about the centre of gravity, axes parallel to the weldment frame, kg mm2. Off-diagonal terms
        are negative products of inertia, so that angular momentum is ``inertia @ spin``.
    """

    mass_kg: float
    centre: Array
    inertia: Array


def mass_properties(part: Part, density_kg_per_m3: float) -> MassProperties:
    """Return mass, centre of gravity and inertia of a part made of one density.

    Parameters
    ----------
    part : Part
        A section extruded along w from 0 to the part's length, at its pose.
    density_kg_per_m3 : float
        Density of the material, kg/m3, as the rule book gives it.

    Returns
    -------
    MassProperties
        In the weldment frame. Sections count with their true arcs, not with the polygons that stand for them.

    Notes
    -----
    A prism of line density d = rho A has, about its centroid, I_u = rho L i_uu + m L^2/12, I_v likewise and
    I_w = rho L (i_uu + i_vv); the tensor turns with the pose, I' = R I R^T.
    """
    section, length = part.section.properties, part.length
    density = density_kg_per_m3 / CUBIC_MM_PER_CUBIC_M
    mass = density * section.area * length
    per_area, slender = density * length, mass * length**2 / 12
    local = np.diag(
        [
            per_area * section.i_uu + slender,
            per_area * section.i_vv + slender,
            per_area * (section.i_uu + section.i_vv),
        ]
    )
    local[0, 1] = local[1, 0] = -per_area * section.i_uv
    frame = part.pose.frame()
    turn = frame[:3, :3]
    centre = turn @ np.array([section.centroid[0], section.centroid[1], length / 2]) + frame[:3, 3]
    return MassProperties(mass, centre, turn @ local @ turn.T)
