"""Every plan returned is held, and every plan spoilt until it is not is called so: three ways to the answer, written apart.

scipy's HiGHS on rows written from the contract's words (`plan_oracle`) is the reference; the planner's statics and the
checker must say the same of the same document.
"""

from __future__ import annotations

import copy
import math
import time
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from typing import Any

import numpy as np
import pytest

from inventory.stock import StockSnapshot
from solver import statics
from solver.checks import check_alternative
from solver.planning import plan
from tests.properties import plan_oracle as oracle
from tests.properties.held_jobs import Job, a_job

SEEDS = (0, 2, 4, 6, 13)
"""Jobs of a plain run; each has plans."""
LONG = 25
"""Chunks of `A_CHUNK` planned jobs in the long run: 500 in all."""
A_CHUNK = 20
ENOUGH_S, HURRIED_S = 15.0, 5.0
"""Seconds for a job that has plans, and for one of which that is not known: most of its time would go into the reasons why not."""
Document = dict[str, Any]


def plans_of(job: Job, seconds: float) -> list[Document]:
    """The alternatives found, as documents."""
    end = time.monotonic() + seconds
    found = plan(job.request, job.stock, seconds_left=lambda: end - time.monotonic())
    return [alternative.document() for alternative in found.alternatives]


def by_checker(job: Job, stock: StockSnapshot, document: Document) -> bool:
    """What the independent checker says of the loads alone."""
    found = check_alternative(job.request, stock, document, rules=job.request.rules)
    about = [finding for finding in found if finding.rule.startswith("hold.") or finding.rule == "stack.deflection_max"]
    assert about, [finding for finding in found if not finding.ok]
    return all(finding.ok for finding in about)


def by_statics(job: Job, stock: StockSnapshot, document: Document) -> bool:
    """What the planner's statics say of the contacts, clamps and welds in a document."""
    fixture = oracle.fixture_of(job.request, stock, document)
    points, caps = [], list[float]()
    for touch in fixture.touches:
        group = statics.UNCAPPED
        if math.isfinite(touch.cap):
            group = len(caps)
            caps.append(touch.cap)
        against = statics.GROUND if touch.against < 0 else touch.against
        points += statics.patch_points(touch.on, touch.corners.tolist(), touch.normal.tolist(), against, cap_group=group)
    clamps = [statics.ClampForce(press.on, press.at.tolist(), press.push.tolist(), press.force) for press in fixture.presses]
    bodies = statics.Bodies(fixture.centres, fixture.masses * oracle.G)
    assembly = statics.Assembly(bodies, statics.Contacts.of(points, caps), statics.Clamps.of(clamps), fixture.friction)
    ids = [part["id"] for part in document["parts"]]
    place, joints = np.array(document["weldment_to_table"]), []
    for weld in job.request.weldment.welds:
        assert weld.leg is not None
        ends = np.array(weld.path) @ place[:3, :3].T + place[:3, 3]
        rays = np.array(job.toes[weld.id]) @ place[:3, :3].T
        toes = ends[:, None, :] + weld.leg * rays[None, :, :]
        pair = (ids.index(weld.parts[0]), ids.index(weld.parts[1]))
        joints.append(statics.WeldJoint(weld.id, pair, ends, ends.mean(axis=0), toes, "fillet", weld.leg / math.sqrt(2)))
    return statics.held(assembly, statics.load_cases(bodies, joints, job.request.rules)).ok


def spoilt(draw: Random, job: Job, document: Document) -> Iterator[tuple[str, StockSnapshot, Document]]:
    """Yield the plan with a support moved, a clamp dropped, clamps weakened; the last one has no stops either."""
    clamps = [p["id"] for p in document["placements"] if job.stock.items[p["item"]].clamp is not None]
    rests = [p["id"] for p in document["placements"] if job.stock.items[p["item"]].kind == "rest"]
    changes = [("drop", id) for id in clamps] + [("move", id) for id in rests] + [("weaken", "0.3")]
    draw.shuffle(changes)
    for what, id in [*changes[:2], ("weaken", "0.001"), ("loosen", "")]:
        other = copy.deepcopy(document)
        if what == "weaken":
            yield f"clamps at {id} of their force", _weakened(job.stock, float(id)), other
        elif what == "loosen":
            # two stops that face each other hold a part between them, whatever the clamps do
            kept = (*clamps, *rests)
            other["placements"] = [p for p in other["placements"] if p["id"] in kept or not p["locates"]]
            yield "no stops, and hardly any force", _weakened(job.stock, 0.001), other
        elif what == "drop":
            other["placements"] = [p for p in other["placements"] if p["id"] != id]
            other["unload"]["open"] = [name for name in other["unload"]["open"] if name != id]
            for step in other["load"]:
                step["then_close"] = [name for name in step["then_close"] if name != id]
            yield f"without clamp {id}", job.stock, other
        else:
            away = draw.choice((-60.0, 60.0))
            for placement in other["placements"]:
                if placement["id"] == id:
                    for contact in placement["contacts"]:
                        contact["at"][0] += away
                        contact["patch"] = [[x + away, y, z] for x, y, z in contact["patch"]]
            yield f"rest {id} moved by {away:g} mm", job.stock, other


def _weakened(stock: StockSnapshot, share: float) -> StockSnapshot:
    items = {
        id: item if item.clamp is None else replace(item, clamp=replace(item.clamp, force_n=max(1.0, share * item.clamp.force_n)))
        for id, item in stock.items.items()
    }
    return replace(stock, items=items)


def agree(seed: int, seconds: float = ENOUGH_S) -> int:
    """Check all plans of one job, as returned and spoilt; return how many there were."""
    job, draw = a_job(Random(seed)), Random(seed)
    documents = plans_of(job, seconds)
    for document in documents:
        assert oracle.held(job.request, job.stock, document, job.toes), seed
        assert by_statics(job, job.stock, document), seed
        failed = False
        for what, stock, other in spoilt(draw, job, document):
            holds = oracle.held(job.request, stock, other, job.toes)
            assert by_statics(job, stock, other) is holds, (seed, what)
            assert by_checker(job, stock, other) is holds, (seed, what)
            if not holds:
                failed = True
                break
        assert failed, (seed, "still held without stops and with hardly any force")
    return len(documents)


@pytest.mark.parametrize("seed", SEEDS)
def test_returned_plans_hold_and_spoilt_ones_do_not(seed: int) -> None:
    assert agree(seed) >= 1


@pytest.mark.slow
@pytest.mark.parametrize("chunk", range(LONG))
def test_500_random_jobs(chunk: int) -> None:
    """Twenty planned jobs a chunk; jobs this shelf cannot hold, or that take too long to refuse, are passed over."""
    planned, seed = 0, 1000 * (chunk + 1)
    while planned < A_CHUNK:
        assert seed < 1000 * (chunk + 1) + 20 * A_CHUNK, "hardly any job can be planned"
        planned += agree(seed, HURRIED_S) > 0
        seed += 1
