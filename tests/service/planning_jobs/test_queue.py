"""Jobs on other machines: a server that only calls, workers that solve; cancelled, followed and given back through the database."""

from __future__ import annotations

import json
import signal
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.databases import new_postgresql
from tests.service.served import OwnServer, OwnWorker, until


class Works:
    """Two servers and a worker on one database."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.db = folder, new_postgresql()
        self.one = OwnServer(folder, self.db, runner="queue", queue="50")
        self.worker = OwnWorker(folder, self.db, workers="1").until_up()

    def stop(self) -> None:
        """End all of it."""
        self.worker.leave()
        self.one.leave()


@pytest.fixture(scope="module")
def works(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Works]:
    running = Works(tmp_path_factory.mktemp("works"))
    yield running
    running.stop()


def test_a_job_is_solved_by_the_worker_and_its_answer_waited_for_at_the_server(works: Works) -> None:
    job = works.one.ask(wait=30)
    assert (job["state"], job["attempts"], job["plan"]["status"]) == ("done", 1, "optimal")
    assert works.one.door.get("/readyz").status_code == 200


def test_progress_is_followed_at_a_server_that_does_not_solve(works: Works) -> None:
    id = works.one.ask("slow", time_limit_s=1)["id"]
    text = works.one.door.get(f"/v1/plans/{id}/events").text
    numbers = [int(line.removeprefix("id: ")) for line in text.splitlines() if line.startswith("id: ")]
    assert numbers == list(range(len(numbers))) and len(numbers) > 5
    later = works.one.door.get(f"/v1/plans/{id}/events", headers={"Last-Event-ID": "3"}).text
    assert later == text[text.index("event: progress\nid: 4\n") :]
    assert json.loads(text.splitlines()[-2].removeprefix("data: ")) == {"state": "done", "status": "feasible"}


def test_a_cancel_reaches_the_worker_and_the_best_plan_is_kept(works: Works) -> None:
    id = works.one.ask("slow", time_limit_s=60)["id"]
    works.one.until(id, "running")
    until(lambda: works.one.job(id)["progress"], 20, works.worker.log)
    began = time.monotonic()
    job = works.one.door.delete(f"/v1/plans/{id}", headers={"Prefer": "wait=10"}).json()
    assert (job["state"], job["plan"]["stopped_by"]) == ("cancelled", "cancel")
    assert time.monotonic() - began < 3


def test_urgent_jobs_come_before_batches_and_waiting_ones_are_cancelled_at_once(works: Works) -> None:
    first = works.one.ask("slow", time_limit_s=60)["id"]
    works.one.until(first, "running")
    batch, urgent, unwanted = (
        works.one.ask(priority=priority)["id"] for priority in ("batch", "interactive", "interactive")
    )  # fmt: skip
    assert works.one.door.delete(f"/v1/plans/{unwanted}").json()["state"] == "cancelled"
    works.one.door.delete(f"/v1/plans/{first}")
    done = {id: works.one.until(id, "done") for id in (batch, urgent)}
    assert done[urgent]["finished_at"] < done[batch]["started_at"]
    assert (done[urgent]["priority"], done[batch]["priority"]) == ("interactive", "batch")


@pytest.mark.slow
def test_a_worker_told_to_stop_gives_its_job_back_to_another(works: Works) -> None:
    id = works.one.ask("slow", time_limit_s=3)["id"]
    works.one.until(id, "running")
    assert works.worker.end(signal.SIGTERM) == 0
    assert list(works.worker.temporary.iterdir()) == []
    assert works.one.until(id, "queued")["attempts"] == 0
    works.worker = OwnWorker(works.folder, works.db, workers="1").until_up()
    assert works.one.until(id, "done")["attempts"] == 1


@pytest.mark.slow
def test_a_job_of_a_killed_worker_is_taken_up_again(works: Works) -> None:
    id = works.one.ask("slow", time_limit_s=2)["id"]
    works.one.until(id, "running")
    works.worker.end(signal.SIGKILL)
    works.worker = OwnWorker(works.folder, works.db, workers="1").until_up()
    assert works.one.until(id, "done", seconds=60)["attempts"] == 2


@pytest.mark.slow
def test_jobs_that_waited_when_the_adapter_was_changed_are_done(works: Works) -> None:
    works.worker.end(signal.SIGKILL)
    queued = works.one.ask()["id"]
    itself = OwnServer(works.folder, works.db, workers="1")
    try:
        assert itself.until(queued, "done")["attempts"] == 1
    finally:
        itself.leave()
    works.worker = OwnWorker(works.folder, works.db, workers="1").until_up()
    assert works.one.ask(wait=30)["state"] == "done"
