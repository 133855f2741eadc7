"""The rule book: every limit, weight, rate and price the solver uses, with unit, range, meaning and source."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from inventory.errors import Fault, refuse

PRACTICE = "common practice of the trade, no source"
SHOP = "the shop's own figure"
HANDBOOK = "handbook range: Modern Welding (Goodheart-Willcox 2013) pp. 68-70"


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: dotted name, default, unit, legal range (both ends included), meaning, source."""

    name: str
    default: float
    unit: str
    low: float
    high: float
    meaning: str
    source: str = PRACTICE


RULES: tuple[Rule, ...] = (
    Rule("fit.overlap", 0.1, "mm", 0, 2, "parts may overlap by this much"),
    Rule("locate.side_spacing_ratio", 0.5, "share", 0, 1, "outermost side contact points are at least this share of the part's length along the face apart"),
    Rule("locate.side_spacing_max", 600, "mm", 0, 20000, "a wider spacing of side contact points than this is never asked"),
    Rule("locate.support_margin", 10, "mm", 0, 1000, "the centre of gravity lies this far inside the outline of the support patches"),
    Rule("locate.support_margin_ratio", 0.2, "share", 0, 0.5, "or this share of the part's least level width, whichever is less"),
    Rule("locate.opposed", 0, "-", 0, 1, "1: two locators may face each other across a part, or parts that lie against each other; less: none do"),
    Rule("locate.condition_max", 50, "-", 1, 1e6, "largest condition number of a part's locator matrix"),
    Rule("locate.tolerance_share", 0.5, "share", 0.01, 1, "share of a tolerance that locating alone may use, worst case"),
    Rule("clamp.per_length", 600, "mm", 50, 20000, "at least one clamp on a part per this length begun"),
    Rule("clamp.over_support", 30, "mm", 0, 500, "a down clamp's line of force passes through a support patch or within this distance of one"),
    Rule("clamp.safety", 1.5, "-", 1, 10, "factor on the load cases"),
    Rule("clamp.max_part_pressure", 0.5, "of yield", 0.01, 1, "contact pressure of a clamp pad on the part"),
    Rule("hold.friction", 0.15, "-", 0, 1, "friction, steel on steel, not clean; clamp tips too", "low end of the handbook range 0.15-0.30 for steel on steel (Gieck, Engineering Formulas, 7th ed.)"),
    Rule("hold.handling_n", 100, "N", 0, 5000, "push in each of 14 directions on either part at both ends and the middle of each weld"),
    Rule("hold.shrink_n_per_mm2", 60, "N/mm2", 0, 1000, "pull of a cooling tack over throat x tack length", PRACTICE + ", conservative"),
    Rule("stack.deflection_max", 0.2, "mm", 0.001, 10, "deflection at a locator's contact under its largest reaction, stack in series"),
    Rule("clear.weld", 15, "mm", 0, 200, "hardware stays this far from every weld path"),
    Rule("clear.weld_locator", 6, "mm", 0, 200, "a locator may come as near to a weld as this, with a finding"),
    Rule("clear.body", 1, "mm", 0, 50, "between any two pieces not stacked, and between a piece and a part it does not touch"),
    Rule("clear.table_edge", 30, "mm", 0, 500, "a piece's base may stick out over the table's edge by at most this"),
    Rule("torch.nozzle_diameter", 20, "mm", 1, 200, "torch capsule diameter", "Steel Designers' Manual, 6th ed. (2003), p. 693: 20 mm barrel, 100 mm long"),
    Rule("torch.length", 120, "mm", 1, 1000, "torch capsule length from the stickout on, rounded ends included", PRACTICE),
    Rule("torch.hand_diameter", 70, "mm", 1, 500, "gloved hand: capsule diameter"),
    Rule("torch.hand_from", 120, "mm", 0, 1000, "where the hand begins, from the stickout on"),
    Rule("torch.hand_length", 130, "mm", 1, 1000, "length of the hand capsule, rounded ends included"),
    Rule("torch.stickout", 15, "mm", 0, 100, "weld to nozzle", "handbook range 6-25 mm by transfer mode"),
    Rule("torch.work_tolerance", 15, "deg", 0, 45, "work angle within this of the bisector of the open wedge", HANDBOOK),
    Rule("torch.travel_angle", 15, "deg", 0, 60, "travel angle, either way along the weld", HANDBOOK),
    Rule("torch.sample", 10, "mm", 0.5, 200, "largest spacing of samples along a weld, ends included", "-"),
    Rule("tack.length", 15, "mm", 1, 200, "length of a tack"),
    Rule("tack.pitch", 150, "mm", 5, 5000, "tacks are at most this far apart"),
    Rule("way.lift", 150, "mm", 1, 5000, "ways in and out are at least this long in all, or until clear of all hardware"),
    Rule("way.clear", 1, "mm", 0, 50, "gap while moving, except between things that touch in the final place"),
    Rule("lift.one_person_kg", 23, "kg", 1, 1000, "heavier parts and weldments get a finding", "NIOSH load constant, DHHS (NIOSH) 94-110"),
    Rule("time.pick_s", 6, "s", 0, 3600, "pick each piece"),
    Rule("time.walk_s", 60, "s", 0, 36000, "walk, once a setup"),
    Rule("time.stack_s", 15, "s", 0, 3600, "each piece standing on another"),
    Rule("time.check_s", 45, "s", 0, 3600, "check each part"),
    Rule("time.load_s", 8, "s", 0, 3600, "load and push each part"),
    Rule("time.unload_s", 8, "s", 0, 3600, "unload the weldment"),
    Rule("time.repeat_ratio", 0.6, "-", 0, 1, "share of the setup time when the plan has been set before"),
    Rule("time.round_share", 0.4, "share", 0, 1, "share of the cycle spent once a round whatever the number of stations"),
    Rule("rate.labour_cents_per_hour", 5500, "cents/h", 0, 1000000, "labour", SHOP),
    Rule("compare.mark_out_s", 90, "s/part", 0, 36000, "marking out and squaring each part by hand"),
    Rule("compare.mark_out_error", 0.02, "share", 0, 1, "share spoiled when marking out by hand"),
    Rule("compare.dedicated_hours", 1.5, "h", 0, 1000, "building a one-off fixture"),
    Rule("compare.dedicated_material_cents", 4000, "cents", 0, 100000000, "material of a one-off fixture"),
    Rule("weights.moved_piece", 150, "cents", 0, 1000000, "re-plan: each standing piece that moves, is swapped or re-set", SHOP),
    Rule("weights.adjustable", 30, "cents", 0, 1000000, "each setting the fitter must set and check", SHOP),
    Rule("weights.scarce", 0, "cents", 0, 1000000, "divided by the free pieces of the item, for each piece used", SHOP),
    Rule("alternatives.differ_by", 4, "entries", 1, 100, "alternatives differ by at least this many (part, role, face, item) entries", "-"),
    Rule("material.steel_kg_per_m3", 7850, "kg/m3", 100, 30000, "density of steel", "EN 10219-2 mass convention"),
    Rule("material.steel_yield_mpa", 235, "MPa", 10, 3000, "yield of steel", "typical value"),
    Rule("material.stainless_kg_per_m3", 7900, "kg/m3", 100, 30000, "density of stainless", "typical value"),
    Rule("material.stainless_yield_mpa", 210, "MPa", 10, 3000, "yield of stainless", "typical value"),
    Rule("material.aluminium_kg_per_m3", 2700, "kg/m3", 100, 30000, "density of aluminium", "typical value"),
    Rule("material.aluminium_yield_mpa", 160, "MPa", 10, 3000, "yield of aluminium", "typical value"),
)  # fmt: skip
BY_NAME: Mapping[str, Rule] = {rule.name: rule for rule in RULES}


