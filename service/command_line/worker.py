"""`holdwright worker`: solves the jobs of servers on the same PostgreSQL database until it is told to stop."""

from __future__ import annotations

import asyncio
import logging
import secrets
import signal

from inventory.errors import StoreError
from inventory.store import shown_url
from inventory.store.errors import StoreUnusable
from service.command_line.exit_code import read_from
from service.command_line.printing.console import DONE, note
from service.logs.form import LogForm
from service.logs.lines import write_log
from service.planning_jobs.adapters import worker_of
from service.planning_jobs.outcome import Outcome
from service.planning_jobs.planner import Planner
from service.planning_jobs.queue_worker import QueueWorker
from service.records.job import Job
from service.records.jobs import JobRecords
from service.settings import Settings
from service.stockroom.stock_source import StoreStock, opened
from solver.planning import plan

log = logging.getLogger("holdwright.jobs")


def work(db: str | None, workers: int | None) -> int:
    """Solve jobs until told to stop; return the exit code."""
    with read_from("settings"):
        settings = Settings.read(db=db, workers=workers)
    write_log(LogForm.of(settings.log))
    for chatty in ("alembic", "procrastinate", "psycopg.pool"):
        logging.getLogger(chatty).setLevel(logging.CRITICAL)
    try:
        return work_with(settings, plan)
    except StoreError as error:
        raise StoreUnusable(f"{shown_url(settings.db)}: {error}") from error


def work_with(settings: Settings, planner: Planner) -> int:
    """Open the store and solve its jobs until told to stop."""
    store = opened(settings.db)
    try:
        records = JobRecords(
            store, secrets.token_hex(8), settings.lease, settings.key_hours, most_attempts=settings.attempts
        ).create()
        asyncio.run(_until_told_to_stop(settings, records, StoreStock(store), planner))
    finally:
        store.close()
    return DONE


async def _until_told_to_stop(settings: Settings, records: JobRecords, stock: StoreStock, planner: Planner) -> None:
    worker: QueueWorker = worker_of(settings, records, stock, planner, _say)
    for number in (signal.SIGINT, signal.SIGTERM):
        asyncio.get_running_loop().add_signal_handler(number, worker.stop)
    note(f"solving up to {settings.workers} jobs at a time")
    await worker.run()


def _say(job: Job, end: Outcome) -> None:
    log.info("job %s %s", job.id, end.state)
