"""A real server in a process of its own: under load, with workers killed, itself killed, told to stop."""

from __future__ import annotations

import json
import os
import re
import signal
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest

from tests.service.asked import asked

SERVER = Path(__file__).parents[1] / "server.py"


class Served:
    """A running server."""

    def __init__(self, folder: Path, **settings: str) -> None:
        environment = {"HOLDWRIGHT_PORT": "0", "HOLDWRIGHT_DB": f"sqlite:///{folder / 'shop.sqlite3'}", "HOLDWRIGHT_LEASE": "1"}
        environment |= {f"HOLDWRIGHT_{name.upper()}": value for name, value in settings.items()}
        self.log = folder / f"log-{time.monotonic_ns()}"
        with self.log.open("wb") as log:
            command = [sys.executable, "-W", "error::ResourceWarning", str(SERVER), json.dumps(environment)]
            self.process = subprocess.Popen(command, stderr=log, stdout=log)
        address = until(lambda: re.search(r"listening on (http://\S+)", self.log.read_text()), 20, self.log)
        self.door = httpx.Client(base_url=address[1], timeout=30)
        until(self.alive, 20, self.log)

    def alive(self) -> bool:
        try:
            return self.door.get("/healthz").status_code == 200
        except httpx.TransportError:
            return False

    def ask(self, name: str = "plain", wait: int | None = None, **changes: Any) -> dict[str, Any]:
        headers = {"Prefer": f"wait={wait}"} if wait is not None else {}
        job: dict[str, Any] = self.door.post("/v1/plans", json=asked(name, **changes), headers=headers).json()
        return job

    def job(self, id: str) -> dict[str, Any]:
        job: dict[str, Any] = self.door.get(f"/v1/plans/{id}").json()
        return job

    def until(self, id: str, *states: str, seconds: float = 20) -> dict[str, Any]:
        until(lambda: self.job(id)["state"] in states, seconds, self.log)
        return self.job(id)

    def workers(self) -> list[int]:
        """Return the process ids of the workers."""
        found = []
        for folder in Path("/proc").glob("[0-9]*"):
            try:
                parent = int((folder / "stat").read_text().rsplit(")", 1)[1].split()[1])
                spawned = b"spawn_main" in (folder / "cmdline").read_bytes()
            except OSError:  # it has ended meanwhile
                continue
            if spawned and parent == self.process.pid:
                found.append(int(folder.name))
        return found

    def end(self, how: int) -> int:
        self.process.send_signal(how)
        self.door.close()
        return self.process.wait(15)


def until(condition: Callable[[], Any], seconds: float, log: Path) -> Any:
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        if found := condition():
            return found
        time.sleep(0.02)
    raise AssertionError(f"not within {seconds} s; the server's log:\n{log.read_text()}")


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """One server for the tests it survives."""
    running = Served(tmp_path_factory.mktemp("served"), event_streams="1", body_time="1")
    yield running
    assert running.end(signal.SIGTERM) == 0


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Callable[..., Served]]:
    """Servers for tests that end them, on one store."""
    running: list[Served] = []

    def start(**settings: str) -> Served:
        running.append(Served(tmp_path, **settings))
        return running[-1]

    yield start
    for each in running:
        if each.process.poll() is None:
            each.end(signal.SIGKILL)


def test_health_is_told_at_once_while_two_solves_run(server: Served) -> None:
    jobs = [server.ask("slow", time_limit_s=30)["id"] for _ in range(2)]
    for id in jobs:
        server.until(id, "running")
    times = []
    for _ in range(40):
        began = time.monotonic()
        assert server.door.get("/healthz").status_code == 200
        times.append(1000 * (time.monotonic() - began))
        time.sleep(0.02)
    assert all(server.job(id)["state"] == "running" for id in jobs)
    for id in jobs:
        server.door.delete(f"/v1/plans/{id}")
    assert statistics.quantiles(times, n=20)[-1] < 100, sorted(times)


