"""What is noticed at a drawn solid: coded, in words, with the face."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.shapes import Point3
from solver.recognition.boundary import CylinderSurface, DrawnFace, FreeSurface, PlaneSurface


@dataclass(frozen=True, slots=True)
class Sighting:
    """Something noticed: `code` for programs (``face.inner_step``), `text` in words, the number of the face, and where, mm."""

    code: str
    text: str
    face: int | None = None
    at: Point3 | None = None


def kind_of(face: DrawnFace) -> str:
    """Return what a face is called: ``flat``, ``round, radius 5 mm``, ``cone``."""
    surface = face.surface
    if isinstance(surface, PlaneSurface):
        return "flat"
    if isinstance(surface, CylinderSurface):
        return f"{'round' if surface.convex else 'a bore or hollow'}, radius {surface.radius:.6g} mm"
    assert isinstance(surface, FreeSurface)
    return surface.kind


def at_face(code: str, face: DrawnFace, text: str) -> Sighting:
    """Return what was noticed at a face."""
    x, y, z = (round(value, 3) + 0.0 for value in face.middle)
    return Sighting(code, text, face.number, (x, y, z))
