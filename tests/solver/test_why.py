"""Why this fixture: what another choice costs more, exactly, at most and at least, or that there is none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from inventory.errors import InvalidDocument
from service.documents.jobs.why import read_why, why_document, why_text
from solver.deadline import Deadline
from solver.described_pieces import DescribedPiece, KeptPiece
from solver.planning import plan
from solver.plans import Plan
from solver.why import WhyAnswer, WhyQuestion
from tests import builders as b

BAR = b.weldment(b.bar(), name="bar")
SHELF = b.shelf(
    (b.stop(), 4), (b.stop("stop-20", face=20), 4), (b.adjustable_stop(), 2), (b.rest(), 3), (b.down_clamp(), 2),
    tables=(b.table(columns=14, rows=10),),
)  # fmt: skip
ASKED = b.request(BAR, alternatives=2)


def planned(asked=ASKED, seconds: float = 1e5) -> Plan:  # type: ignore[no-untyped-def]
    return plan(asked, SHELF, deadline=Deadline(lambda: seconds))


@pytest.fixture(scope="module")
def made() -> Plan:
    return planned()


def answered(question: WhyQuestion) -> WhyAnswer:
    return WhyAnswer(question, planned(question.forced(ASKED, 20.0)))


@pytest.mark.slow
def test_the_difference_is_that_of_the_cheapest_such_fixture(made: Plan) -> None:
    question = WhyQuestion(made.alternatives[0], pins=(DescribedPiece(item="adjustable"),))
    answer = answered(question)
    alone = planned(b.request(BAR, alternatives=1, pins=question.pins))
    assert answer.plan.status == "optimal"
    assert answer.difference_cents == alone.alternatives[0].cost.total_cents - made.alternatives[0].cost.total_cents > 0
    assert answer.least_difference_cents == answer.difference_cents
    assert why_text(answer).startswith("adjustable: 4.08 more: 2 x adjustable at the far side of bar, ")


def test_what_stands_already_costs_nothing_more(made: Plan) -> None:
    piece = KeptPiece.of(made.alternatives[0], made.alternatives[0].placements[0].id)
    answer = answered(WhyQuestion(made.alternatives[0], pins=(DescribedPiece(piece=piece),)))
    assert answer.difference_cents == 0 and "the same price" in why_text(answer)


def test_another_rank_is_compared_with_itself(made: Plan) -> None:
    second = made.alternatives[1]
    answer = answered(WhyQuestion(second, avoid=(DescribedPiece(row=0),)))
    assert answer.difference_cents == made.alternatives[0].cost.total_cents - second.cost.total_cents
    assert why_document(answer)["rank"] == 2


def test_of_what_is_not_proved_both_ends_are_told(made: Plan) -> None:
    best = made.alternatives[0]
    dearer = replace(best, cost=replace(best.cost, total_cents=best.cost.total_cents + 300))
    found = replace(
        made, status="feasible", stopped_by="time", cost_bound_cents=best.cost.total_cents + 100, alternatives=(dearer,)
    )
    answer = WhyAnswer(WhyQuestion(best, pins=(DescribedPiece(row=3),)), found)
    assert (answer.difference_cents, answer.least_difference_cents) == (300, 100)
    assert why_text(answer, "EUR").startswith("a piece in row 4: at most 3.00 EUR more, at least 1.00 EUR more")


@pytest.mark.slow
def test_where_there_is_none_the_reason_is_told(made: Plan) -> None:
    answer = answered(WhyQuestion(made.alternatives[0], avoid=(DescribedPiece(item="clamp"),)))
    assert answer.plan.status == "infeasible" and answer.alternative is None and answer.difference_cents is None
    text = why_text(answer)
    assert text.startswith("without clamp: there is no such fixture: ") and "clamp" in text.split(": ", 2)[2]
    document = why_document(answer)
    assert document["alternative"] is None and document["refused"]["because"]


def test_where_nothing_was_found_the_bound_is_told(made: Plan) -> None:
    nothing = replace(made, status="unknown", stopped_by="time", alternatives=(), cost_bound_cents=900)
    answer = WhyAnswer(WhyQuestion(made.alternatives[0], avoid=(DescribedPiece(row=3),)), nothing)
    assert "neither such a fixture was found nor a proof" in why_text(answer) and "at least 1.04 more" in why_text(answer)


def test_a_question_adds_to_what_the_request_asks(made: Plan) -> None:
    asked = b.request(BAR, pins=(DescribedPiece(row=2),), avoid=(DescribedPiece(row=3),), alternatives=4)
    question = WhyQuestion(made.alternatives[0], pins=(DescribedPiece(row=5),), avoid=(DescribedPiece(row=6),))
    forced = question.forced(asked, 7.0)
    assert [pin.row for pin in forced.pins] == [2, 5] and [other.row for other in forced.avoid] == [3, 6]
    assert forced.alternatives == 1 and forced.time_limit_s == 7.0


def test_a_body_is_read_against_the_plan_it_asks_about(made: Plan) -> None:
    id = made.alternatives[1].placements[0].id
    question, seconds = read_why({"rank": 2, "pins": [{"piece": id}]}, made, ASKED, SHELF)
    assert question.base.rank == 2 and seconds == ASKED.time_limit_s
    assert question.pins[0].piece == KeptPiece.of(made.alternatives[1], id)
    assert read_why({"avoid": [{"row": 3}], "time_limit_s": 4}, made, ASKED, SHELF)[1] == 4.0


@pytest.mark.parametrize(
    ("body", "at"),
    [
        ({}, [""]), ([], [""]), ({"rank": 9, "pins": [{"row": 1}]}, ["/rank"]), ({"rank": True, "pins": [{"row": 1}]}, ["/rank"]),
        ({"pins": [{"part": "rail"}], "avoid": [{"row": 0}]}, ["/pins/0/part", "/avoid/0/row"]),
        ({"pins": [{"piece": "p99"}]}, ["/pins/0/piece"]), ({"pins": [{"row": 1}], "time_limit_s": 0}, ["/time_limit_s"]),
        ({"pins": [{"row": 1}], "colour": 1}, ["/colour"]), ({"pins": 3}, ["/pins"]),
    ],
    ids=repr,
)  # fmt: skip
def test_a_body_says_everything_that_is_wrong(body: object, at: list[str], made: Plan) -> None:
    with pytest.raises(InvalidDocument) as refused:
        read_why(body, made, ASKED, SHELF)  # type: ignore[arg-type]
    assert sorted({fault.pointer for fault in refused.value.faults}) == sorted(at)


def test_what_is_forced_costs_no_less_than_the_plan_proved_of_all(made: Plan) -> None:
    """A fixture as cheap as any must be is the cheapest, whatever its own search had proved by then."""
    best = made.alternatives[0]
    found = replace(made, status="feasible", stopped_by="time", cost_bound_cents=100)
    answer = WhyAnswer(WhyQuestion(best, avoid=(DescribedPiece(row=3),), known_cents=best.cost.total_cents), found)
    assert (answer.least_difference_cents, answer.status) == (0, "optimal")
    assert WhyAnswer(replace(answer.question, known_cents=0), found).status == "feasible"
