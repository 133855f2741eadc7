"""How many jobs two workers of the queue solve in the time of one: real solves, each worker a process group with a folder of its own.

python -m tests.benchmarks workers [--jobs N]
"""

from __future__ import annotations

import json
import tempfile
import time
from pathlib import Path
from typing import Any

from service.demo import job_document
from tests.databases import new_postgresql
from tests.service.served import OwnServer, OwnWorker

JOBS = 40
JOB = "open-tab"
SETTINGS = {"runner": "queue", "workers": "1", "queue": "1000", "lease": "10", "cache_mb": "0"}
LOOK_S = 0.2
"""Seldom, since whoever looks takes some of the same cores."""


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
    ids = [asked_for(server, seed)["id"] for seed in range(1, jobs + 1)]
    while server.door.get("/v1/plans", params={"state": ["queued", "running"], "limit": 1}).json()["jobs"]:
        time.sleep(LOOK_S)
    taken = time.monotonic() - began
    assert all(server.job(id)["state"] == "done" for id in ids)
    return taken


def asked_for(server: OwnServer, seed: int) -> dict[str, Any]:
    """Ask for one more plan, solved anew: one worker and two get the same jobs."""
    request = json.loads(job_document(JOB)) | {"alternatives": 1, "time_limit_s": 60, "seed": seed}
    answer = server.door.post("/v1/plans", json=request, headers={"Cache-Control": "no-cache"})
    assert answer.status_code == 202, answer.text
    job: dict[str, Any] = answer.json()
    return job
