"""Every screen of the page, for tests that go over all of them: add a line for each new one.

A screen is an address, or a function that prepares the shared server of the demo shop and returns one; it leaves the stock as it is.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import cache

from service.demo import job_document
from tests.browser.finished_jobs import finished_job
from tests.browser.visits import SCHEMES, SIZES, Scheme, Size
from tests.service.served import OwnServer

Screen = str | Callable[[OwnServer], str]
LOOKS: tuple[tuple[Size, Scheme], ...] = tuple((size, scheme) for size in SIZES for scheme in SCHEMES)
"""Every size in every light."""

LONG_NAME = "Guard " + "frame-for-conveyor-" * 9 + "and its gate"


@cache
def address(name: str, server: OwnServer) -> str:
    """Return where a screen is on a server, prepared once."""
    screen = SCREENS[name]
    return screen if isinstance(screen, str) else screen(server)


@cache
def planned(server: OwnServer, job: str = "tee") -> str:
    """Return the id of a demo job that was planned."""
    answer = server.door.post("/v1/plans", json=json.loads(job_document(job)))
    id = str(answer.raise_for_status().json()["id"])
    server.until(id, "done", seconds=300)
    return id


@cache
def drafted(server: OwnServer, example: str = "tee") -> str:
    """Return the id of a draft that was begun from an example."""
    answer = server.door.post(
        "/weldments", data={"from": "example", "example": example}, headers={"Sec-Fetch-Site": "same-origin"}
    )
    assert answer.status_code == 303, answer.text
    return answer.headers["location"].rpartition("/")[2]


SCREENS: Mapping[str, Screen] = {
    "jobs": lambda server: finished_job(server) and "/",
    "alternatives": lambda server: finished_job(server, dear=True),
    "a re-plan": lambda server: finished_job(server, "tee-again"),
    "one alternative": lambda server: f"{finished_job(server)}/1",
    "a picked piece": lambda server: f"{finished_job(server)}/1?pick=piece:p8&entry=broken:p1&shown=all",
    "how long it took": lambda server: f"{finished_job(server)}/1/measured",
    "print": lambda server: f"{finished_job(server)}/1/print",
    "a long name": lambda server: f"{finished_job(server, name=LONG_NAME)}/1",
    "74 pieces": lambda server: f"{finished_job(server, 'frame-20')}/1",
    "74 pieces at a glance": lambda server: finished_job(server, "frame-20"),
    "no plan": lambda server: f"/jobs/{planned(server, 'one-clamp-short')}",
    "starts": "/weldments",
    "draft": lambda server: f"/weldments/{drafted(server)}",
    "a part to be added": lambda server: f"/weldments/{drafted(server)}?chosen=new&shape=plate",
    "a part": lambda server: f"/weldments/{drafted(server, 'braced-frame')}?chosen=part:5",
    "a weld": lambda server: f"/weldments/{drafted(server)}?chosen=weld:0",
    "keep a draft": lambda server: f"/weldments/{drafted(server)}/store",
    "ask": lambda server: f"/weldments/{drafted(server)}/ask",
    "stock": "/store",
    "item": "/store/items/stop-25-15",
    "reservations": "/store/reservations?rows=item",
    "new reservation": lambda server: f"/store/reservations/new?plan={finished_job(server).removeprefix('/jobs/')}",
    "import": "/store/import",
    "advice": "/store/advice",
    "rules": "/rules",
    "what if": "/rules/what-if?change=rate.labour_cents_per_hour%3D6100",
    "settings": "/settings",
    "sign in": "/sign-in",
    "nothing there": "/no/such/screen",
    "reference": "/docs",
}
"""Every screen by its name."""
SHORT = ("jobs", "alternatives", "one alternative", "print", "draft", "ask", "stock", "new reservation", "rules")
"""What a plain run of the tests looks at: a screen or two of each kind."""
LONG = {"74 pieces", "no plan", "reference"}
"""What takes the solver or axe-core long: the keyboard does not go round there."""
