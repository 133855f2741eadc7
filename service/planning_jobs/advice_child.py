"""What runs in the child that works advice out: the jobs are read, and the advice is put into the job's folder."""

from __future__ import annotations

import os
import time

from inventory.errors import InvalidDocument
from service.documents.stockroom.advice import advice_document, read_advice
from service.planning_jobs.job_folder import JobFolder, StopSign
from service.planning_jobs.planner import Planner
from service.stockroom.advice import expected_jobs, tasks_of, worked_out
from service.stockroom.stock_source import DaysStock

OVERTIME_S = 10.0
"""Advice may overrun by so much before it is ended."""


def advise_document(planner: Planner, text: str, stock: DaysStock, folder: JobFolder) -> None:
    """Work out what to buy for the jobs of a question as it was accepted; faults are left in the folder, the advice too."""
    try:
        body = read_advice(text.encode())
        tasks = tasks_of(expected_jobs(body), stock)
    except InvalidDocument as bad:
        folder.refuse(bad.faults)
        return
    began = time.monotonic()
    folder.put("started.json", {"pid": os.getpid(), "began": began, "limit_s": body.time_limit_s + OVERTIME_S, "warnings": []})
    found = worked_out(planner, tasks, body.budget_cents, body.time_limit_s, StopSign(folder))
    folder.put("advice.json", advice_document(found.advice, found.tasks))
