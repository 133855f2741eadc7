"""A weld made outside the fixture is held like any other: no plan is found and dropped for it, and none dearer told."""

from __future__ import annotations

import time

from solver.deadline import Deadline
from solver.planning import plan
from tests.oracle.jobs.raised import heavy_job
from tests.oracle.known import PLANNER_S, Known

KNOWN = Known(heavy_job, 1078, (25.000001, 25.0))


def test_what_a_weld_made_outside_asks_is_asked_before_the_checker_does() -> None:
    answer = plan(*KNOWN.drawn(), deadline=Deadline.on(time.process_time, PLANNER_S))
    assert answer.work["dropped"] == 0
    assert answer.alternatives[0].cost.total_cents <= KNOWN.fixture().cents
