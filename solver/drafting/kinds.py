"""What kind of weld a bead is, and how big one is proposed.

The kind, by common practice, no source: it goes by the air between the two parts where the bead lies. Up to 160 degrees it is a
fillet (a tee, an inside corner); a lap where both are made of sheet and lie on each other with their broad faces. About 180
degrees, both faces in one plane, it is a butt; where a sheet's edge closes the corner with another's broad face, a corner. Wider
than 200 degrees is an outside corner. In the groove beside a round surface it is a flare.
"""

from __future__ import annotations

from dataclasses import dataclass

from inventory import limits
from inventory.shapes import Array
from solver.drafting.drawn_parts import DrawnPart
from solver.drafting.tidy import tidy
from solver.drafting.touching_lines import TouchingLine
from solver.geometry.edges import lies_on
from solver.geometry.faces import Face
from solver.geometry.tolerances import PARALLEL
from solver.weldment import LEGGED, WeldKind

FLUSH_DEG = (160.0, 200.0)
"""Between these two openings the faces beside a bead are in one plane."""
LEG_SHARE = 0.7
LEAST_LEG = 3.0
MOST_THROAT = 10.0
"""A bead deeper than this, mm, wants a preparation that nobody proposes here."""


@dataclass(frozen=True, slots=True)
class Size:
    """How big a bead is proposed: `leg` of fillets and laps, `throat` of every other kind, mm."""

    leg: float
    throat: float

    def of(self, kind: WeldKind) -> tuple[float | None, float | None]:
        """Return leg and throat of a weld of this kind; the one it does not have is None."""
        return (self.leg, None) if kind in LEGGED else (None, self.throat)


def size_of(thickness: float, other: float) -> Size:
    """Return the bead proposed between two thicknesses, mm.

    Leg: 0.7 x the thinner one, at least 3, whole mm. Throat: as thick as the thinner one, at most 10 mm. Both are rules of
    thumb: common practice, no source.
    """
    thinner = min(thickness, other)
    leg = min(max(LEAST_LEG, float(round(LEG_SHARE * thinner))), limits.BEAD.high)
    return Size(leg, tidy(min(max(thinner, limits.BEAD.low), MOST_THROAT), 1))


def kind_at(line: TouchingLine, opening: float, one: DrawnPart, two: DrawnPart) -> WeldKind:
    """Return the kind of a bead on a line whose wedge is `opening` degrees wide."""
    if line.outwards is not None:
        return "flare"
    if opening > FLUSH_DEG[1]:
        return "corner"
    faces, others = _faces_at(one, line.middle), _faces_at(two, line.middle)
    pairs = [(a, b) for a in faces for b in others]
    if opening >= FLUSH_DEG[0]:
        broad = {(a.label in one.broad, b.label in two.broad) for a, b in pairs if float(a.normal @ b.normal) > 1 - PARALLEL}
        return "corner" if one.broad and two.broad and broad & {(True, False), (False, True)} else "butt"
    on_each_other = [(a, b) for a, b in pairs if float(a.normal @ b.normal) < -1 + PARALLEL]
    return "lap" if any(a.label in one.broad and b.label in two.broad for a, b in on_each_other) else "fillet"


def touching_normal(line: TouchingLine, one: DrawnPart, two: DrawnPart) -> Array:
    """Return the normal of the surfaces that meet at a line: of two faces against each other, else the line's own."""
    for a in _faces_at(one, line.middle):
        for b in _faces_at(two, line.middle):
            if float(a.normal @ b.normal) < -1 + PARALLEL:
                return b.normal
    return line.normal


def _faces_at(body: DrawnPart, point: Array) -> list[Face]:
    normals, heights = body.planes
    return [face for face, off in zip(body.faces, (normals @ point - heights).tolist(), strict=True) if lies_on(face, point, off)]
