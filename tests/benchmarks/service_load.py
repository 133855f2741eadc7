"""How soon a server answers while all its workers solve: health, reads, cancels, and 60 jobs asked for at once.

python -m tests.benchmarks service [--runner embedded|queue] [--db sqlite|postgresql]
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path

from tests.databases import new_database
from tests.service.asked import asked
from tests.service.served import OwnProcess, OwnServer, OwnWorker

LOOKS, CANCELS, AT_ONCE = 300, 40, 60


def report(runner: str, db: str) -> None:
    """Print what 99 of 100 callers wait at most, ms, and what became of 60 jobs at once."""
    settings = {"runner": runner, "workers": "2", "queue": "40", "lease": "10"}
    with tempfile.TemporaryDirectory() as folder:
        url = new_database("postgresql" if runner == "queue" else db, Path(folder))
        server = OwnServer(Path(folder), url, **settings)
        running: list[OwnProcess] = [server]
        try:
            if runner == "queue":
                running.append(OwnWorker(Path(folder), url, **settings).until_up())
            busy = [server.ask("slow", time_limit_s=60)["id"] for _ in range(2)]
            for id in busy:
                server.until(id, "running")
            for address in ("/healthz", "/v1/stock", f"/v1/plans/{busy[0]}", "/readyz"):
                times = [timed(partial(server.door.get, address)) for _ in range(LOOKS)]
                say(f"GET {address.replace(busy[0], '{id}')}", times)
            for id in busy:
                server.door.delete(f"/v1/plans/{id}", headers={"Prefer": "wait=10"})
            say("cancel to the end", [cancelled(server) for _ in range(CANCELS)])
            say("plain, Prefer: wait", [timed(lambda: server.ask(wait=20)) for _ in range(CANCELS)])
            print(f"{AT_ONCE} at once: {all_at_once(server)}")
        finally:
            for each in running:
                each.leave()


def timed(act: Callable[[], object]) -> float:
    """Return how long something takes, ms."""
    began = time.monotonic()
    act()
    return 1000 * (time.monotonic() - began)


def cancelled(server: OwnServer) -> float:
    """Return how long after a cancel a running solve has ended, ms."""
    id = server.ask("slow", time_limit_s=60)["id"]
    server.until(id, "running")
    return timed(lambda: server.door.delete(f"/v1/plans/{id}", headers={"Prefer": "wait=10"}))


def all_at_once(server: OwnServer) -> str:
    """Say what became of jobs asked for at once: how many were refused, all of them with the time to ask again."""
    ids, refused = [], 0
    for seed in range(AT_ONCE):
        answer = server.door.post("/v1/plans", json=asked("slow", time_limit_s=1.0, seed=seed))
        if answer.status_code == 503:
            assert answer.headers["retry-after"]
            refused += 1
        else:
            ids.append(answer.json()["id"])
    ends = [server.until(id, "done", "failed", seconds=300) for id in ids]
    with_plan = sum(bool(job["plan"] and job["plan"]["alternatives"]) for job in ends)
    return f"{len(ends)} done, {with_plan} of them with a plan, {refused} refused with Retry-After"


def say(what: str, times: list[float]) -> None:
    """Print the middle and the ninety-ninth of a hundred."""
    ordered = sorted(times)
    print(
        f"{what:<22} half within {ordered[len(ordered) // 2]:7.1f} ms, 99 % within {ordered[int(0.99 * len(ordered))]:7.1f} ms",
        flush=True,
    )
