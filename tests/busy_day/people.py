"""Three people at one server for a day: a planner, a foreman and a storekeeper; on paper goes what the server acknowledged.

They know nothing of the server's arithmetic: what it refuses is not done, what it acknowledges is on paper, and at the end of the
day the paper has to agree with the store.
"""

from __future__ import annotations

import queue
import random
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import count
from typing import Any, Protocol

import httpx

from tests.concurrency.paper_shop import PaperShop, Slip
from tests.service.asked import asked

PATIENCE_S = 60.0
HORIZON = 20
"""Days ahead that kits are asked for, today being day 1."""


class Door(Protocol):
    """How somebody reaches the server."""

    @property
    def request(self) -> Callable[..., httpx.Response]:
        """Ask: method, address, and what httpx takes beside them."""
        ...


@dataclass
class Paper:
    """The day on paper, and what was done."""

    start: date
    shop: PaperShop
    lock: threading.Lock = field(default_factory=threading.Lock)
    lost: dict[str, int] = field(default_factory=dict)
    done: dict[str, int] = field(default_factory=dict)
    slowest_s: float = 0.0

    def day(self, number: int) -> str:
        return (self.start + timedelta(days=number - 1)).isoformat()

    def number(self, day: str) -> int:
        return (date.fromisoformat(day) - self.start).days + 1

    def tick(self, what: str) -> None:
        self.done[what] = self.done.get(what, 0) + 1


class Person:
    """Somebody at the door, with a seed for what comes to mind."""

    def __init__(self, name: str, door: Door, paper: Paper, seed: int) -> None:
        self.name, self.door, self.paper = name, door, paper
        self.chance, self._keys = random.Random(f"{name} {seed}"), (f"{name} {seed}/{number}" for number in count(1))

    def send(self, method: str, address: str, body: dict[str, Any], **headers: str) -> httpx.Response:
        """Write under a key of its own; one in five is sent twice, as after a lost connection, and must hear the same answer."""
        headers = {"Idempotency-Key": next(self._keys), **headers}
        first = self._patiently(method, address, body, headers)
        if self.chance.random() < 0.2:
            again = self._patiently(method, address, body, headers)
            assert (again.status_code, _same(again)) == (first.status_code, _same(first)) or first.status_code == 409
            if first.status_code == 409:
                first = again
        return first

    def _patiently(self, method: str, address: str, body: dict[str, Any], headers: dict[str, str]) -> httpx.Response:
        ends = time.monotonic() + PATIENCE_S
        while True:
            began = time.monotonic()
            answer = self.door.request(method, address, json=body, headers=headers)
            self.paper.slowest_s = max(self.paper.slowest_s, time.monotonic() - began)
            if answer.status_code != 503 or time.monotonic() > ends:
                break
            time.sleep(float(answer.headers["Retry-After"]) / 10)
        assert answer.status_code in (200, 201, 202, 409), (method, address, body, answer.status_code, answer.text)
        return answer

    def signed(self, **body: Any) -> dict[str, Any]:
        return {**body, "who": self.name, "why": "a busy day"}

    def reserve(self, first: int, last: int, *, state: str = "reserved", **what: Any) -> int | None:
        """Reserve pieces or a plan's kit; return the number, None if pieces are short."""
        days = {"from": self.paper.day(first), "to": self.paper.day(last)}
        answer = self.send("POST", "/v1/reservations", self.signed(job="posts", needed=days, state=state, **what))
        if answer.status_code == 409:
            assert all(line["free"] < line["needed"] for line in answer.json()["short"])
            self.paper.tick("short")
            return None
        made = answer.json()
        pieces = {line["item"]: line["count"] for line in made["lines"]}
        with self.paper.lock:
            assert made["id"] not in self.paper.shop.slips, "one number for two reservations"
            self.paper.shop.slips[made["id"]] = Slip(state, first, last, pieces, dict(pieces))
            self.paper.tick("reservations")
        return int(made["id"])

    def step(self, number: int, step: str, **body: Any) -> dict[str, Any] | None:
        """Take a step of a reservation's life; return it afterwards, None if it was refused. The paper follows."""
        answer = self.send("POST", f"/v1/reservations/{number}/{step}", self.signed(**body), **{"If-Match": "*"})
        if answer.status_code == 409:
            self.paper.tick(f"{step} refused")
            return None
        there: dict[str, Any] = answer.json()
        with self.paper.lock:
            slip = self.paper.shop.slips[number]
            slip.state = there["state"]
            slip.first, slip.last = (self.paper.number(there["needed"][end]) for end in ("from", "to"))
            self.paper.tick(step)
        return there


