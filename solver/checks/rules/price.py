"""Time and price of a plan, recomputed exactly: rational arithmetic, whole seconds, integer cents."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Any

from solver.checks.report import fail, passed
from solver.checks.rules.counted_stock import free, missing, used
from solver.checks.rules.variants import place_of
from solver.checks.scene.scene import Scene, SetPiece
from solver.plans import Cost, Finding, Placement


def exact(number: float) -> Fraction:
    """Return a document's decimal number as the fraction it was written as."""
    return Fraction(str(number))


def half_up(amount: Fraction) -> int:
    """Return the nearest whole number, halves upward."""
    return math.floor(amount + Fraction(1, 2))


def all_pieces(scenes: Sequence[Scene]) -> list[SetPiece]:
    """Return the pieces of all stations."""
    return [piece for scene in scenes for piece in scene.pieces.values()]


def setup_seconds(scenes: Sequence[Scene]) -> int:
    """Return the setup time of all pieces and parts of all stations, whole seconds."""
    rules, pieces = scenes[0].rules, all_pieces(scenes)
    total = exact(rules["time.walk_s"])
    for piece in pieces:
        total += exact(rules["time.pick_s"]) + exact(piece.item.place_s)
        total += exact(piece.item.set_s) if piece.item.slide is not None else 0
        total += exact(rules["time.stack_s"]) if piece.placement.stands_on is not None else 0
    total += exact(rules["time.check_s"]) * sum(len(scene.all_parts) for scene in scenes)
    return math.ceil(total * exact(rules["time.repeat_ratio"]) if scenes[0].request.set_before else total)


def cycle_seconds(scenes: Sequence[Scene]) -> int:
    """Return the cycle time of one weldment, whole seconds; of equal stations each weldment takes its share."""
    rules, stations = scenes[0].rules, len(scenes)
    total = exact(rules["time.load_s"]) * len(scenes[0].all_parts) + exact(rules["time.unload_s"])
    for scene in scenes:
        for piece in scene.pieces.values():
            if piece.item.clamp is not None:
                total += (exact(piece.item.clamp.close_s) + exact(piece.item.clamp.open_s)) / stations
            if piece.id in scene.answer.unload.pull:
                total += exact(piece.item.pull_s) / stations
    return math.ceil(total * (1 - exact(rules["time.round_share"]) * (1 - Fraction(1, stations))))


def reset_seconds(before: Scene, after: Scene) -> int:
    """Return what it takes to set the hardware from one weldment of a run to the next and to check it, whole seconds.

    A piece whose setting changes takes its setting time; one that stands elsewhere, or comes, is picked, placed and set, and one
    that goes is picked.
    """
    rules = after.rules
    stood = {id: piece.placement for id, piece in before.pieces.items()}
    stands = {id: piece.placement for id, piece in after.pieces.items()}
    gone = [id for id, placement in stood.items() if id not in stands or stands[id].item != placement.item]
    total = exact(rules["time.check_s"]) * len(after.all_parts) + exact(rules["time.pick_s"]) * len(gone)
    for id, piece in after.pieces.items():
        item, placement = piece.item, piece.placement
        if id not in stood or place_of(stood[id], stood) != place_of(placement, stands):
            total += exact(rules["time.pick_s"]) + exact(item.place_s)
            total += exact(item.set_s) if item.slide is not None else 0
            total += exact(rules["time.stack_s"]) if placement.stands_on is not None else 0
        elif _setting(stood[id]) != _setting(placement):
            total += exact(item.set_s)
    return math.ceil(total)


def _setting(placement: Placement) -> float | None:
    return None if placement.setting_mm is None else round(float(placement.setting_mm), 3)


def price(scenes: Sequence[Scene], setup_s: int, cycle_s: int) -> Cost:
    """Return the price lines for given times, integer cents."""
    rules, request, stock = scenes[0].rules, scenes[0].request, scenes[0].stock
    rate = exact(rules["rate.labour_cents_per_hour"])
    setup = half_up(setup_s * rate / 3600)
    cycle = half_up(request.quantity * cycle_s * rate / 3600)
    for before, run in pairwise((scenes[0], *scenes[0].runs)):
        setup += half_up(reset_seconds(before, run) * rate / 3600)
        cycle += half_up(run.request.quantity * cycle_seconds([run]) * rate / 3600)
    tie_up = weights = 0
    for name, count in used(scenes).items():
        item = stock.items[name]
        tie_up += count * item.day_rate_cents * request.days
        weights += count * half_up(exact(rules["weights.adjustable"])) if item.slide is not None else 0
        weights += count * half_up(exact(rules["weights.scarce"]) / max(1, free(scenes[0], name)))
    shortage = sum(stock.items[item].price_cents * count for item, count in missing(scenes).items())
    weights += half_up(exact(rules["weights.moved_piece"])) * moved(scenes)
    return Cost(setup + cycle + tie_up + shortage + weights, setup, cycle, tie_up, shortage, weights)


def moved(scenes: Sequence[Scene]) -> int:
    """Return how many pieces of the plan to keep do not stand as they stood: item, table, place, turn and setting."""
    keep = scenes[0].request.keep
    if keep is None:
        return 0
    before = _standing_pieces(keep.placements)
    if keep.table != scenes[0].table.id:
        return sum(before.values())
    now = _standing_pieces([placement for scene in scenes for placement in scene.answer.placements])
    return sum((before - now).values())


def _standing_pieces(placements: Sequence[Placement]) -> Counter[tuple[Any, ...]]:
    by_id = {placement.id: placement for placement in placements}
    return Counter(_standing(placement, by_id) for placement in by_id.values())


def _standing(placement: Placement, others: Mapping[str, Placement]) -> tuple[Any, ...]:
    """Return what a piece is and where it stands, down to the table."""
    own = (placement.item, placement.hole, float(placement.turn) % 360, _setting(placement))
    below = others.get(placement.stands_on or "")
    return own if below is None else (*own, _standing(below, others))


def check_money(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield whether times and every price line are exactly what the rules make them."""
    answer = scenes[0].answer
    setup_s, cycle_s = setup_seconds(scenes), cycle_seconds(scenes)
    yield _equal("cost.setup_s", answer.setup_s, setup_s, "s")
    yield _equal("cost.cycle_s", answer.cycle_s, cycle_s, "s")
    for variant, (before, run) in zip(answer.variants, pairwise((scenes[0], *scenes[0].runs)), strict=True):
        yield _equal("cost.reset_s", variant.reset_s, reset_seconds(before, run), "s")
        yield _equal("cost.cycle_s", variant.cycle_s, cycle_seconds([run]), "s")
    wanted = price(scenes, setup_s, cycle_s)
    for name in Cost.__dataclass_fields__:
        yield _equal(f"cost.{name}", getattr(answer.cost, name), getattr(wanted, name), "cents")


def _equal(rule: str, given: int, wanted: int, unit: str) -> Finding:
    if given == wanted:
        return passed(rule, f"{given}", unit)
    return fail(rule, f"{given}", f"{given} {unit} listed, {wanted} {unit} by the rules", given, wanted, unit)
