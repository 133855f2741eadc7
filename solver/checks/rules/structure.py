"""Whether a plan's ids, table, items, holes and stacks make sense at all; the other checks need them to."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from inventory.shapes import Point3
from inventory.stock import StockSnapshot
from inventory.tables import parse_hole
from solver.checks.report import fail
from solver.checks.scene.scene import OUTER_BODY
from solver.plans import Alternative, Finding
from solver.request import Request

UNIT = 1e-3


def check_structure(request: Request, stock: StockSnapshot, answer: Alternative) -> Iterator[Finding]:
    """Yield a failed finding for everything that keeps the alternative from being set up."""
    if answer.table not in request.tables:
        yield fail("document.table", answer.table, f"the request allows {', '.join(request.tables)}")
    elif answer.table not in stock.tables:
        yield fail("document.table", answer.table, "the stock has no such table")
    yield from _ids(request, answer)
    yield from _references(request, answer)
    for placement in answer.placements:
        if placement.item not in stock.items:
            yield fail("document.items", placement.id, f"the catalogue has no item {placement.item!r}")
    yield from _standing(stock, answer)
    yield from _directions(answer)
    yield from _welded_bodies(request, answer)


def _welded_bodies(request: Request, answer: Alternative) -> Iterator[Finding]:
    """Yield every weld on an outer body of which the plan says how the torch comes: where it joins is not known."""
    bodies = {part.id for part in request.weldment.parts if part.section.shape == OUTER_BODY}
    welds = {weld.id: weld for weld in request.weldment.welds}
    for listed in answer.welds:
        joined = bodies & set(welds[listed.id].parts) if listed.id in welds else set()
        if joined and listed.samples:
            yield fail("document.references", listed.id, f"it joins {', '.join(sorted(joined))}, an outer body: welded elsewhere")


def _directions(answer: Alternative) -> Iterator[Finding]:
    """Yield every direction whose length is not 1."""
    named: list[tuple[str, Point3]] = []
    for placement in answer.placements:
        named += [(f"{placement.id} {contact.part} normal", contact.normal) for contact in placement.contacts]
    named += [(f"{mate.part} {mate.on} normal", mate.normal) for mate in answer.part_contacts]
    named += [(f"{weld.id} {k} torch", torch) for weld in answer.welds for k, (_, torch) in enumerate(weld.samples)]
    for step in answer.load:
        named += [(f"load {step.part}", move.direction) for move in step.moves]
    named += [("unload", move.direction) for move in answer.unload.moves]
    for subject, direction in named:
        size = math.sqrt(sum(value * value for value in direction))
        if abs(size - 1) > UNIT:
            yield fail("document.directions", subject, "a direction has length 1", size, 1.0)


def _ids(request: Request, answer: Alternative) -> Iterator[Finding]:
    parts = [part.id for part in request.weldment.parts]
    placements = [placement.id for placement in answer.placements]
    for id, count in Counter(placements).items():
        if count > 1:
            yield fail("document.ids", id, f"{count} placements share this id")
        if id in parts or id in ("table", ""):
            yield fail("document.ids", id, "a placement's id differs from every part's and from 'table'")
    groups = (
        ("parts", parts, [part.id for part in answer.parts]),
        ("welds", [weld.id for weld in request.weldment.welds if weld.in_fixture != "none"], [w.id for w in answer.welds]),
    )
    for name, asked, given in groups:
        optional = {weld.id for weld in request.weldment.welds if weld.in_fixture == "none"} if name == "welds" else set()
        for id, count in Counter(given).items():
            if count > 1 or (id not in asked and id not in optional):
                yield fail("document.ids", id, f"{name} lists it {count} times, the weldment has it {asked.count(id)} times")
        for id in asked:
            if id not in given:
                yield fail("document.ids", id, f"{name} of the plan lack it")


def _references(request: Request, answer: Alternative) -> Iterator[Finding]:
    loaded = {part.id for part in request.weldment.parts}
    bodies = {part.id for part in request.weldment.parts if part.section.shape == OUTER_BODY}
    parts = loaded - bodies
    placements = {placement.id for placement in answer.placements}
    named: list[tuple[str, str, set[str]]] = []
    for placement in answer.placements:
        named += [(f"{placement.id} locates", part, parts) for part, _ in placement.locates]
        named += [(f"{placement.id} touches", contact.part, parts) for contact in placement.contacts]
        if placement.stands_on is not None:
            named.append((f"{placement.id} stands on", placement.stands_on, placements))
    for contact in answer.part_contacts:
        named += [("part_contacts", contact.part, parts), ("part_contacts", contact.on, parts)]
        if contact.part == contact.on:
            yield fail("document.references", contact.part, "a part cannot touch itself")
    for part in answer.parts:
        named += [(f"{part.id} rests on", id, parts | placements | {"table"}) for id in part.rests_on]
    for step in answer.load:
        named += [("load", step.part, loaded), *(("then_close", id, placements) for id in step.then_close)]
    named += [("unload", id, placements) for id in (*answer.unload.pull, *answer.unload.open)]
    for where, id, known in named:
        if id in bodies - known:
            yield fail("document.references", id, f"{where}: {id!r} is an outer body, which nothing of a fixture touches")
        elif id not in known:
            yield fail("document.references", id, f"{where}: there is no {id!r}")


def _standing(stock: StockSnapshot, answer: Alternative) -> Iterator[Finding]:
    by_id = {placement.id: placement for placement in answer.placements}
    for placement in answer.placements:
        if (placement.hole is None) == (placement.stands_on is None):
            yield fail("document.standing", placement.id, "a piece has either a hole or a carrier")
        if placement.hole is not None:
            try:
                parse_hole(placement.hole)
            except ValueError as wrong:
                yield fail("document.standing", placement.id, str(wrong))
        seen, at = {placement.id}, placement
        while at.stands_on in by_id:
            at = by_id[at.stands_on]
            if at.id in seen:
                yield fail("stack.order", placement.id, f"the stack runs in a circle through {at.id}")
                break
            seen.add(at.id)
        carrier = by_id.get(placement.stands_on or "")
        if carrier is not None and carrier.item in stock.items and stock.items[carrier.item].carries is None:
            yield fail("stack.carries", placement.id, f"{carrier.item} carries nothing")
