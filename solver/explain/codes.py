"""Every code of a reason or a finding: what it says and what to do about it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from solver.checks.codes import CODES
from solver.rule_book.book import BY_NAME


@dataclass(frozen=True, slots=True)
class Code:
    """A code, what it means, what to do when a reason names it or a finding with it fails."""

    name: str
    meaning: str
    remedy: str


_OURS = "a fault of the plan's maker: check the document was not changed by hand, else report it"
_PLAN = "plan again; the document does not belong to this request and stock, or was changed"
_RAISE = "another side down, a rest or V-block that reaches, or a rule that asks for less"

REASONS: Sequence[Code] = (
    Code("torch.open_side", "the parts leave no side of a weld open wider than 30 degrees", "change the joint, the weld's path or its `side`"),
    Code("torch.shut_in", "parts and table leave torch and hand no direction at some sample of a weld", "weld it outside the fixture (`in_fixture`: none or tack), allow another side down, or change the weldment"),
    Code("torch.table", "the table leaves torch and hand no room at some sample of a weld, and nothing carries the weldment high enough", "taller rests or V-blocks, another side down, or weld it outside the fixture (`in_fixture`: none or tack)"),
    Code("torch.work_tolerance", "hardware must leave the torch a direction within the work angle at every sample", "slimmer or further-reaching pieces, or a wider angle"),
    Code("load.order", "parts lock each other: in no order does every part find a way in past those already there", "allow another side down, or change the weldment"),
    Code("table.size", "the weldment does not fit on the table", "a larger table, another turn or side down"),
    Code("table.max_load", "parts and hardware weigh more than the table bears", "a stronger table"),
    Code("locate.side", "a part needs two points of contact on one upright side", _RAISE),
    Code("locate.end", "a part needs a stop across its side", _RAISE),
    Code("locate.support", "a part must be carried with its centre of gravity inside its supports", "rests of the right height, or risers under them"),
    Code("locate.support_points", "a part needs three points of support, of pads or of what it lies on", "more rests"),
    Code("locate.side_spacing_ratio", "the outermost side points of a part must stand wide apart", "more or wider stops, or a smaller ratio"),
    Code("locate.opposed", "locators on opposite sides of a part, or of parts that lie against each other, are not used together", "a side clamp that presses the part to its stops, or a rule that allows it"),
    Code("locate.condition_max", "the contacts of a part hold it square only weakly", "points further apart"),
    Code("locate.tolerance_share", "locating alone may use up too much of a tolerance", "stiffer, more repeatable pieces, fewer on each other, or a wider tolerance"),
    Code("clamp.per_length", "a part needs a clamp per length begun", "more clamps, or clamps that reach further"),
    Code("clamp.over_support", "a down clamp must press over the table, a carrying part or a rest", "a rest under the clamp, or a clamp with another reach"),
    Code("clamp.against", "a side clamp needs a stop of its part to push against", "a stop opposite the clamp"),
    Code("clamp.away", "a side clamp must not push a part off a stop", "a clamp from another side"),
    Code("hold.handling_n", "pushes on the parts at the welds must be held", "stronger or more clamps, stiffer stops, or a smaller push"),
    Code("clear.body", "pieces keep their distance and every peg its own hole", "slimmer pieces, a finer lattice, or a smaller distance"),
    Code("way.in", "a part needs a way in past the hardware and the parts already in", "lower stops, or stops on other sides"),
    Code("way.out", "the finished weldment needs a way out past the stops", "lower stops, or removable pieces"),
    Code("open_dimensions.follow", "a contact along an open dimension must be able to follow its range", "adjustable stops with a longer slide, or a smaller range"),
    Code("stock.counted", "fewer pieces of an item are free than are needed", "buy or free the pieces named, or use other dates"),
    Code("search.time", "the time ran out before a plan or a proof was found", "a longer `time_limit_s`, fewer lies or tables"),
    Code("search.work", "the work limit was reached before a plan or a proof was found", "a larger `work_limit`"),
    Code("search.cancel", "the search was cancelled", "plan again"),
    Code("search.check", "fixtures were found that the independent checker refuses", "report it: a fault of this program"),
    Code("search.witness", "two solvers disagree on whether a fixture is possible", "report it: a fault of this program"),
    Code("search.no_reason", "no plan is possible, but no reason was found in the time left", "a longer `time_limit_s`"),
)  # fmt: skip
"""Codes of `refused.because`."""

REMEDIES: Mapping[str, str] = {
    "alternatives.differ_by": _OURS,
    "alternatives.rank": _OURS,
    "apart.overlap": "move one of them",
    "clamp.max_part_pressure": "a larger pad or a weaker clamp",
    "clamp.over_support": "a rest under it",
    "clamp.per_length": "more clamps",
    "clamp.presses": "set the clamp to the part",
    "clamp.pushes_off": "clamp from another side",
    "clear.body": "move one of them",
    "clear.table_edge": "move the weldment inwards",
    "clear.weld": "move it away",
    "clear.weld_locator": "allowed down to its limit: shield it from spatter; else move it",
    "contacts.at_in_patch": _OURS,
    "contacts.face": _OURS,
    "contacts.material": "move the piece onto the wall",
    "contacts.mates": _OURS,
    "contacts.normal": _OURS,
    "contacts.pad": _OURS,
    "contacts.patch_in_face": _OURS,
    "contacts.patch_in_pad": _OURS,
    "contacts.rests_on": _OURS,
    "contacts.role": _OURS,
    "cost.cycle_cents": _OURS,
    "cost.cycle_s": _OURS,
    "cost.setup_cents": _OURS,
    "cost.setup_s": _OURS,
    "cost.shortage_cents": _OURS,
    "cost.tie_up_cents": _OURS,
    "cost.total_cents": _OURS,
    "cost.weights_cents": _OURS,
    "document.directions": _PLAN,
    "document.format": _PLAN,
    "document.ids": _PLAN,
    "document.items": _PLAN,
    "document.readable": _PLAN,
    "document.references": _PLAN,
    "document.standing": _PLAN,
    "document.table": _PLAN,
    "fit.overlap": "correct the weldment",
    "hand.free": "another torch direction or another place for the piece",
    "hold.gravity": "more supports",
    "hold.handling_n": "stronger or more clamps",
    "hold.shrink_n_per_mm2": "stronger or more clamps, shorter tacks",
    "kit.lines": _OURS,
    "lie.down": "allow a side down the contract names: -z, +z, -x, +x, -y or +y",
    "lie.allowed": _PLAN,
    "lie.rotation": _OURS,
    "lift.one_person_kg": "lift it with help; never a reason to refuse",
    "load.order": _OURS,
    "load.then_close": _OURS,
    "locate.chain": _OURS,
    "locate.condition_max": "points further apart",
    "locate.end_points": "a stop across the side",
    "locate.opposed": "told, never a fault: a clamp instead of one of the two",
    "locate.side_points": "another stop",
    "locate.side_spacing_ratio": "move them apart",
    "locate.support_margin": "another rest",
    "locate.support_points": "another rest",
    "locate.tolerance_share": "stiffer, more repeatable pieces",
    "open_dimensions.follow": "an adjustable stop",
    "pegs.blocked": "another hole",
    "pegs.carrier": _OURS,
    "pegs.exists": _OURS,
    "pegs.lattice": _OURS,
    "pegs.own_hole": _OURS,
    "placement.setting": _OURS,
    "placement.turn": _OURS,
    "plan.status": _OURS,
    "plan.stock_version": "plan again if pieces are missing",
    "refused.would_help": _OURS,
    "solids.catalogue": _PLAN,
    "solids.open": _PLAN,
    "solids.request": _PLAN,
    "stack.carries": _OURS,
    "stack.deflection_max": "a stiffer stop, fewer pieces under it",
    "stack.order": _OURS,
    "stations.count": _PLAN,
    "stock.counted": "free or buy pieces, or plan again",
    "stock.lead_time": "other dates or other pieces; give `today`",
    "table.max_load": "a stronger table",
    "tack.length": _OURS,
    "tack.pitch": _OURS,
    "torch.angles": _OURS,
    "torch.free": "another torch direction or another place for the piece",
    "torch.open_side": "change the joint",
    "torch.sample": _OURS,
    "torch.travel_angle": _OURS,
    "torch.work_tolerance": _OURS,
    "unload.open": _OURS,
    "unload.pull": _OURS,
    "way.clear": _OURS,
    "way.lift": _OURS,
    "way.moves": _OURS,
}
"""What to do when a finding with this code or rule fails."""


def findings() -> list[Code]:
    """Return the codes of an alternative's `findings` and of `holdwright check`."""
    return [Code(name, CODES.get(name) or BY_NAME[name].meaning, remedy) for name, remedy in sorted(REMEDIES.items())]


def codes_page() -> str:
    """Return the list of codes as Markdown."""
    return "\n".join([_HEAD, *_table("Reasons", _REASONS, REASONS), *_table("Findings", _FINDINGS, findings())])


def _table(title: str, words: str, codes: Sequence[Code]) -> list[str]:
    rows = [f"| `{code.name}` | {code.meaning} | {code.remedy} |" for code in codes]
    return [f"## {title}", "", words, "", "| code | means | what to do |", "| --- | --- | --- |", *rows, ""]


_HEAD = """# Codes

A reason or a finding names the rule it comes from. Rules of the rule book are on [their page](rules.md).

*Made from the code by `python -m service.pages`; not written by hand.*
"""
_REASONS = """What `refused.because` says. The reasons of one refusal are irreducible: the demands they name cannot all be met at the most
promising positions, and can as soon as any one is dropped; a reason that no hardware can change stands for itself. Where the cheapest
purchase that helps brings an item nobody else names, that item is named as missing too."""
_FINDINGS = "What the independent checker says of an alternative, with a value, its limit and whether it holds; what to do is for one that fails."
