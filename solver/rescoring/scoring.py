"""A finished plan's score: the bill of each alternative, and what is measured of it that rules limit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import pairwise

from inventory.errors import HoldwrightError
from inventory.stock import StockSnapshot
from solver.checks.checker import scenes_of
from solver.checks.rules.bearing import check_bearing
from solver.checks.rules.bodies_apart import check_apart
from solver.checks.rules.clamping import check_clamped
from solver.checks.rules.located_together import check_together
from solver.checks.rules.locating import check_located
from solver.checks.rules.locating_error import check_accuracy
from solver.checks.rules.opposed_locators import check_opposed
from solver.checks.rules.pegs import check_pegs
from solver.checks.rules.price import moved
from solver.checks.rules.routes import check_routes
from solver.checks.rules.stations import check_between
from solver.checks.rules.torch import check_reach
from solver.checks.rules.variants import place_of
from solver.checks.scene.scene import Scene
from solver.cost import Bill, RunTimes, bill_of, exact, priced
from solver.deadline import look
from solver.plans import Alternative, Finding, Placement, Plan
from solver.request import Request
from solver.rescoring.limits import KINDS
from solver.rescoring.limits.limit_kind import Measurement
from solver.rescoring.score import PlanScore, Score
from solver.rule_book import VALUES
from solver.rule_book.book import RuleBook

STRICTEST = (
    "clear.body", "clear.weld", "locate.pad_share", "clamp.pad_share", "locate.tolerance_share", "locate.side_spacing_ratio",
    "locate.side_spacing_max", "locate.side_face_ratio",
)  # fmt: skip
"""Rules that are measured at the greatest number they may have: how near is near, what a share is a share of."""
SAME = 1e-5
LEAST = ("clear.weld_locator", "locate.condition_max", "stack.pieces")
"""Rules that are measured at the least."""
CHECKS = (
    check_pegs, check_apart, check_bearing, check_located, check_together, check_opposed, check_clamped, check_accuracy,
    check_reach, check_routes,
)  # fmt: skip


class OtherHardware(HoldwrightError):
    """A plan's price does not follow from the hardware as it is now: it was made with other items."""


def plan_score(request: Request, stock: StockSnapshot, plan: Plan) -> PlanScore:
    """Return the score of a plan whose alternatives were checked, with the request and the stock it was made for.

    The stock may be a later one: what is free matters to `weights.scarce` alone, which is marked as unknown where it differs.

    Raises
    ------
    OtherHardware
        The items are not those the plan was made with.
    """
    return PlanScore(dict(plan.rules), tuple(score_of(request, stock, each) for each in plan.alternatives))


def score_of(request: Request, stock: StockSnapshot, alternative: Alternative) -> Score:
    """Return the score of a checked alternative; raises OtherHardware."""
    if lacking := sorted({each.item for each in alternative.placements} - set(stock.items)):
        raise OtherHardware(f"the catalogue has no item {lacking[0]!r} any more")
    scenes = scenes_of(request, stock, alternative)
    own_weldment = _measured(scenes, alternative)
    variants = zip(alternative.variants, scenes[0].runs, strict=True)
    measured = {"": own_weldment} | {each.name: _measured([run], run.answer) for each, run in variants}
    own = set(scenes[0].answer.unload.pull)
    billed = partial(
        bill_of,
        request,
        stock,
        [(stock.items[each.item], each.stands_on is not None) for each in alternative.placements],
        pulled=[stock.items[each.item] for each in scenes[0].answer.placements if each.id in own],
        moved=moved(scenes),
        stations=len(scenes),
        runs=[_run_times(before, after) for before, after in pairwise((scenes[0], *scenes[0].runs))],
    )
    same_free = _same_free(billed(), alternative)
    standing = Counter(each.item for each in alternative.placements)
    later = Counter({line.item: line.count for line in alternative.kit}) - standing
    bill = billed(also=[stock.items[name] for name in later.elements()])
    # Bought pieces were those missing then; no rule has a part in what they cost.
    bill = replace(bill, bought_cents=alternative.cost.shortage_cents)
    _refuse_other_hardware(bill, alternative, request.rules, weights=same_free or not request.rules["weights.scarce"])
    return Score(
        alternative.rank,
        alternative.table,
        alternative.down,
        dict(Counter(each.item for each in alternative.placements)),
        bill,
        alternative.cost,
        alternative.setup_s,
        alternative.cycle_s,
        {name: {kind.name: kind.measure(each) for kind in KINDS} for name, each in measured.items()},
        () if same_free else ("weights.scarce",),
    )


