"""PostgreSQL stopped and started again in mid-work: server and worker go on by themselves."""

from __future__ import annotations

import os
import pwd
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest

from tests.databases import postgresql_programs
from tests.service.served import OwnProcess, OwnServer, OwnWorker, until

# A commit is acknowledged once it is written: put off, the last ones would go with the immediate stop.
FAST = "-c fsync=off -c full_page_writes=off -c listen_addresses=''"


class OwnDatabase:
    """A PostgreSQL of a test's own, to be stopped and started."""

    def __init__(self) -> None:
        programs = postgresql_programs()
        if programs is None:
            pytest.skip("POSTGRESQL IS NOT INSTALLED: nothing of this was tested on it (apt-get install postgresql)")
        self.programs, self.folder = programs, Path(tempfile.mkdtemp(prefix="hw-pg-away-"))
        self.prefix: list[str] = []
        if os.geteuid() == 0:
            shutil.chown(self.folder, pwd.getpwnam("postgres").pw_uid, pwd.getpwnam("postgres").pw_gid)
            self.prefix = ["runuser", "-u", "postgres", "--"]
        self._run(programs / "initdb", "-D", self.folder / "data", "-A", "trust", "-U", "postgres", "--no-sync")
        self.url = f"postgresql://postgres@/postgres?host={self.folder}"

    def start(self) -> None:
        """Start it."""
        options = f"-k {self.folder} {FAST}"
        self._run(self.programs / "pg_ctl", "-D", self.folder / "data", "-w", "-l", self.folder / "log", "-o", options, "start")

    def stop(self) -> None:
        """Stop it with everybody connected."""
        self._run(self.programs / "pg_ctl", "-D", self.folder / "data", "-m", "immediate", "stop")

    def _run(self, *words: object) -> None:
        command = [*self.prefix, *map(str, words)]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, cwd=self.folder, timeout=120)


@contextmanager
def own_database() -> Iterator[OwnDatabase]:
    database = OwnDatabase()
    database.start()
    try:
        yield database
    finally:
        database.stop()
        shutil.rmtree(database.folder, ignore_errors=True)


def test_a_database_is_stopped_and_started() -> None:
    with own_database() as database:
        database.stop()
        database.start()


@pytest.mark.slow
@pytest.mark.parametrize("runner", ["embedded", "queue"])
def test_the_service_goes_on_after_its_database_was_away(tmp_path: Path, runner: str) -> None:
    running: list[OwnProcess] = []
    with own_database() as database:
        try:
            server = OwnServer(tmp_path, database.url, runner=runner, workers="1", lease="2")
            running.append(server)
            if runner == "queue":
                running.append(OwnWorker(tmp_path, database.url, workers="1", lease="2").until_up())
            assert server.until(server.ask()["id"], "done", seconds=120)["state"] == "done"
            across = server.ask("slow", time_limit_s=4)["id"]
            waiting = server.ask()["id"]
            server.until(across, "running")
            database.stop()
            time.sleep(6)
            away = httpx.get(f"{server.door.base_url}/readyz", timeout=60)
            assert away.status_code == 503
            assert server.door.get("/healthz").status_code == 200
            database.start()
            until(lambda: server.door.get("/readyz").status_code == 200, 30, server.log)
            assert {server.until(id, "done", "failed", seconds=90)["state"] for id in (across, waiting)} == {"done"}
            assert server.until(server.ask()["id"], "done", seconds=120)["state"] == "done"
        finally:
            for each in running:
                each.leave()
