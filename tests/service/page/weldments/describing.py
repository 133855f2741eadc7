"""Somebody who describes a weldment without a browser: sends what its forms send, and reads what comes back."""

from __future__ import annotations

import re
from dataclasses import dataclass

import httpx

from tests.service.http.conftest import House

BROWSER = {"Accept": "text/html,application/xhtml+xml,*/*;q=0.8"}
OURS = {**BROWSER, "Sec-Fetch-Site": "same-origin"}
SCRIPT = {**OURS, "HX-Request": "true"}


@dataclass
class Describer:
    """A draft on the screen, as the page's script sees it."""

    house: House
    address: str
    step: int = 1
    chosen: str = "new"

    @classmethod
    def start(cls, house: House, units: str = "mm") -> Describer:
        """Begin with an empty weldment."""
        answer = house.call("POST", "/weldments", data={"from": "blank", "units": units}, headers=OURS)
        return cls(house, answer.headers["Location"])

    def do(self, do: str, *, step: int | None = None, chosen: str | None = None, **fields: str) -> httpx.Response:
        """Send a form, and go on from what comes back."""
        form = {"do": do, "step": str(self.step if step is None else step), "chosen": chosen or self.chosen, **fields}
        answer = self.house.call("POST", self.address, data=form, headers=SCRIPT)
        found = re.search(r'data-step="(\d+)"', answer.text)
        if found:
            self.step = int(found[1])
        return answer

    def look(self, chosen: str = "new") -> str:
        """Return the screen with something picked."""
        return self.house.call("GET", f"{self.address}?chosen={chosen}", headers=BROWSER).text

    def tab_on_tube(self) -> Describer:
        """Add a tube and a plate on it."""
        self.do("add-part", shape="square_tube")
        self.do("add-part", shape="plate", on="tube")
        return self
