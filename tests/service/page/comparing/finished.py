"""Jobs that have ended with plans that were made once, put among a server's jobs as they are."""

from __future__ import annotations

import copy
import gzip
import json
import secrets
from typing import Any

from service.records.database import now
from service.records.job import Job
from service.records.jobs import JobRecords
from tests.benchmarks.shop import document_of
from tests.service.drawings.kept import AGAIN, PLANS

BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
OURS = {**BROWSER, "Sec-Fetch-Site": "same-origin"}
HTMX = {"HX-Request": "true", "Sec-Fetch-Site": "same-origin"}


def kept_documents(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the documents of a kept plan: its request, and the plan."""
    own = PLANS / f"{name}.request.json.gz"
    request = gzip.decompress(own.read_bytes()) if name == AGAIN else document_of(name)
    return json.loads(request), json.loads(gzip.decompress((PLANS / f"{name}.plan.json.gz").read_bytes()))


def with_a_dear_one(plan: dict[str, Any]) -> dict[str, Any]:
    """Return a plan with an alternative more, whose cycles cost three times as much."""
    made = copy.deepcopy(plan)
    other = copy.deepcopy(made["alternatives"][0])
    more = 2 * other["cost"]["cycle_cents"]
    other["cost"] = {
        **other["cost"], "cycle_cents": 3 * other["cost"]["cycle_cents"], "total_cents": other["cost"]["total_cents"] + more,
    }  # fmt: skip
    made["alternatives"].append(
        {**other, "rank": 2, "title": "fastest to set", "traits": [], "differs": "dearer; quicker to set"}
    )
    return made


def finished(records: JobRecords, of: str = "hinge-lug", dear: bool = False, **changes: Any) -> str:
    """Add a job that has ended with a kept plan; its id. `changes` replace members of the weldment."""
    request, plan = kept_documents(of)
    request["weldment"] |= changes
    at = now()
    plan = with_a_dear_one(plan) if dear else plan
    called = request["weldment"].get("name", "")
    job = Job(
        secrets.token_hex(8), "done", at, json.dumps(request), ("a warning of its own",),
        name=called, started_at=at, finished_at=at, plan=plan,
    )  # fmt: skip
    return records.add(job, None, job.id, 1000, None, None).id
