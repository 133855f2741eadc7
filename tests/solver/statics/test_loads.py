"""Load cases of the rule book, counted and weighed by hand."""

from __future__ import annotations

import numpy as np
import pytest

from solver.rule_book.book import RuleBook
from solver.statics import PartWeights, WeldJoint, holding_verdict, load_cases
from solver.statics.loads import DIRECTIONS
from tests.solver.statics.shop import block

PART_WEIGHTS = PartWeights(np.zeros((2, 3)), np.array([40.0, 5.0]))
ENDS = np.array([[0.0, 0, 0], [0, 40, 0]])
TOES = np.stack([ENDS + np.array([4, 0, 0]), ENDS + np.array([0, 0, 4])], axis=1)
WELD = WeldJoint("w1", (0, 1), ENDS, ENDS.mean(axis=0), TOES, "fillet", 2.8)


def test_fourteen_unit_directions() -> None:
    assert DIRECTIONS.shape == (14, 3)
    assert np.linalg.norm(DIRECTIONS, axis=1) == pytest.approx(np.ones(14))
    assert len({tuple(np.round(d, 9)) for d in DIRECTIONS}) == 14


def test_a_straight_fillet_gives_gravity_handling_at_both_ends_of_both_parts_and_two_shrinkages() -> None:
    cases = load_cases([WELD], RuleBook())
    assert [case.kind for case in cases.names].count("handling") == 2 * 2 * 14
    assert [case.kind for case in cases.names].count("shrinkage") == 2
    assert cases.names[0].text() == "gravity alone"


def test_handling_carries_the_safety_factor() -> None:
    cases = load_cases([WELD], RuleBook({"hold.handling_n": 80, "clamp.safety": 2}))
    handling = [k for k, case in enumerate(cases.names) if case.kind == "handling"]
    assert np.linalg.norm(cases.force[handling, 0], axis=1) == pytest.approx(np.full(len(handling), 160.0))


def test_shrinkage_pulls_the_toes_together() -> None:
    # Hand calculation: throat 2.8 x tack 15 x 60 N/mm2 x 1.5 = 3780 N along the line between the toes.
    cases = load_cases([WELD], RuleBook())
    pull = cases.force[-1]
    assert np.linalg.norm(pull[0]) == pytest.approx(3780.0)
    assert pull[0] == pytest.approx(-pull[1])
    assert pull[0] @ (TOES[1, 1] - TOES[1, 0]) > 0


def test_butt_welds_have_no_toes_to_pull_together() -> None:
    butt = WeldJoint("w", (0, 1), ENDS, ENDS.mean(axis=0), TOES, "butt", 2.8)
    assert all(case.kind != "shrinkage" for case in load_cases([butt], RuleBook()).names)


def test_a_bent_path_is_also_pushed_at_its_middle() -> None:
    bent = WeldJoint("w", (0, 1), ENDS, np.array([10.0, 20, 0]), TOES, "fillet", 2.8)
    cases = load_cases([bent], RuleBook())
    assert [case.place for case in cases.names].count("middle") == 2 * 14


def test_two_beads_that_end_at_the_same_point_are_pushed_there_once() -> None:
    assert len(load_cases([WELD, WELD], RuleBook())) == 1 + 56 + 4


def test_a_push_at_the_middle_is_covered_by_the_pushes_at_the_ends() -> None:
    lies = block(100, 100, 50, mu=0.15)
    ends = np.array([[-40.0, 0, 50], [40, 0, 50]])
    toes = np.stack([ends, ends], axis=1)
    for force, ok in ((5.0, True), (50.0, False)):
        rules = RuleBook({"hold.handling_n": force})
        joint = WeldJoint("w", (0, 0), ends, ends.mean(axis=0), toes, "butt", 1)
        only_middle = WeldJoint("w", (0, 0), ends[[0, 0]] * 0 + ends.mean(axis=0), ends.mean(axis=0), toes, "butt", 1)
        both = holding_verdict(lies, load_cases([joint], rules)).ok
        assert both is ok and (not both or holding_verdict(lies, load_cases([only_middle], rules)).ok)
