"""What runs in the child that plans a week: its requests are planned, the week, and the answer is put into the job's folder."""

from __future__ import annotations

import os
import time
from collections.abc import Mapping

from inventory.errors import InvalidDocument
from inventory.stock import StockByDay
from service.documents.week.question import read_week
from service.planning_jobs.job_folder import JobFolder, StopSign
from service.planning_jobs.planner import Planner
from service.stockroom.kits import PlannedKit
from service.stockroom.weeks import planned_week, seconds_of, week_in_hand
from solver.deadline import Deadline

OVERTIME_S = 10.0
"""A week may overrun by so much before it is ended."""


def plan_week_document(planner: Planner, text: str, stock: StockByDay, kits: Mapping[str, PlannedKit], folder: JobFolder) -> None:
    """Plan a week as it was accepted; faults are left in the folder, the answer too."""
    stop = StopSign(folder)
    try:
        question = read_week(text, set(stock.whole.tables))
        limit_s = seconds_of(question) + OVERTIME_S
        folder.put("started.json", {"pid": os.getpid(), "began": time.monotonic(), "limit_s": limit_s, "warnings": []})
        hand = week_in_hand(question, stock, kits.get, planner, stop)
    except InvalidDocument as bad:
        folder.refuse(bad.faults)
        return
    folder.put("week.json", planned_week(hand, Deadline.on(time.monotonic, question.time_limit_s, stop)))
