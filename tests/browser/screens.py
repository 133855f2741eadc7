"""Every screen of the page, for tests that go over all of them: add a line for each new one.

A screen is an address, or a function that prepares the shared server of the demo shop and returns one; it leaves the stock as it is.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from functools import cache

from service.demo import job_document
from tests.browser.visits import SCHEMES, SIZES, Scheme, Size
from tests.service.served import OwnServer

Screen = str | Callable[[OwnServer], str]


def begun(server: OwnServer, example: str) -> str:
    """Return the address of a draft begun from an example."""
    form = {"from": "example", "example": example}
    led = server.door.post("/weldments", data=form, headers={"Sec-Fetch-Site": "same-origin", "Accept": "text/html"})
    return str(led.headers["location"])


def without_plan(server: OwnServer) -> str:
    """Return the address of a job that found no plan in the time it had."""
    request = {**json.loads(job_document("shut-pocket")), "time_limit_s": 0.1}
    job = server.door.post("/v1/plans", json=request, headers={"Prefer": "wait=20"}).json()
    return f"/jobs/{job['id']}"


SCREENS: Mapping[str, Screen] = {
    "jobs": "/",
    "rules": "/rules",
    "ask": lambda server: f"{begun(server, 'hinge-lug')}/ask",
    "job without a plan": without_plan,
    "settings": "/settings",
    "sign in": "/sign-in",
    "nothing there": "/no/such/screen",
    "reference": "/docs",
}
"""Every screen by its name."""
LONG = {"reference"}
"""What takes axe-core seconds: looked at by the long suite alone."""
LOOKS: tuple[tuple[Size, Scheme], ...] = tuple((size, scheme) for size in SIZES for scheme in SCHEMES)
"""Every size in every light."""


@cache
def address(name: str, server: OwnServer) -> str:
    """Return where a screen is on a server, prepared once."""
    screen = SCREENS[name]
    return screen if isinstance(screen, str) else screen(server)
