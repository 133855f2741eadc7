"""Contact equilibrium with friction: is everything held, and if not, the proof and the cut it gives."""

from solver.statics.contacts import (
    ALWAYS,
    GROUND,
    UNCAPPED,
    ClampForce,
    Clamps,
    ContactPoint,
    Contacts,
    ContactSystem,
    PartWeights,
    patch_points,
)
from solver.statics.cuts import (
    Cut,
    IntegerCut,
    cut_coefficients,
    cut_of_twist,
    moving_alone,
    on_like_parts,
    turned_twist,
)
from solver.statics.deflection import Deflection, least_deflection
from solver.statics.holding import HoldingFailure, HoldingVerdict, holding_verdict
from solver.statics.loading import LoadingStep, LoadingVerdict, loading_verdicts, stable_by_gravity
from solver.statics.loads import CaseName, LoadCases, WeldJoint, load_cases
from solver.statics.power import Certificate
from solver.statics.program import StaticsUndecided
from solver.statics.quick.known_twists import demands, undoing

__all__ = [
    "ALWAYS",
    "GROUND",
    "UNCAPPED",
    "CaseName",
    "Certificate",
    "ClampForce",
    "Clamps",
    "ContactPoint",
    "ContactSystem",
    "Contacts",
    "Cut",
    "Deflection",
    "HoldingFailure",
    "HoldingVerdict",
    "IntegerCut",
    "LoadCases",
    "LoadingStep",
    "LoadingVerdict",
    "PartWeights",
    "StaticsUndecided",
    "WeldJoint",
    "cut_coefficients",
    "cut_of_twist",
    "demands",
    "holding_verdict",
    "least_deflection",
    "load_cases",
    "loading_verdicts",
    "moving_alone",
    "on_like_parts",
    "patch_points",
    "stable_by_gravity",
    "turned_twist",
    "undoing",
]
