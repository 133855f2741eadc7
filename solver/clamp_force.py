"""Where a clamp's force comes from: a screw's torque, a toggle's linkage; and what it does to the part under its pad.

For a shop that must rate a clamp itself. Sources beside each function.
"""

from __future__ import annotations

import math

NUT_FACTOR = {"dry": 0.30, "zinc": 0.20, "cadmium": 0.16, "lubricated": 0.18, "anti-seize": 0.12}
"""Shigley's K as quoted in public (lubricated and anti-seize from memory). Another handbook has zinc, dry 0.295 and bare
0.20: the two contradict each other, so every result names the K it used."""


def stress_area_mm2(diameter_mm: float, pitch_mm: float) -> float:
    """Return the stress area of an ISO metric thread, (pi/4)(d - 0.9382 P)^2, mm2 (ISO 898-1)."""
    return math.pi / 4 * (diameter_mm - 0.9382 * pitch_mm) ** 2


def screw_force_n(torque_nm: float, diameter_mm: float, nut_factor: float) -> float:
    """Return the force of a screw from its tightening torque, F = T / (K d), N (Shigley)."""
    return torque_nm / (nut_factor * diameter_mm / 1000)


def screw_torque_nm(force_n: float, diameter_mm: float, nut_factor: float) -> float:
    """Return the torque for a force, T = K F d, N m (Shigley)."""
    return nut_factor * force_n * diameter_mm / 1000


def toggle_ratio(angle_deg: float) -> float:
    """Return output over input force of a toggle with equal links, each `angle_deg` off the straight line: 1 / (2 tan).

    Grows without limit as the toggle straightens; over centre it stays shut with no hand on it. Infinite at 0.
    """
    return math.inf if angle_deg == 0 else 1 / (2 * math.tan(math.radians(angle_deg)))


def pad_pressure_share(force_n: float, pad_area_mm2: float, yield_mpa: float) -> float:
    """Return a clamp pad's pressure on the part as a share of its yield strength (limit: `clamp.max_part_pressure`)."""
    return force_n / pad_area_mm2 / yield_mpa
