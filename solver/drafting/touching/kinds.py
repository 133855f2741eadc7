"""What kind of weld a bead is, and how big one is proposed.

The kind, by common practice, no source, goes by the air between the two parts where the bead lies. Up to 160 degrees it is a
fillet (a tee, an inside corner); a lap where both are made of sheet metal and lie on each other with their broad faces. About
180 degrees, both faces in one plane, it is a butt; where a sheet's edge closes the corner with another's broad face, a corner.
Wider than 200 degrees is an outside corner. In the groove beside a round surface it is a flare.
"""

from __future__ import annotations

from dataclasses import dataclass

from inventory import limits
from solver.drafting.tidy import tidy
from solver.drafting.touching.lines import TouchingLine
from solver.drafting.touching.touching_pair import TouchingPair
from solver.weldment import LEGGED, WeldKind

FLUSH_DEG = (160.0, 200.0)
"""Between these two openings the faces beside a bead are in one plane."""
LEG_SHARE = 0.7
LEAST_LEG = 3.0
MOST_THROAT = 10.0
"""A bead deeper than this, mm, wants a preparation that nobody proposes here."""
LEG_BY = "0.7 x the thinner part, at least 3 mm, in whole mm (common practice, no source; yours to set)"
"""The rule of thumb that proposes a leg, in words."""
THROAT_BY = "as thick as the thinner part, at most 10 mm (common practice, no source; yours to set)"
"""The rule of thumb that proposes a throat, in words."""


@dataclass(frozen=True, slots=True)
class BeadSize:
    """How big a bead is proposed: `leg` of fillets and laps, `throat` of every other kind, mm."""

    leg: float
    throat: float

    def of(self, kind: WeldKind) -> tuple[float | None, float | None]:
        """Return leg and throat of a weld of this kind; the one it does not have is None."""
        return (self.leg, None) if kind in LEGGED else (None, self.throat)


def size_of(pair: TouchingPair) -> BeadSize:
    """Return the bead proposed between two parts.

    Leg: 0.7 x the thinner one, at least 3, whole mm. Throat: as thick as the thinner one, at most 10 mm. Both are rules of
    thumb: common practice, no source.
    """
    thinner = min(pair.one.shape.thickness, pair.two.shape.thickness)
    leg = min(max(LEAST_LEG, float(round(LEG_SHARE * thinner))), limits.BEAD.high)
    return BeadSize(leg, tidy(min(max(thinner, limits.BEAD.low), MOST_THROAT), 1))


def kind_of(line: TouchingLine, opening: float, pair: TouchingPair) -> WeldKind:
    """Return the kind of a bead on a line whose wedge is `opening` degrees wide."""
    if line.outwards is not None:
        return "flare"
    if opening > FLUSH_DEG[1]:
        return "corner"
    if opening >= FLUSH_DEG[0]:
        closes = pair.both_sheet and any(sum(pair.sheets(faces)) == 1 for faces in pair.flush_at(line.middle))
        return "corner" if closes else "butt"
    lap = pair.both_sheet and any(all(pair.sheets(faces)) for faces in pair.against_at(line.middle))
    return "lap" if lap else "fillet"
