"""The description is held against a running server by two tools from outside: a generator of clients, and schemathesis.

The generator (openapi-python-client) knows no CSV, so its configuration says that such a body is bytes; everything else is as it
comes. The client it makes does the main job. Schemathesis sends what fits the description and what does not, all its checks on;
`schemathesis.toml` says which operations have rules that no schema can state. The server solves with the planner that tests steer,
so that the time goes into the interface and not into fixtures.
"""

from __future__ import annotations

import importlib
import json
import os
import re
import signal
import subprocess
import sys
import sysconfig
import time
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from service.access.api_keys import make
from service.demo import MAIN_JOB, job_document
from service.records.keys import KeyRecords
from service.roles import ROLES, Role
from service.stockroom.stock_source import opened
from tests.service.http.keyed import asked_now
from tests.service.http.test_server import Served

PROGRAMS = Path(sysconfig.get_path("scripts"))
JUDGED = Path(__file__).with_name("schemathesis.toml")
FEW = ("list_plans", "move", "read_problem")
CASES, TIMES = 100_000, 100
"""In all; schemathesis makes so many cases or more for each one that is asked for an operation."""
CALLERS = ("no key was ever made", "no key", *ROLES)
ROOM = {"queue": "10000", "event_streams": "200", "rate": "100000", "rate_open": "100000", "jobs_per_key": "10000"}
BYTES = ("text/csv", "application/x-ndjson", "image/svg+xml")
CONFIG = {"post_hooks": [], "content_type_overrides": dict.fromkeys(BYTES, "application/octet-stream")}
NO_KEYS = ("--exclude-checks", "ignored_auth")
METHODS = ("get", "put", "post", "patch", "delete")


class Generated:
    """The client that was generated, and the server it speaks to."""

    def __init__(self, folder: Path, server: Served) -> None:
        self.server = server
        self.description = server.door.get("/openapi.json").json()
        (folder / "openapi.json").write_text(json.dumps(self.description))
        (folder / "config.json").write_text(json.dumps(CONFIG))
        paths = ["--path", "openapi.json", "--output-path", "shop_client", "--meta", "none", "--config", "config.json"]
        self.run = subprocess.run(
            [PROGRAMS / "openapi-python-client", "generate", *paths], cwd=folder, capture_output=True, text=True, check=False
        )
        self.folder = folder / "shop_client"
        self.client = self.module("client").Client(base_url=str(server.door.base_url), raise_on_unexpected_status=True)

    def module(self, name: str) -> ModuleType:
        return importlib.import_module(f"shop_client.{name}")

    def model(self, name: str, values: dict[str, Any]) -> Any:
        models = self.module("models")
        return getattr(models, name).from_dict(values)

    def call(self, tag: str, operation: str, *path: object, **given: Any) -> Any:
        return self.module(f"api.{tag}.{operation}").sync(*path, client=self.client, **given)


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    running = Served(tmp_path_factory.mktemp("served"), **ROOM)
    yield running
    running.end(signal.SIGKILL)


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory, server: Served) -> Iterator[Generated]:
    folder = tmp_path_factory.mktemp("generated")
    sys.path.insert(0, str(folder))
    made = Generated(folder, server)
    try:
        yield made
    finally:
        made.client.get_httpx_client().close()
        sys.path.remove(str(folder))
        for name in [name for name in sys.modules if name.partition(".")[0] == "shop_client"]:
            del sys.modules[name]


def test_every_operation_is_generated_without_a_warning(generated: Generated) -> None:
    assert generated.run.returncode == 0, generated.run.stdout + generated.run.stderr
    said = generated.run.stdout + generated.run.stderr
    assert "WARNING" not in said and "Warning" not in said and "ERROR" not in said, said
    described = {
        (operation["tags"][0], operation["operationId"])
        for path in generated.description["paths"].values()
        for method, operation in path.items()
        if method in METHODS
    }
    made = {(file.parent.name, file.stem) for file in generated.folder.glob("api/*/*.py") if file.stem != "__init__"}
    assert made == described and len(made) >= 44


