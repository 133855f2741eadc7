"""Real servers and workers in processes of their own, for tests that ask, kill and stop them."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import httpx

from tests.service.asked import asked

SERVER = Path(__file__).parent / "server.py"
START_S = 60.0


def until(condition: Callable[[], Any], seconds: float, log: Path) -> Any:
    """Return what the condition comes to once it holds."""
    ends = time.monotonic() + seconds
    while time.monotonic() < ends:
        if found := condition():
            return found
        time.sleep(0.02)
    raise AssertionError(f"not within {seconds} s; the log:\n{log.read_text()}")


def children(process: int) -> list[int]:
    """Return the process ids of a process's spawned children."""
    found = []
    for folder in Path("/proc").glob("[0-9]*"):
        try:
            parent = int((folder / "stat").read_text().rsplit(")", 1)[1].split()[1])
            spawned = b"spawn_main" in (folder / "cmdline").read_bytes()
        except OSError:  # it has ended meanwhile
            continue
        if spawned and parent == process:
            found.append(int(folder.name))
    return found


class OwnProcess:
    """A server or worker of a test, on a database, with its log and its own folder for temporary files."""

    def __init__(self, folder: Path, db: str, *words: str, temporary: str | None = None, **settings: str) -> None:
        environment = {"HOLDWRIGHT_PORT": "0", "HOLDWRIGHT_DB": db, "HOLDWRIGHT_LEASE": "1"}
        environment |= {f"HOLDWRIGHT_{name.upper()}": value for name, value in settings.items()}
        number = time.monotonic_ns()
        self.log, self.temporary = folder / f"log-{number}", Path(temporary or folder / f"tmp-{number}")
        self.temporary.mkdir(exist_ok=True)
        with self.log.open("wb") as log:
            command = [sys.executable, "-W", "error::ResourceWarning", str(SERVER), json.dumps(environment), *words]
            self.process = subprocess.Popen(command, stderr=log, stdout=log, env={**os.environ, "TMPDIR": str(self.temporary)})

    def end(self, how: int, within_s: float = 20) -> int:
        """Send a signal and return the exit code."""
        self.process.send_signal(how)
        return self.process.wait(within_s)

    def solving(self) -> list[int]:
        """Return the process ids of the children that are at work on a job."""
        begun = self.temporary.glob("holdwright-jobs-*/*/started.json")
        return [json.loads(each.read_text())["pid"] for each in begun]

    def leave(self) -> None:
        """End it however it is."""
        if self.process.poll() is None:
            self.end(signal.SIGKILL)


class OwnWorker(OwnProcess):
    """A worker of the queue."""

    def __init__(self, folder: Path, db: str, *words: str, **settings: str) -> None:
        super().__init__(folder, db, "worker", *words, **settings)

    def until_up(self) -> OwnWorker:
        """Return once it takes up jobs."""
        until(lambda: "solving up to" in self.log.read_text(), START_S, self.log)
        return self


class OwnServer(OwnProcess):
    """A server, asked over HTTP."""

    def __init__(self, folder: Path, db: str, *words: str, **settings: str) -> None:
        super().__init__(folder, db, *words, **settings)
        try:
            address = until(lambda: re.search(r"listening on (http://\S+)", self.log.read_text()), START_S, self.log)
            self.door = httpx.Client(base_url=address[1], timeout=90)
            until(self.alive, START_S, self.log)
        except BaseException:
            self.process.kill()
            raise

    def alive(self) -> bool:
        """Return whether it answers."""
        try:
            return self.door.get("/healthz").status_code == 200
        except httpx.TransportError:
            return False

    def ask(self, name: str = "plain", wait: int | None = None, priority: str = "interactive", **changes: Any) -> dict[str, Any]:
        """Ask for a plan, solved anew, and return the job."""
        headers = {"Cache-Control": "no-cache"} | ({"Prefer": f"wait={wait}"} if wait is not None else {})
        answer = self.door.post(f"/v1/plans?priority={priority}", json=asked(name, **changes), headers=headers)
        assert answer.status_code in (200, 202), answer.text
        job: dict[str, Any] = answer.json()
        return job

    def job(self, id: str) -> dict[str, Any]:
        """Return a job as it stands."""
        answer = self.door.get(f"/v1/plans/{id}")
        assert answer.status_code == 200, f"{answer.text}\n{self.log.read_text()}"
        job: dict[str, Any] = answer.json()
        return job

    def until(self, id: str, *states: str, seconds: float = 30) -> dict[str, Any]:
        """Return a job once it is in one of the states."""
        until(lambda: self.job(id)["state"] in states, seconds, self.log)
        return self.job(id)

    def end(self, how: int, within_s: float = 20) -> int:
        """Send a signal and return the exit code."""
        self.door.close()
        return super().end(how, within_s)