def _refuse_other_hardware(bill: Bill, alternative: Alternative, rules: RuleBook, *, weights: bool) -> None:
    """Raise OtherHardware unless a bill comes to the price and the times listed; `weights`: whether those count."""
    cost, setup_s, cycle_s = priced(bill, rules)
    listed = alternative.cost
    same = (
        cost == listed
        if weights
        else replace(cost, total_cents=0, weights_cents=0) == replace(listed, total_cents=0, weights_cents=0)
    )
    if not same or (setup_s, cycle_s) != (alternative.setup_s, alternative.cycle_s):
        then, now = listed.total_cents, cost.total_cents
        raise OtherHardware(f"it was made at {then} cents; with the items as they are now the same pieces come to {now} cents")


def _run_times(before: Scene, after: Scene) -> RunTimes:
    """Return what goes on from one weldment of a run to the next takes, by what the hands do and not by rules."""
    stood = {id: piece.placement for id, piece in before.pieces.items()}
    stands = {id: piece.placement for id, piece in after.pieces.items()}
    picked = sum(id not in stands or stands[id].item != placement.item for id, placement in stood.items())
    stacked, hands = 0, Fraction(0)
    for id, piece in after.pieces.items():
        if id not in stood or place_of(stood[id], stood) != place_of(piece.placement, stands):
            picked, stacked = picked + 1, stacked + (piece.placement.stands_on is not None)
            hands += exact(piece.item.place_s) + (exact(piece.item.set_s) if piece.item.slide is not None else 0)
        elif _set_to(stood[id]) != _set_to(piece.placement):
            hands += exact(piece.item.set_s)
    clamps = [piece.item.clamp for piece in after.pieces.values() if piece.item.clamp is not None]
    closing = sum((exact(clamp.close_s) + exact(clamp.open_s) for clamp in clamps), Fraction(0))
    pulled = sum((exact(after.pieces[id].item.pull_s) for id in set(after.answer.unload.pull)), Fraction(0))
    return RunTimes(after.request.quantity, hands, closing, pulled, picked, stacked)


def _set_to(placement: Placement) -> float | None:
    return None if placement.setting_mm is None else round(float(placement.setting_mm), 3)


def _same_free(bill: Bill, alternative: Alternative) -> bool:
    """Return whether as many pieces of its items are free as when an alternative was made."""
    measures = alternative.measures
    scarcity = sum(count / free for free, count in bill.free.items())
    return measures is not None and abs(scarcity - measures.scarcity) <= SAME * max(1.0, scarcity)


def _measured(scenes: Sequence[Scene], alternative: Alternative) -> Measurement:
    strictest = [replace(scene, rules=_strictest(scene.rules)) for scene in scenes]
    return Measurement(alternative, scenes, strictest, tuple(_found(strictest)))


def _found(scenes: Sequence[Scene]) -> Iterator[Finding]:
    for scene in scenes:
        for check in CHECKS:
            look()
            yield from check(scene)
    yield from check_between(scenes)


def _strictest(rules: RuleBook) -> RuleBook:
    """Return a rule book under which every figure that is limited is measured."""
    asked = {name: VALUES[name].high for name in STRICTEST} | {name: VALUES[name].low for name in LEAST}
    return RuleBook({**rules.changes, **asked})
