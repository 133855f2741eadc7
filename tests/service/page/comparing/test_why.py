"""Why a piece and not another, why here: what is forced, and the answer beside the piece."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

import pytest

from inventory.stock import StockSnapshot
from service.planning_jobs.side_tasks import SideTasks
from solver.deadline import Deadline
from solver.plans import Plan
from solver.request import Request
from tests.service.http.conftest import House
from tests.service.page.comparing.finished import HTMX, finished
from tests.service.planners import by_name

FORM = {**HTMX, "HX-Target": "picked", "Content-Type": "application/x-www-form-urlencoded"}


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[Request]:
    """What is planned for questions, from here on by the planner of tests, whose fixture costs 9.00."""
    found: list[Request] = []

    async def planned(self: SideTasks, request: Request, stock: StockSnapshot) -> Plan:
        found.append(request)
        return by_name(request, stock, deadline=Deadline.on(lambda: 0.0, 1.0))

    monkeypatch.setattr(SideTasks, "plan", planned)
    return found


@pytest.mark.parametrize(
    ("question", "forced"),
    [
        ("piece", {"piece": "p3"}),
        ("item", {"item": "swivel-60"}),
        ("hole", {"table": "T1", "hole": (26, 17)}),
    ],
)
def test_the_answer_says_what_doing_without_costs(
    house: House, asked: list[Request], question: str, forced: dict[str, Any]
) -> None:
    """Hand calculation: 148.84 as planned, 9.00 without: 139.84 less."""
    job = finished(house.app.state.context.planning.records)
    form = urlencode({"pick": "piece:p3", "question": question})
    answer = house.call("POST", f"/jobs/{job}/1/why", content=form, headers=FORM)
    assert answer.status_code == 200, answer.text
    assert 'id="answer"' in answer.text and "139.84 less" in answer.text
    (request,) = asked
    (avoided,) = request.avoid
    known = {"piece": avoided.piece and avoided.piece.id, "item": avoided.item, "table": avoided.table, "hole": avoided.hole}
    assert {name: known[name] for name in forced} == forced


@pytest.mark.parametrize(
    ("pick", "question", "status"),
    [("part:lug", "piece", 422), ("piece:p99", "piece", 404), ("", "piece", 422), ("piece:p1", "weather", 422)],
)
def test_a_question_about_nothing_is_refused(house: House, asked: list[Request], pick: str, question: str, status: int) -> None:
    job = finished(house.app.state.context.planning.records)
    answer = house.call("POST", f"/jobs/{job}/1/why", content=urlencode({"pick": pick, "question": question}), headers=FORM)
    assert answer.status_code == status and asked == []
    assert status != 422 or 'id="faults"' in answer.text
