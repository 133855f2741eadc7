"""A server asked for far too much at once: what others wait meanwhile, what memory it takes, and whether it stops in time.

python -m tests.benchmarks flood [--stops N]

60 real jobs with a limit of 2 s come at once; 75 requests for advice, whose askers leave after 3 s, and 60 plans of 0.9 MB come at
once; each of several servers is then told to stop with such work in hand.
"""

from __future__ import annotations

import json
import signal
import tempfile
import threading
import time
from collections import Counter
from concurrent.futures import Future, ThreadPoolExecutor
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

import httpx

from service.demo import job_document
from tests.benchmarks.service_load import say, timed
from tests.databases import new_database
from tests.service.asked import asked
from tests.service.served import OwnServer

ADVICE, PLANS, STOPS = 75, 60, 9
LIMITED, LIMIT_S = ("hinge-lug", "open-tab"), 2.0
LEAVES_AFTER_S, LOOKED_FOR_S = 3.0, 30.0
QUIET = ("/healthz", "/readyz", "/v1/stock", "/v1/plans")
CORNERS, PLATES = 900, 47
_SEEDS = count(1)


def report(stops: int) -> None:
    """Print what became of the flood, what others waited, and how long each stop took."""
    with tempfile.TemporaryDirectory() as folder:
        server = OwnServer(Path(folder), new_database("sqlite", Path(folder)), "real", workers="2")
        try:
            _short_of_time(server)
            _flooded(server)
        finally:
            server.leave()
    for _ in range(stops):
        with tempfile.TemporaryDirectory() as folder:
            server = OwnServer(Path(folder), new_database("sqlite", Path(folder)), "real", workers="2")
            try:
                _stopped(server)
            finally:
                server.leave()


def _short_of_time(server: OwnServer) -> None:
    """Ask for real plans in so little time that not all can be proved, all at once, and say how they ended."""
    for name in LIMITED:
        ids = []
        for seed in range(1, PLANS + 1):
            request = json.loads(job_document(name)) | {"time_limit_s": LIMIT_S, "seed": seed}
            while (answer := server.door.post("/v1/plans", json=request)).status_code == 503:
                time.sleep(int(answer.headers["retry-after"]))
            ids.append(answer.json()["id"])
        ends = Counter(server.until(id, "done", "failed", seconds=600)["plan"]["status"] for id in ids)
        print(
            f"{PLANS} x {name}, {LIMIT_S:g} s each: {', '.join(f'{times} {end}' for end, times in ends.most_common())}",
            flush=True,
        )


def _flooded(server: OwnServer) -> None:
    before = _resident_mb(server)
    done = threading.Event()
    with ThreadPoolExecutor(ADVICE + PLANS + len(QUIET)) as pool:
        looks = {address: pool.submit(_looked, server, address, done) for address in QUIET}
        advice = [pool.submit(_sent, server, "/v1/stock/advice", _advice(), LEAVES_AFTER_S) for _ in range(ADVICE)]
        plans = [pool.submit(_sent, server, "/v1/plans", large_request(), 600) for _ in range(PLANS)]
        try:
            print(f"{ADVICE} requests for advice: {_counted(advice)}")
            print(f"{PLANS} plans of {len(json.dumps(large_request())) / 1e6:.2f} MB: {_counted(plans)}")
            time.sleep(LOOKED_FOR_S)
        finally:
            done.set()
        for address, times in looks.items():
            say(f"GET {address}", times.result())
            print(f"  slowest {max(times.result()):.0f} ms of {len(times.result())}")
    print(f"memory {before:.0f} MB before, {_resident_mb(server):.0f} MB after, {_resident_mb(server, 'VmHWM'):.0f} MB at most")


def _stopped(server: OwnServer) -> None:
    """Tell a server to stop while advice and plans are worked on, waited for and still read."""
    with ThreadPoolExecutor(24) as pool:
        bodies = [("/v1/stock/advice", _advice()), ("/v1/plans", large_request()), ("/v1/plans", asked(seed=next(_SEEDS)))] * 8
        sent = [pool.submit(_sent, server, address, body, 120, {"Prefer": "wait=60"}) for address, body in bodies]
        time.sleep(1.5)
        began = time.monotonic()
        server.process.send_signal(signal.SIGTERM)
        code = server.process.wait(180)
        print(f"stopped in {time.monotonic() - began:.1f} s, exit code {code}; those who waited: {_counted(sent)}", flush=True)


def large_request() -> dict[str, Any]:
    """Return a request of 0.9 MB: the main demo job with many plates of many corners beside it."""
    request = asked(seed=next(_SEEDS))
    teeth = [[round(100 * k / CORNERS, 6), 40 + 0.123456 * (k % 2)] for k in range(CORNERS - 2, -1, -1)]
    outline = [[0, 0], [100, 0], *teeth]
    for number in range(PLATES):
        pose = {"at": [0, 100.0 * number + 200, 0], "along": [0, 0, 1], "up": [0, 1, 0]}
        section = {"shape": "plate", "outline": outline, "thickness": 20}
        request["weldment"]["parts"].append({"id": f"comb-{number}", "material": "steel", "section": section, "pose": pose})
    return request


def _advice() -> dict[str, Any]:
    request = asked(seed=next(_SEEDS))
    return {"requests": [{"request": request, "times": 12}], "budget_cents": 100_000, "time_limit_s": 20}


def _sent(server: OwnServer, path: str, body: dict[str, Any], patience_s: float, headers: dict[str, str] | None = None) -> str:
    """Post a document and return the status and the kind of content, or what became of the connection."""
    try:
        answer = httpx.post(server.door.base_url.join(path), json=body, timeout=patience_s, headers=headers)
    except httpx.TransportError as error:
        return type(error).__name__
    kind = answer.headers["content-type"].partition(";")[0]
    return f"{answer.status_code} {kind}" + (" Retry-After" if "retry-after" in answer.headers else "")


def _looked(server: OwnServer, address: str, done: threading.Event) -> list[float]:
    """Return how long an address took each time, ms, again and again until it is enough."""
    times = []
    with httpx.Client(base_url=server.door.base_url, timeout=120) as door:
        while not done.is_set():
            times.append(timed(partial(door.get, address)))
            time.sleep(0.05)
    return times


def _counted(sent: list[Future[str]]) -> str:
    return ", ".join(f"{times} x {what}" for what, times in Counter(each.result() for each in sent).most_common())


def _resident_mb(server: OwnServer, what: str = "VmRSS") -> float:
    lines = Path(f"/proc/{server.process.pid}/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(what)) / 1024