def test_a_worker_killed_from_outside_fails_its_own_job_only(server: Served) -> None:
    jobs = [server.ask("slow", time_limit_s=3)["id"] for _ in range(2)]
    for id in jobs:
        server.until(id, "running")
    until(lambda: all(server.job(id)["progress"] for id in jobs), 10, server.log)
    os.kill(server.workers()[0], signal.SIGKILL)
    ended = [server.until(id, "failed", "done") for id in jobs]
    assert sorted(job["state"] for job in ended) == ["done", "failed"]
    failed = next(job for job in ended if job["state"] == "failed")
    assert failed["problem"]["type"] == "/v1/problems/worker-died"
    assert "SIGKILL" in failed["problem"]["detail"]
    assert len(failed["plan"]["alternatives"]) == 1, "the best plan so far outlives the worker"
    assert server.ask(wait=20, time_limit_s=4)["state"] == "done"


def test_idle_workers_killed_from_outside_are_replaced(server: Served) -> None:
    until(lambda: len(server.workers()) == 2, 10, server.log)
    assert server.ask(wait=20, time_limit_s=4)["state"] == "done"
    for pid in server.workers():
        os.kill(pid, signal.SIGKILL)
    assert server.ask(wait=20, time_limit_s=4)["state"] == "done"
    assert server.door.get("/readyz").status_code == 200


def test_jobs_of_a_killed_server_are_taken_up_again(served: Callable[..., Served]) -> None:
    first = served(workers="1")
    running, waiting = (first.ask("slow", time_limit_s=2)["id"] for _ in range(2))
    first.until(running, "running")
    workers = first.workers()
    first.end(signal.SIGKILL)
    second = served(workers="1")
    done = [second.until(id, "done") for id in (running, waiting)]
    assert [job["attempts"] for job in done] == [2, 1]
    assert all(job["plan"]["alternatives"] for job in done)
    until(lambda: not any(Path(f"/proc/{pid}").exists() for pid in workers), 5, first.log)


def test_a_server_told_to_stop_gives_its_jobs_back(served: Callable[..., Served]) -> None:
    first = served()
    id = first.ask("slow", time_limit_s=2)["id"]
    first.until(id, "running")
    assert first.end(signal.SIGTERM) == 0
    done = served(lease="600").until(id, "done")
    assert done["attempts"] == 1


def test_progress_is_streamed_while_it_is_made(server: Served) -> None:
    id = server.ask("slow", time_limit_s=30)["id"]
    heard = []
    with server.door.stream("GET", f"/v1/plans/{id}/events") as answer:
        for line in answer.iter_lines():
            heard.append(line)
            if line.startswith("id: 3"):
                server.door.delete(f"/v1/plans/{id}")
    assert "event: end" in heard
    assert '"state":"cancelled"' in heard[-2]


def test_no_more_streams_than_there_may_be(server: Served) -> None:
    id = server.ask("slow", time_limit_s=30)["id"]
    with server.door.stream("GET", f"/v1/plans/{id}/events") as first:
        lines = first.iter_lines()
        assert next(lines).startswith("event: ")
        refused = server.door.get(f"/v1/plans/{id}/events")
        assert (refused.status_code, refused.json()["type"]) == (503, "/v1/problems/busy")
    until(lambda: "holdwright_event_streams 0" in server.door.get("/metrics").text, 5, server.log)
    server.door.delete(f"/v1/plans/{id}")
    assert server.door.get(f"/v1/plans/{id}/events").status_code == 200


def test_a_body_that_never_comes_is_not_waited_for(server: Served) -> None:

    def drip() -> Iterator[bytes]:
        yield b"{"
        time.sleep(2.5)
        yield b"}"

    try:
        answer = server.door.post("/v1/plans", content=drip(), headers={"Content-Type": "application/json"})
    except httpx.TransportError:
        pass  # the server has hung up while the body was still on its way
    else:
        assert (answer.status_code, answer.json()["type"]) == (408, "/v1/problems/slow-body")
    assert server.alive()
