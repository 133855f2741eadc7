"""Reasons as sentences: the numbers are those of the part, the rule book and the request."""

from __future__ import annotations

import numpy as np

from solver.explain.irreducible import Demand
from solver.explain.sentences import sentence
from solver.laying.laid_weldment import LaidWeldment
from solver.laying.lay_out import lay_out
from solver.request import Request
from solver.sections import Section
from solver.weldment import Part, Pose
from tests import builders as b


def lying(asked: Request) -> LaidWeldment:
    return lay_out(asked.weldment, asked.rules, np.eye(3), 0.0, [])


def flat_and_round(**rules: float) -> Request:
    """A flat bar of 300 mm, 50 x 10 mm, and a round one of the same length, both lying."""
    round_bar = Part("round", Section("round_bar", diameter=40), 300, Pose((0, 100, 20), b.X, b.Z))
    return b.request(
        b.weldment(b.bar("flat"), round_bar), rules={name.replace("__", "."): value for name, value in rules.items()}
    )


def test_a_sentence_has_the_numbers_of_its_part() -> None:
    """Hand calculation: 300 / 200 begun twice; half of 300; a fifth of 50 is 10, the margin's own limit."""
    asked = flat_and_round(clamp__per_length=200)
    laid = lying(asked)
    assert sentence(Demand("clamp.per_length", "flat"), asked, laid).text == "flat: 2 clamps needed, one per 200 mm begun"
    assert sentence(Demand("locate.side_spacing_ratio", "flat"), asked, laid).text == (
        "flat: the outermost points of its side must be 150 mm apart (0.5 of its length)"
    )
    assert sentence(Demand("locate.side", "flat"), asked, laid).text == (
        "flat: two points of contact on one upright side are needed, 0 to 10 mm above the table"
    )


def test_a_round_part_that_lies_asks_for_v_blocks() -> None:
    asked = flat_and_round()
    laid = lying(asked)
    flat, lying_round = (sentence(Demand("locate.support", id), asked, laid).text for id in ("flat", "round"))
    assert flat == "flat: supports 0 mm above the table are needed, with the centre of gravity 10 mm inside their outline"
    assert lying_round == (
        "round: a round part bears along a line only: V-blocks must carry it, 8 mm to either side of its middle"
    )


def test_what_stands_in_the_way_is_named_be_it_one_or_several() -> None:
    asked, demand = flat_and_round(), Demand("way.in", "flat")
    laid = lying(asked)
    alone, both, none = (sentence(demand, asked, laid, items).text for items in (("stop",), ("rest", "stop"), ()))
    assert alone.endswith(", 150 mm; stop stands in the plainest and has to stand while parts go in")
    assert both.endswith(", 150 mm; rest, stop stand in the plainest and have to stand while parts go in")
    assert none.endswith(", 150 mm")


def test_what_all_hardware_is_asked_is_said_of_the_weldment() -> None:
    asked = flat_and_round(clear__body=2)
    reason = sentence(Demand("clear.body", ""), asked, lying(asked))
    assert (reason.subject, reason.text) == (
        "weldment", "pieces keep 2 mm from each other, and every peg needs a hole of its own",
    )  # fmt: skip
