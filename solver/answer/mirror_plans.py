"""Mirror images put beside the alternative they follow: which pieces stay, what it takes to go on, what all of it costs."""

from __future__ import annotations

import logging
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from inventory.items import Item
from inventory.stock import StockSnapshot
from solver.checks import check_alternative
from solver.cost import RunTimes, exact, price
from solver.plans import Alternative, KitLine, Placement, VariantPlan
from solver.position.kept_plan import standing_by_id
from solver.request import Request

log = logging.getLogger(__name__)


def beside_mirrors(
    request: Request, stock: StockSnapshot, alternative: Alternative, mirrors: Mapping[str, Alternative]
) -> Alternative | None:
    """Return an alternative for all variants of a request, its mirror images among them; None if the checker refuses it.

    Parameters
    ----------
    alternative : Alternative
        For the request's own weldment and its other sizes.
    mirrors : mapping
        For each mirror image, by name, an alternative planned with that one kept.
    """
    sizes = {variant.name: variant for variant in alternative.variants}
    listed: list[VariantPlan] = []
    times: list[RunTimes] = []
    before: Sequence[Placement] = alternative.placements
    for asked in request.variants:
        own = sizes.get(asked.name)
        if own is None:
            mirror = mirrors[asked.name]
            own = _mirrored(alternative, mirror, asked.name, asked.quantity, asked.mirror)
        times.append(_run_times(stock, before, own))
        listed.append(own)
        before = own.placements
    used = [Counter(piece.item for piece in each) for each in (alternative.placements, *(plan.placements for plan in listed))]
    kit: Counter[str] = Counter()
    for counts in used:
        kit |= counts
    also = [stock.items[name] for name in (kit - used[0]).elements()]
    pieces = [(stock.items[piece.item], piece.stands_on is not None) for piece in alternative.placements]
    items = {piece.id: stock.items[piece.item] for piece in alternative.placements}
    pulled = [items[id] for id in alternative.unload.pull]
    priced = price(request, stock, pieces, pulled=pulled, runs=times, also=also)
    whole = replace(
        alternative,
        cost=priced.cost,
        variants=tuple(
            replace(plan, reset_s=reset_s, cycle_s=cycle_s)
            for plan, (reset_s, cycle_s) in zip(listed, priced.runs, strict=True)
        ),
        kit=tuple(
            KitLine(name, kit[name], line.bin if (line := stock.lines.get(name)) else "", priced.bought.get(name, 0),
                    stock.items[name].name)
            for name in sorted(kit)
        ),
    )  # fmt: skip
    failed = [finding for finding in check_alternative(request, stock, whole) if not finding.ok]
    if failed:
        log.error(
            "a plan with its mirror image failed its check: %s", "; ".join(f"{f.rule} {f.subject} {f.text}" for f in failed[:5])
        )
        return None
    return whole


def _mirrored(alternative: Alternative, mirror: Alternative, name: str, quantity: int, axis: object) -> VariantPlan:
    before, after = standing_by_id(alternative), standing_by_id(mirror)
    return VariantPlan(
        name=name,
        quantity=quantity,
        settings={piece.id: piece.setting_mm for piece in mirror.placements if piece.setting_mm is not None},
        reset_s=0,
        cycle_s=0,
        station=mirror.stations[0],
        parts=mirror.parts,
        placements=mirror.placements,
        part_contacts=mirror.part_contacts,
        welds=mirror.welds,
        load=mirror.load,
        findings=mirror.findings,
        mirror="y" if axis == "y" else "x",
        shared=sum(before.get(id) == standing for id, standing in after.items()),
    )


def _run_times(stock: StockSnapshot, before: Sequence[Placement], plan: VariantPlan) -> RunTimes:
    """Return what it takes to go on with a variant from the pieces as they stand before, and what its cycle takes."""
    stood, stands = ({piece.id: piece for piece in each} for each in (before, plan.placements))
    hands, picked, stacked = Fraction(0), 0, 0
    for id, piece in stands.items():
        item = stock.items[piece.item]
        if id not in stood or _place(stood[id], stood) != _place(piece, stands):
            picked += 1
            stacked += piece.stands_on is not None
            hands += exact(item.place_s) + (exact(item.set_s) if item.slide is not None else 0)
        elif _set_to(stood[id]) != _set_to(piece):
            hands += exact(item.set_s)
    picked += sum(id not in stands or stands[id].item != piece.item for id, piece in stood.items())
    items: list[Item] = [stock.items[piece.item] for piece in plan.placements]
    clamps = sum((exact(c.close_s) + exact(c.open_s) for c in (item.clamp for item in items) if c is not None), Fraction(0))
    pulled = sum((exact(stock.items[stands[id].item].pull_s) for id in plan.station.unload.pull), Fraction(0))
    return RunTimes(plan.quantity, hands, clamps, pulled, picked, stacked)


def _place(piece: Placement, others: Mapping[str, Placement]) -> tuple[object, ...]:
    below = others.get(piece.stands_on or "")
    own = (piece.item, piece.hole, round(piece.turn % 360.0, 6))
    return own if below is None else (*own, _place(below, others))


def _set_to(piece: Placement) -> float | None:
    return None if piece.setting_mm is None else round(piece.setting_mm, 3)
