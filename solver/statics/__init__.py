"""Contact equilibrium with friction: is everything held, and if not, the proof and the cut it gives."""

from solver.statics.contacts import (
    ALWAYS,
    GROUND,
    UNCAPPED,
    Bodies,
    ClampForce,
    Clamps,
    ContactPoint,
    Contacts,
    ContactSystem,
    patch_points,
)
from solver.statics.cuts import Cut, IntegerCut, cut_coefficients
from solver.statics.deflection import Deflection, least_deflection
from solver.statics.held import Failure, Held, held
from solver.statics.loading import LoadingStep, LoadingVerdict, loading, stable_by_gravity
from solver.statics.loads import CaseName, LoadCases, WeldJoint, load_cases
from solver.statics.power import Certificate
from solver.statics.program import StaticsUndecided
from solver.statics.reuse import cut_of_twist, moving_alone, on_like_parts, turned

__all__ = [
    "ALWAYS",
    "GROUND",
    "UNCAPPED",
    "ContactSystem",
    "Bodies",
    "CaseName",
    "Certificate",
    "ClampForce",
    "Clamps",
    "ContactPoint",
    "Contacts",
    "Cut",
    "Deflection",
    "Failure",
    "Held",
    "IntegerCut",
    "LoadCases",
    "LoadingStep",
    "LoadingVerdict",
    "StaticsUndecided",
    "WeldJoint",
    "cut_coefficients",
    "cut_of_twist",
    "held",
    "least_deflection",
    "load_cases",
    "loading",
    "moving_alone",
    "on_like_parts",
    "patch_points",
    "stable_by_gravity",
    "turned",
]
