"""No more pieces stand on each other than the rule book allows: planner and checker ask the same number."""

from __future__ import annotations

from dataclasses import replace

from service.documents import plan_document
from solver.checks import check
from solver.deadline import Deadline
from solver.planning import plan
from tests import builders as b
from tests.solver.kinds.test_special_pieces import ARMS, post_on_base


def test_a_stop_on_an_arm_is_two_pieces() -> None:
    request = b.request(post_on_base(), alternatives=1)
    answer = plan(request, ARMS, deadline=Deadline(lambda: 60.0))
    (found,) = answer.alternatives
    assert any(placed.stands_on for placed in found.placements)
    document = plan_document(answer)
    assert check(request, ARMS, document).ok
    flat = replace(request, rules=replace(request.rules, changes={**request.rules.changes, "stack.pieces": 1}))
    assert "stack.pieces" in {finding.rule for finding in check(flat, ARMS, document).failed}
    assert plan(flat, ARMS, deadline=Deadline(lambda: 60.0)).status == "infeasible"