def test_the_main_job_is_done_with_it(generated: Generated) -> None:
    request = json.loads(job_document(MAIN_JOB)) | {"time_limit_s": 5}
    taken = generated.call("plans", "submit_plan", body=generated.model("RequestDocument", request), prefer="wait=20")
    ends = time.monotonic() + 20
    while (job := generated.call("plans", "read_plan", taken.id)).finished_at is None:
        assert time.monotonic() < ends, job
        time.sleep(0.05)
    assert job.state.value == "done" and job.plan.status.value == "optimal"
    best = job.plan.alternatives[0]
    assert best.cost.total_cents > 0 and best.kit

    done = generated.module("models").ListPlansStateItem("done")
    listed = generated.call("plans", "list_plans", name=request["weldment"]["name"], state=[done])
    assert taken.id in [each.id for each in listed.jobs] and listed.jobs[0].status.value == "optimal"

    checked = generated.call(
        "checks", "check_plan", body=generated.model("CheckBody", {"request": request, "plan": job.plan.to_dict()})
    )
    assert checked.findings and checked.format_ == "holdwright.report/1"

    order = {"job": "hinges", "plan": taken.id, "needed": {"from": "2027-03-01", "to": "2027-03-02"}, "who": "planner"}
    kept = generated.call("reservations", "reserve", body=generated.model("OrderBody", order))
    assert kept.state.value == "reserved" and [line.item for line in kept.lines]
    moved = {"needed": {"from": "2027-03-03", "to": "2027-03-04"}, "who": "planner"}
    later = generated.call("reservations", "move", kept.id, body=generated.model("MoveBody", moved), if_match=f'"{kept.version}"')
    assert later.version == kept.version + 1 and str(later.needed.from_) == "2027-03-03"

    rows = generated.module("types").File(payload=BytesIO(b"item,count\nriser-40,99\n"))
    report = generated.call("stock", "import_stock", body=rows, who="planner", dry_run=True)
    assert (report.rows, report.written, report.changes[0].count.to) == (1, False, 99)


def test_a_refusal_is_typed_too(generated: Generated) -> None:
    refused = generated.call("reservations", "read_reservation", 4711)
    assert type(refused).__name__ == "ProblemDocument"
    assert (refused.type_, refused.status) == ("/v1/problems/not-found", 404)


def checked(server: Served, folder: Path, *options: str) -> int:
    """Return how many cases were tried; fails with schemathesis' own report if any check of any of them failed."""
    address = f"{str(server.door.base_url).rstrip('/')}/openapi.json"
    command: list[str | Path] = [
        PROGRAMS / "schemathesis",
        "--no-color",
        "--config-file",
        JUDGED,
        "run",
        address,
        "--generation-database",
        "none",
        "--request-timeout",
        "60",
        *options,
    ]
    done = subprocess.run(command, cwd=folder, env=dict(os.environ), capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-20_000:] + done.stderr
    found = re.search(r"Test cases:\s+([\d,]+) generated", done.stdout)
    assert found is not None, done.stdout
    return int(found[1].replace(",", ""))


def test_a_few_operations_keep_to_their_description(server: Served, tmp_path: Path) -> None:
    names = [word for name in FEW for word in ("--include-operation-id", name)]
    tried = checked(server, tmp_path, *names, *NO_KEYS, "--phases", "examples,fuzzing", "-n", "10", "--seed", "1", "--no-shrink")
    assert tried > 30


@pytest.mark.slow
def test_a_few_operations_are_closed_to_whoever_has_no_key(tmp_path: Path) -> None:
    server = Served(tmp_path, **ROOM)
    try:
        names = [word for name in ("list_keys", "revoke_key", "list_writes") for word in ("--include-operation-id", name)]
        key = made_key(tmp_path, "admin")
        tried = checked(server, tmp_path, *names, "-n", "10", "--seed", "1", "--no-shrink", "-H", f"Authorization: Bearer {key}")
        assert tried > 20
    finally:
        server.end(signal.SIGKILL)


@pytest.mark.slow
@pytest.mark.parametrize("caller", CALLERS)
def test_a_hundred_thousand_cases_keep_to_the_description(caller: str, tmp_path: Path) -> None:
    """With a key of each role, without one where one is needed, and where none was ever made."""
    server = Served(tmp_path, **ROOM)
    try:
        options = ["-n", str(CASES // len(CALLERS) // TIMES + 1), "--continue-on-failure", "--workers", "2"]
        if caller != "no key was ever made":
            keys = {role: made_key(tmp_path, role) for role in ROLES}
            options += ["-H", f"Authorization: Bearer {keys[caller]}"] if caller in ROLES else []
            # A key of these would be revoked, and all that follows refused.
            options += ["--exclude-operation-id", "revoke_key"]
        options += [] if caller in ROLES else NO_KEYS
        tried = checked(server, tmp_path, *options)
        assert tried >= CASES // len(CALLERS)
        assert server.alive() and server.door.get("/readyz").status_code == 200
    finally:
        server.end(signal.SIGKILL)


def made_key(folder: Path, role: Role) -> str:
    """Return a new key of a role for the server in a folder."""
    store = opened(f"sqlite:///{folder / 'shop.sqlite3'}")
    try:
        return make(KeyRecords(store), f"the {role}", role, None, asked_now()).text
    finally:
        store.close()
