"""What a drawn solid is: boundary in, section with length, pose and cuts out, or the coded reason why it is none."""

from solver.recognition.boundary import (
    ArcEdge,
    CylinderSurface,
    DrawnFace,
    FreeEdge,
    FreeSurface,
    PlaneSurface,
    SolidBoundary,
    StraightEdge,
)
from solver.recognition.outer_prism import OuterPrism, outer_prism
from solver.recognition.recognise import NoPrism, RecognisedPrism, flaw, recognise, recognise_filled
from solver.recognition.sightings import Sighting

__all__ = [
    "ArcEdge",
    "SolidBoundary",
    "CylinderSurface",
    "DrawnFace",
    "FreeEdge",
    "FreeSurface",
    "NoPrism",
    "OuterPrism",
    "PlaneSurface",
    "RecognisedPrism",
    "Sighting",
    "StraightEdge",
    "flaw",
    "outer_prism",
    "recognise",
    "recognise_filled",
]
