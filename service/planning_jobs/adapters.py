"""Which adapter solves the jobs of a server, by its settings, and what a worker of the queue is made of."""

from __future__ import annotations

from service.planning_jobs.embedded import EmbeddedRunner
from service.planning_jobs.job_news import JobNews
from service.planning_jobs.job_queue import JobQueue
from service.planning_jobs.job_runner import JobRunner
from service.planning_jobs.job_solver import JobSolver, OnEnd
from service.planning_jobs.planner import Planner
from service.planning_jobs.queue_runner import QueueRunner
from service.planning_jobs.queue_worker import QueueWorker
from service.records.database import driver_url
from service.records.jobs import JobRecords
from service.settings import Settings
from service.stockroom.stock_source import StockSource


def runner_of(
    settings: Settings, records: JobRecords, stock: StockSource, planner: Planner, on_end: OnEnd, news: JobNews
) -> JobRunner:  # fmt: skip
    """Return the adapter that a server's settings name; raises NoQueue, NotInstalled."""
    if settings.runner == "queue":
        return QueueRunner(JobQueue(records.database, records.leases), records.leases, on_end, news)
    return EmbeddedRunner(JobSolver(records.leases, stock, settings, planner, on_end, news), settings.workers, news)


def worker_of(settings: Settings, records: JobRecords, stock: StockSource, planner: Planner, on_end: OnEnd) -> QueueWorker:
    """Return a worker of the queue; raises NoQueue, NotInstalled."""
    news = JobNews(records.database)
    queue = JobQueue(records.database, records.leases)
    solver = JobSolver(records.leases, stock, settings, planner, on_end, news)
    return QueueWorker(driver_url(records.database.engine), queue, solver, news, settings.workers, settings.lease)
