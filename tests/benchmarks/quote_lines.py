"""How many quote lines two workers price in the time of one, and that lines equal plans made one by one.

python -m tests.benchmarks quotes [--lines N] [--weldments N] [--checked N]
"""

from __future__ import annotations

import os
import random
import tempfile
import time
from pathlib import Path
from typing import Any

from service.documents import request_document
from tests import builders as b
from tests.databases import new_database
from tests.service.served import OwnServer

LINES, WELDMENTS, CHECKED = 500, 40, 20
SETTINGS = {"cache_mb": "0", "lease": "10", "rate": "100000", "rate_open": "100000"}
LOOK_S = 0.5


def report(lines: int, weldments: int, checked: int) -> None:
    """Print the lines a minute of one worker and of two, their ratio, and how many lines equal single plans."""
    print(f"{lines} lines over {weldments} weldments; load before {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores", flush=True)
    body = inquiry(lines, weldments)
    rates = []
    for workers in (1, 2):
        with tempfile.TemporaryDirectory() as folder:
            server = OwnServer(Path(folder), new_database("sqlite", Path(folder)), "real", workers=str(workers), **SETTINGS)
            try:
                for seed in range(2, 2 + workers):  # each has loaded the solver by then
                    server.door.post("/v1/plans", json=plan_request(0, 5) | {"seed": seed}, headers={"Prefer": "wait=30"})
                seconds, quote = quoted(server, body)
                plans = sum(each["plans"] for each in quote["requests"])
                rates.append(60 * lines / seconds)
                proved = sum(line["status"] == "optimal" for line in quote["lines"])
                print(
                    f"{workers} worker{'s' if workers > 1 else ' '}  {rates[-1]:7.1f} lines a minute, {seconds:6.1f} s, {plans} plans,"
                    f" {proved} lines proved",
                    flush=True,
                )
                if workers == 2:
                    print(f"ratio      {rates[1] / rates[0]:.2f}", flush=True)
                    equal_single_plans(server, quote, checked)
            finally:
                server.leave()


def inquiry(lines: int, weldments: int) -> dict[str, Any]:
    """Return an inquiry over small weldments, each at drawn quantities."""
    chance = random.Random(1)
    asked = [
        {"request": f"w{number % weldments}", "quantity": round(10 ** chance.uniform(0, 4))} for number in range(lines)
    ]  # fmt: skip
    requests = {f"w{number}": plan_request(number, 1) for number in range(min(lines, weldments))}
    return {"format": "holdwright.inquiry/1", "requests": requests, "lines": asked}


def plan_request(number: int, quantity: int) -> dict[str, Any]:
    """Return the request of one of the weldments: a tab welded on a tube, each a little elsewhere."""
    drawn = b.tab_on_tube(tab_from=120 + 5 * number, overhang=40 + number % 7)
    return request_document(b.request(drawn, quantity, alternatives=1, time_limit_s=60))


def quoted(server: OwnServer, body: dict[str, Any]) -> tuple[float, dict[str, Any]]:
    """Return how long a quote takes, s, and the quote."""
    began = time.monotonic()
    taken = server.door.post("/v1/quotes?priority=interactive", json=body)
    assert taken.status_code == 202, taken.text
    address = taken.headers["location"]
    while (job := server.door.get(address).json())["state"] == "running":
        time.sleep(LOOK_S)
    seconds = time.monotonic() - began
    quote: dict[str, Any] = job["quote"]
    assert all(line["lot_cents"] is not None for line in quote["lines"]), [line["because"] for line in quote["lines"]]
    return seconds, quote


def equal_single_plans(server: OwnServer, quote: dict[str, Any], checked: int) -> None:
    """Plan some lines one by one and hold them against the quote."""
    chosen = random.Random(2).sample([line for line in quote["lines"] if line["status"] == "optimal"], checked)
    for line in chosen:
        request = plan_request(int(line["request"][1:]), line["quantity"])
        headers = {"Prefer": "wait=30", "Cache-Control": "no-cache"}
        job = server.door.post("/v1/plans", json=request, headers=headers).json()
        while job["state"] in ("queued", "running"):
            time.sleep(LOOK_S)
            job = server.job(job["id"])
        total = job["plan"]["alternatives"][0]["cost"]["total_cents"]
        assert total == line["total_cents"], (line, total)
    print(f"{checked} lines planned one by one: equal to the cent")
