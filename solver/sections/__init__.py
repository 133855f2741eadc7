"""Profile shapes as outlines, named faces and section properties: one record a shape in `profiles.py`."""

from solver.sections.profiles import CIRCLE_SIDES, PROFILES, cold_formed_radius
from solver.sections.rings import Edge, SectionProperties, signed_area
from solver.sections.section import Section

__all__ = ["CIRCLE_SIDES", "PROFILES", "Edge", "Section", "SectionProperties", "cold_formed_radius", "signed_area"]
