"""How many jobs two workers of the queue solve in the time of one: real solves, each worker a process group with a folder of its own.

python -m tests.benchmarks workers [--jobs N]
"""

from __future__ import annotations

import json
import tempfile
import time
from itertools import count
from pathlib import Path
from typing import Any

from service.demo import job_document
from tests.databases import new_postgresql
from tests.service.served import OwnServer, OwnWorker, until

JOBS = 40
JOB = "open-tab"
SETTINGS = {"runner": "queue", "workers": "1", "queue": "1000", "lease": "10", "cache_mb": "0"}
_SEEDS = count(1)


def report(jobs: int) -> None:
    """Print the jobs a minute of one worker and of two, and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        db = new_postgresql()
        server = OwnServer(Path(folder), db, "real", **SETTINGS)
        workers: list[OwnWorker] = []
        rates = []
        try:
            for group in (1, 2):
                workers.append(OwnWorker(Path(folder), db, "real", **SETTINGS).until_up())
                solved(server, 2 * group)  # each has loaded the solver by then
                rate = 60 * jobs / solved(server, jobs)
                rates.append(rate)
                print(f"{group} worker{'s' if group > 1 else ' '}  {rate:6.1f} jobs a minute", flush=True)
        finally:
            for each in (*workers, server):
                each.leave()
        print(f"ratio      {rates[1] / rates[0]:.2f}")


def solved(server: OwnServer, jobs: int) -> float:
    """Return how long so many jobs take that are asked for at once, s."""
    began = time.monotonic()
    ids = [asked_for(server)["id"] for _ in range(jobs)]
    until(lambda: all(server.job(id)["state"] == "done" for id in ids[-2:]), 3600, server.log)
    for id in ids:
        server.until(id, "done", seconds=600)
    return time.monotonic() - began


def asked_for(server: OwnServer) -> dict[str, Any]:
    """Ask for one more plan, of a seed that none had before."""
    request = json.loads(job_document(JOB)) | {"alternatives": 1, "time_limit_s": 60, "seed": next(_SEEDS)}
    answer = server.door.post("/v1/plans", json=request)
    assert answer.status_code == 202, answer.text
    job: dict[str, Any] = answer.json()
    return job