@dataclass(frozen=True, slots=True)
class RuleBook:
    """A resolved rule book: every rule's value, with the version it was made under.

    Indexed by dotted name: ``rules["clear.weld"]``. `changes` holds only what differs from the defaults.
    """

    changes: Mapping[str, float] = field(default_factory=dict)
    base: str = "default"
    version: int = 1

    def __post_init__(self) -> None:
        refuse(_faults(self.changes))

    def __getitem__(self, name: str) -> float:
        return self.changes[name] if name in self.changes else BY_NAME[name].default

    def resolved(self) -> dict[str, float]:
        """Return every rule's value by dotted name."""
        return {rule.name: self[rule.name] for rule in RULES}


def _faults(changes: Mapping[str, float]) -> list[Fault]:
    faults = []
    for name, value in changes.items():
        pointer = "/" + name.replace("~", "~0").replace("/", "~1")
        rule = BY_NAME.get(name)
        if rule is None:
            faults.append(Fault(pointer, f"there is no rule {name!r}", "a rule of the rule book, such as clear.weld"))
        elif not rule.low <= value <= rule.high:
            accepted = f"{rule.low:g} to {rule.high:g} {rule.unit}".rstrip()
            faults.append(Fault(pointer, f"{value:g} is out of range", accepted))
    return faults