class Planner(Person):
    """Asks for plans, reserves the kits of some, and plans some again with a piece missing."""

    def work(self, plans: int, kits: queue.Queue[int | None]) -> None:
        for number in range(1, plans + 1):
            job = self.send("POST", "/v1/plans", asked("plain", seed=number % 50), Prefer="wait=20").json()
            self._ended(job)
            if number % 10 == 0:
                without = {"rank": 1, "without": {"items": {"stop-60-15": 1}}}
                job = self.send("POST", f"/v1/plans/{job['id']}/replan", without, Prefer="wait=20").json()
                self._ended(job)
                self.paper.tick("re-plans")
            if number % 3 == 0:
                first = self.chance.randint(1, HORIZON)
                made = self.reserve(first, first + self.chance.randint(0, 2), plan=job["id"], rank=1)
                if made is not None:
                    kits.put(made)

    def _ended(self, job: dict[str, Any]) -> None:
        ends = time.monotonic() + PATIENCE_S
        while job["state"] not in ("done", "failed", "cancelled") and time.monotonic() < ends:
            job = self.door.request("GET", f"/v1/plans/{job['id']}", headers={"Prefer": "wait=5"}).json()
        assert (job["state"], job["plan"]["status"]) == ("done", "optimal"), job
        self.paper.tick("plans")


class Foreman(Person):
    """Reserves pieces by hand: some at once, some proposed first; moves some, gives some up."""

    def work(self, orders: int, kits: queue.Queue[int | None]) -> None:
        items = sorted(self.paper.shop.count)
        for _ in range(orders):
            lines = [{"item": item, "count": self.chance.randint(1, 3)} for item in self.chance.sample(items, 2)]
            first = self.chance.randint(1, HORIZON)
            state = self.chance.choice(("reserved", "reserved", "proposed"))
            number = self.reserve(first, first + self.chance.randint(0, 4), state=state, lines=lines)
            if number is None or (state == "proposed" and self.step(number, "confirm") is None):
                continue
            what = self.chance.random()
            if what < 0.25:
                there = self.chance.randint(1, HORIZON)
                self.step(number, "move", needed={"from": self.paper.day(there), "to": self.paper.day(there + 1)})
            elif what < 0.4:
                self.step(number, "release")
                continue
            kits.put(number)


class Storekeeper(Person):
    """Hands kits out and takes them back, some pieces broken or missing; counts what comes and what breaks."""

    def work(self, makers: int, kits: queue.Queue[int | None]) -> None:
        items = sorted(self.paper.shop.count)
        while makers:
            number = kits.get(timeout=10 * PATIENCE_S)
            if number is None:
                makers -= 1
                continue
            self._entry(self.chance.choice(items), self.chance.choice(("break", "receive", "repair", "scrap")))
            if self.step(number, "hand_out") is not None and self.chance.random() < 0.8:
                self._take_back(number)

    def _entry(self, item: str, what: str) -> None:
        answer = self.send("POST", f"/v1/stock/{item}/entries", self.signed(do=what, pieces=1))
        if answer.status_code == 409:
            self.paper.tick(f"{what} refused")
            return
        count, broken = {"break": (0, 1), "receive": (1, 0), "repair": (0, -1), "scrap": (-1, -1)}[what]
        with self.paper.lock:
            self.paper.shop.count[item] += count
            self.paper.shop.broken[item] += broken
            self.paper.lost[item] = self.paper.lost.get(item, 0) + (what == "break")
            self.paper.tick(what)

    def _take_back(self, number: int) -> None:
        item, pieces = self.chance.choice(sorted(self.paper.shop.slips[number].out.items()))
        odd = self.chance.choice(("whole", "whole", "broken", "missing"))
        back = {"whole": pieces - (odd != "whole"), "broken": int(odd == "broken"), "missing": int(odd == "missing")}
        lines = [{"item": item, **back}]
        if self.step(number, "take_back", lines=lines) is None:
            return
        with self.paper.lock:
            state = self.paper.shop.slips[number].state
            self.paper.shop.slips[number].state = "on_the_table"
            assert self.paper.shop.take_back(number, item, **back)
            assert self.paper.shop.slips[number].state == state
            self.paper.lost[item] = self.paper.lost.get(item, 0) + (odd != "whole")


def _same(answer: httpx.Response) -> Any:
    body = answer.json()
    return body.get("id", body)
