"""Pins and pieces to avoid, recomputed from request and plan: met, not met, and met by a changed plan."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from solver.checks import check
from solver.checks.scene.reading import read_alternative
from solver.described_pieces import DescribedPiece, KeptPiece
from tests.solver.checks import tab_job as job
from tests.solver.checks.tab_job import Document

STOPS = [placement for placement in job.tab_alternative()["placements"] if placement["locates"]]
STOP = STOPS[0]
"""A stop of the plan made by hand, alone in its hole."""
HOLE = (ord(STOP["hole"][0]) - ord("A"), int(STOP["hole"][1:]) - 1)


def found(document: Document, *, pins: tuple[DescribedPiece, ...] = (), avoid: tuple[DescribedPiece, ...] = ()) -> list[bool]:
    """Whether each pin and each piece to avoid is kept to."""
    report = check(replace(job.request(), pins=pins, avoid=avoid), job.stock(), document)
    return [finding.ok for finding in report.findings if finding.rule in ("request.pins", "request.avoid")]


def described(**given: Any) -> DescribedPiece:
    return DescribedPiece(**given)


STANDS = [
    described(item=STOP["item"]),
    described(hole=HOLE),
    described(row=HOLE[1], column=HOLE[0]),
    described(table=job.tab_alternative()["table"], part=STOP["locates"][0]["part"]),
    described(part=STOP["contacts"][0]["part"], face=STOP["contacts"][0]["face"]),
    described(part=STOP["locates"][0]["part"], role=STOP["locates"][0]["as"], hole=HOLE, item=STOP["item"]),
    described(piece=KeptPiece.of(read_alternative(job.tab_alternative()), STOP["id"])),
]


@pytest.mark.parametrize("there", STANDS, ids=DescribedPiece.words)
def test_what_stands_meets_a_pin_and_may_not_be_avoided(there: DescribedPiece) -> None:
    assert found(job.plan(), pins=(there,)) == [True]
    assert found(job.plan(), avoid=(there,)) == [False]


@pytest.mark.parametrize(
    "absent",
    [
        described(item="clamp", role="side"),
        described(hole=(0, 0)),
        described(hole=HOLE, item="riser"),
        described(row=0),
        described(part=STOP["locates"][0]["part"], hole=HOLE, role="support"),
        described(piece=KeptPiece("p", "T2", ((STOP["item"], STOP["hole"], float(STOP["turn"]), None),))),
        described(piece=KeptPiece("p", "T1", ((STOP["item"], STOP["hole"], (float(STOP["turn"]) + 90) % 360, None),))),
    ],
    ids=DescribedPiece.words,
)
def test_what_does_not_stand_meets_no_pin_and_is_avoided(absent: DescribedPiece) -> None:
    assert found(job.plan(), pins=(absent,)) == [False]
    assert found(job.plan(), avoid=(absent,)) == [True]


def test_all_that_is_said_holds_of_one_piece() -> None:
    """Two pieces that have half of it each do not meet a pin."""
    one, other = STOPS[0], next(stop for stop in STOPS if stop["hole"] != STOPS[0]["hole"] and stop["contacts"] != [])
    column, row = ord(other["hole"][0]) - ord("A"), int(other["hole"][1:]) - 1
    both = described(piece=KeptPiece.of(read_alternative(job.tab_alternative()), one["id"]), hole=(column, row))
    assert found(job.plan(), pins=(both,)) == [False]


def test_a_piece_that_says_it_stands_elsewhere_no_longer_meets_its_pin() -> None:
    plan = job.plan()
    for placement in plan["alternatives"][0]["placements"]:
        if placement["id"] == STOP["id"]:
            placement["hole"] = "A1"
    assert found(plan, pins=(described(hole=HOLE, item=STOP["item"]),)) == [False]


def test_a_role_that_is_not_claimed_meets_no_pin() -> None:
    plan = job.plan()
    for placement in plan["alternatives"][0]["placements"]:
        placement["locates"] = [entry for entry in placement["locates"] if entry["as"] != "end"]
    assert found(plan, pins=(described(role="end"),)) == [False]


def test_a_repair_that_drops_a_pin_must_work() -> None:
    pinned = replace(job.request(), pins=(described(hole=(0, 0)),), avoid=(described(row=HOLE[1]),))
    plan = job.plan()
    alternative = plan["alternatives"][0]
    total = alternative["cost"]["total_cents"]

    def failed(**repair: Any) -> list[str]:
        offered = {"then_total_cents": total, "plan": alternative, **repair}
        document = plan | {"alternatives": [], "status": "infeasible", "refused": {"because": [], "would_help": [offered]}}
        report = check(pinned, job.stock(), document)
        return [finding.text for finding in report.failed if finding.rule == "refused.would_help"]

    assert failed(do="drop_pin", pins=[0], avoid=[0]) == []
    assert "request.avoid" in failed(do="drop_pin", pins=[0], avoid=[])[0]
    assert "request.pins" in failed(do="drop_avoid", pins=[], avoid=[0])[0]
    assert "it drops nothing" in failed(do="drop_pin", pins=[], avoid=[])[0]
    assert "no such entry" in failed(do="drop_pin", pins=[7], avoid=[])[0]
    assert failed(do="drop_pin", pins="x", avoid=[])
