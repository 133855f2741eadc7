"""A plan written and read back is the plan, and one read and written back is the document, to the last byte."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace

import pytest

from inventory.stock import StockSnapshot
from service.documents import plan_document, read_plan
from service.documents.plan_document import alternative_document
from solver.checks import check, check_alternative
from solver.deadline import Deadline
from solver.planning import plan
from solver.plans import LeftOut, Plan
from solver.request import Request, Without
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests import builders as b
from tests.outside.corners import corner
from tests.solver.checks.test_plan_level import stationed
from tests.solver.kinds import test_special_pieces as special
from tests.solver.kinds import test_ways as ways
from tests.solver.kinds.shop import vee

Answer = tuple[Request, StockSnapshot, Plan]


def answered(request: Request, stock: StockSnapshot) -> Answer:
    return request, stock, plan(request, stock, deadline=Deadline(lambda: 60.0))


def of(weldment: Weldment, stock: StockSnapshot) -> Answer:
    return answered(b.request(weldment, alternatives=1), stock)


def several() -> Answer:
    return answered(b.request(b.tab_on_tube(), alternatives=3), b.plain_shelf())


def replanned() -> Answer:
    """One stop fewer than the plan stands on, the plan kept."""
    request, stock, before = several()
    (item, *_) = (line.item for line in before.alternatives[0].kit if line.count > 1)
    return answered(replace(request, keep=before.alternatives[0], without=Without({item: 1}), alternatives=1), stock)


def refused() -> Answer:
    """Pieces to buy, and nothing else to be had."""
    request, stock, found = answered(b.request(b.weldment(b.bar(length=240))), b.shelf((b.stop(), 4), (b.down_clamp(), 0)))
    assert found.refused is not None and found.refused.would_help
    return request, stock, found


def with_more_left_out() -> Answer:
    """A search through less than there is."""
    request, stock, found = of(b.tab_on_tube(), b.plain_shelf())
    left = (LeftOut("lies.tilted", "lies on an edge", 0), LeftOut("stations", "more stations", None))
    return request, stock, replace(found, status="feasible", stopped_by="scope", cost_bound_cents=0, gap=1.0, left_out=left)


def pulled() -> Answer:
    found, stock = ways.pulled()
    assert found.alternatives[0].unload.pull
    return b.request(ways.stand(), quantity=ways.QUANTITY, alternatives=1), stock, found


def in_v_blocks() -> Answer:
    rail = Part("rail", Section("round_bar", diameter=40), 300, Pose((0, 0, 20), b.X, b.Z))
    return of(b.weldment(rail), b.shelf((vee(), 2), (b.stop(), 4), (special.STOP_30, 4), (b.down_clamp(high=200), 2)))


KINDS: dict[str, Callable[[], Answer]] = {
    "several alternatives": several,
    "mitred ends": lambda: of(corner(90), b.plain_shelf()),
    "re-planned": replanned,
    "refused with repairs": refused,
    "something left out": with_more_left_out,
    "a piece pulled": pulled,
    "arms on risers": lambda: of(special.post_on_base(), special.ARMS),
    "V-blocks": in_v_blocks,
    "rests set to height on risers": lambda: of(special.stepped(97.5), special.SCREWS),
}


@pytest.fixture(scope="module", params=KINDS, ids=list(KINDS))
def answer(request: pytest.FixtureRequest) -> Answer:
    return KINDS[request.param]()


def test_written_and_read_it_is_the_plan(answer: Answer) -> None:
    assert read_plan(json.dumps(plan_document(answer[2]))) == answer[2]


def test_read_and_written_it_is_the_document_byte_for_byte(answer: Answer) -> None:
    text = json.dumps(plan_document(answer[2]))
    assert json.dumps(plan_document(read_plan(text))) == text


def test_the_checker_says_the_same_of_the_values_as_of_the_document(answer: Answer) -> None:
    request, stock, found = answer
    for alternative in found.alternatives:
        document = plan_document(replace(found, alternatives=(alternative,)))
        of_values, of_document = check_alternative(request, stock, alternative), check(request, stock, document).findings
        assert of_values == of_document[: len(of_values)]


def test_several_stations_come_back_too() -> None:
    document = {"format": "holdwright.plan/1", "status": "feasible", "alternatives": [stationed(14)]}
    (alternative,) = read_plan(document).alternatives
    assert [station.number for station in alternative.stations] == [1, 2]
    assert {part.station for part in alternative.parts} == {1, 2}
    assert read_plan({**document, "alternatives": [alternative_document(alternative)]}).alternatives == (alternative,)


def test_numbers_stay_as_they_were_given() -> None:
    """90 and 90.0 are one number; which of them was written is kept, so that a plan kept is a plan unchanged."""
    (alternative,) = read_plan(
        {"format": "holdwright.plan/1", "status": "feasible", "alternatives": [stationed(14)]}
    ).alternatives
    whole = replace(alternative.load[0].moves[0], distance=20)
    step = replace(alternative.load[0], moves=(whole, replace(whole, distance=20.0)))
    written = alternative_document(replace(alternative, load=(step,)))
    assert json.dumps([move["distance"] for move in written["load"][0]["moves"]]) == "[20, 20.0]"
    (again,) = read_plan({"format": "holdwright.plan/1", "status": "feasible", "alternatives": [written]}).alternatives
    assert json.dumps(alternative_document(again)) == json.dumps(written)
