"""Density, yield and stiffness of the materials that parts and pieces are made of.

Source: beside each value. A shop sets its own densities and yields in the rule book.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from solver.weldment import Material

TYPICAL = "typical value, source not checked"


@dataclass(frozen=True, slots=True)
class Published:
    """A value and where it was published."""

    value: float
    source: str = TYPICAL


@dataclass(frozen=True, slots=True)
class MaterialValues:
    """What is published of a material: density, kg/m3, yield, MPa, and modulus of elasticity, MPa."""

    density_kg_per_m3: Published
    yield_mpa: Published
    young_mpa: Published


MATERIALS: Mapping[Material, MaterialValues] = {
    "steel": MaterialValues(
        Published(7850, "EN 10219-2 mass convention"), Published(235), Published(210_000, "EN 1993-1-1, source not checked")
    ),
    "stainless": MaterialValues(Published(7900), Published(210), Published(200_000)),
    "aluminium": MaterialValues(Published(2700), Published(160), Published(70_000)),
}
