"""Shrinkage allowance: an estimate per weld with its source, validity and uncertainty, offered as a stop offset.

Nothing here changes a plan. An offset is a proposal; the planner accepts or ignores it. All figures are
order-of-magnitude aids: TWI itself calls exact prediction of distortion almost impossible.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from solver.weldment import Part, Weld, Weldment

TWI = "TWI, How much shall I allow for weld shrinkage? (frequently asked question)"
SPRARAGEN = "Spraragen & Ettinger, S = 0.2 Aw/t + 0.05 d in one length unit (this form converted from inches, source not checked)"
FILLET_ACROSS_MM = 0.8
FILLET_ALONG_MM_PER_M = 0.8 / 3
BUTT_ALONG_MM_PER_M = 3.0 / 3
BUTT_ACROSS_MM = (1.5, 3.0)
LEG_SHARE_MAX = 0.75


@dataclass(frozen=True, slots=True)
class Shrinkage:
    """An estimate: `low_mm <= value_mm <= high_mm`, where it comes from, whether its conditions are met, and in words why."""

    value_mm: float
    low_mm: float
    high_mm: float
    source: str
    valid: bool
    note: str


@dataclass(frozen=True, slots=True)
class Allowance:
    """A proposal for one weld: set the stops of its joint long by `across` square to the bead, by `along` along it."""

    weld: str
    across: Shrinkage | None
    along: Shrinkage | None
    note: str

    @property
    def stop_offset_mm(self) -> float | None:
        """The offset proposed for a stop across the weld, to 0.1 mm; None where no estimate is valid."""
        return round(self.across.value_mm, 1) if self.across is not None and self.across.valid else None


def fillet_across(leg_mm: float, thickness_mm: float, joints: int = 1) -> Shrinkage:
    """Return the shrinkage across fillet joints in a row, mm: 0.8 mm each, for a leg of at most 3/4 of the plate (steel).

    Parameters
    ----------
    leg_mm, thickness_mm : float
        Fillet leg and the thinner plate, mm.
    joints : int
        Fillet joints in one row across.
    """
    valid = leg_mm <= LEG_SHARE_MAX * thickness_mm
    limit = LEG_SHARE_MAX * thickness_mm
    note = f"leg {leg_mm:g} mm {'within' if valid else 'beyond'} 3/4 of {thickness_mm:g} mm plate ({limit:g} mm)"
    value = FILLET_ACROSS_MM * joints
    return Shrinkage(value, value / 2, value * 1.5, TWI, valid, note + "; spread of +-50 % is practice, no source")


def fillet_along(length_mm: float) -> Shrinkage:
    """Return the shrinkage along a fillet weld, mm: 0.8 mm in 3 m (steel)."""
    value = FILLET_ALONG_MM_PER_M * length_mm / 1000
    return Shrinkage(value, value / 2, value * 1.5, TWI, True, "spread of +-50 % is practice, no source")


def butt_along(length_mm: float) -> Shrinkage:
    """Return the shrinkage along a butt weld, mm: 3 mm in 3 m (steel)."""
    value = BUTT_ALONG_MM_PER_M * length_mm / 1000
    return Shrinkage(value, value / 2, value * 1.5, TWI, True, "spread of +-50 % is practice, no source")


def butt_across(bead_area_mm2: float, thickness_mm: float, gap_mm: float) -> Shrinkage:
    """Return the shrinkage across a butt weld, S = 0.2 Aw/t + 0.05 d, mm, set beside TWI's 1.5 to 3 mm for a 60 degree V.

    Parameters
    ----------
    bead_area_mm2 : float
        Cross-section of the weld metal, mm2 (`v_bead_area_mm2` for a V).
    thickness_mm, gap_mm : float
        Plate and root gap, mm.
    """
    value = 0.2 * bead_area_mm2 / thickness_mm + 0.05 * gap_mm
    return Shrinkage(
        value, min(value, BUTT_ACROSS_MM[0]), max(value, BUTT_ACROSS_MM[1]), SPRARAGEN, True, f"range with {TWI}: 1.5 to 3 mm"
    )


def v_bead_area_mm2(thickness_mm: float, gap_mm: float, included_deg: float = 60.0) -> float:
    """Return the weld metal's area of a V butt without reinforcement: t d + t^2 tan(half the included angle), mm2."""
    return thickness_mm * gap_mm + thickness_mm**2 * math.tan(math.radians(included_deg / 2))


def thickness_mm(part: Part) -> float:
    """Return the thickness the weld meets: a tube's wall, a profile's thinnest leg, a plate's thickness, a bar's size."""
    return part.length if part.section.shape == "plate" else part.section.thinnest


def proposals(weldment: Weldment) -> Mapping[str, Allowance]:
    """Return a proposed allowance for every weld, by weld id; only steel has an estimate."""
    return {weld.id: _proposal(weld, weldment.part(weld.parts[0]), weldment.part(weld.parts[1])) for weld in weldment.welds}


def _proposal(weld: Weld, first: Part, second: Part) -> Allowance:
    length = sum(math.dist(a, b) for a, b in zip(weld.path, weld.path[1:], strict=False))
    if {first.material, second.material} != {"steel"}:
        return Allowance(weld.id, None, None, "no estimate: the rules used are for carbon steel")
    if weld.kind in ("fillet", "lap"):
        leg = weld.leg if weld.leg is not None else (weld.throat or 0.0) * math.sqrt(2)
        across = fillet_across(leg, min(thickness_mm(first), thickness_mm(second)))
        note = "a proposal, not applied: set the stop long by this much, or leave the last stop sliding"
        return Allowance(weld.id, across, fillet_along(length), note)
    if weld.kind == "butt":
        plate = min(thickness_mm(first), thickness_mm(second))
        across = butt_across(v_bead_area_mm2(plate, 0.0), plate, 0.0)
        return Allowance(weld.id, across, butt_along(length), "a proposal, not applied: taken as a 60 degree V without a gap")
    return Allowance(weld.id, None, None, f"no estimate for a {weld.kind} weld")
