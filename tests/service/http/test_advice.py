"""What should we buy, over HTTP: refusals, and advice whose every figure comes from a plan."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Container, Mapping
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.demo import stock_document
from service.documents import read_stock
from service.stockroom.first_stock import fill_if_empty
from tests.service.http.shop import Shop


def test_advice_refuses_what_it_cannot_read(shop: Shop) -> None:
    def pointers(**body: Any) -> set[str]:
        answer = shop.ask("POST", "/v1/stock/advice", body)
        assert answer.status_code == 422
        return {fault["pointer"] for fault in answer.json()["faults"]}

    assert pointers() == {"/budget_cents", "/requests"}
    assert pointers(budget_cents=100, requests=[]) == {"/requests"}
    assert pointers(budget_cents=-1, requests=[{"request": {}, "times": 0}]) == {"/budget_cents", "/requests/0/times"}
    bad = pointers(budget_cents=100, requests=[{"request": {"format": "holdwright.request/1", "colour": 1}}])
    assert {"/requests/0/request/colour", "/requests/0/request/weldment"} <= bad
    long = pointers(budget_cents=1, requests=[{"request": {}}], time_limit_s=3000)
    assert {"/time_limit_s", "/requests/0/request/weldment"} <= long


def advised(tmp_path: Path, request: dict[str, Any], items: Container[str] = (), **more: Any) -> dict[str, Any]:
    """Ask a shop that has some of the demo shelf, but no toggle clamp, what it should buy."""
    stock = json.loads(stock_document())
    if items:
        stock["items"] = [item for item in stock["items"] if item["id"] in items]
        stock["stock"] = [line for line in stock["stock"] if line["item"] in items]
    for line in stock["stock"]:
        if line["item"].startswith("toggle"):
            line.update(count=0, out_of_service=0, reserved=0)
    shop = Shop(f"sqlite:///{tmp_path / 'shop.sqlite3'}")
    try:
        assert fill_if_empty(shop.store, read_stock(stock))
        body = {"requests": [{"request": request, "times": 12}], **more}
        with asyncio.Runner() as loop:
            return loop.run(answered(shop, body))
    finally:
        shop.store.close()


async def answered(shop: Shop, body: dict[str, Any]) -> dict[str, Any]:
    """Ask a shop that is open for as long as the answer takes."""
    async with (
        shop.app.router.lifespan_context(shop.app),
        httpx.AsyncClient(transport=httpx.ASGITransport(shop.app), base_url="http://shop", timeout=60) as door,
    ):
        taken = await door.post("/v1/stock/advice", json=body)
        assert taken.status_code == 202, taken.text
        job = taken.json()
        while job["state"] in ("queued", "running"):
            job = (await door.get(taken.headers["location"], headers={"Prefer": "wait=20"})).json()
        assert job["state"] == "done", job
        return dict(job["advice"])


def saves_by_planned_figures(answer: Mapping[str, Any]) -> None:
    (job,) = answer["jobs"]
    assert job["now_cents"] - job["then_cents"] == answer["saving_cents"] > 0
    assert answer["least_cents"] <= job["then_cents"]
    assert sum(line["price_cents"] * line["count"] for line in answer["buy"]) == answer["spent_cents"] <= answer["budget_cents"]


def test_advice_on_one_bar(tmp_path: Path) -> None:
    """Long runs pay for a toggle clamp: it shuts sooner than a screw; nothing else on this shelf is worth buying."""
    request = json.loads(Path("service/demo/jobs/tee.json").read_text())
    bar = {"id": "bar", "material": "steel", "section": {"shape": "square_tube", "width": 80, "wall": 4}, "length": 300}
    part = {**bar, "pose": {"at": [0, 0, 40], "along": [1, 0, 0], "up": [0, 0, 1]}}
    request["weldment"] = {"format": "holdwright.weldment/1", "name": "bar", "units": "mm", "parts": [part], "welds": []}
    request.update(quantity=300, alternatives=1)
    answer = advised(tmp_path, request, {"stop-25-20", "dowel-16", "screw-push", "toggle-push"}, budget_cents=30000)
    assert [(line["item"], line["count"]) for line in answer["buy"]] == [("toggle-push", 1)]
    saves_by_planned_figures(answer)
    assert answer["complete"]


@pytest.mark.slow
def test_advice_on_a_real_job(tmp_path: Path) -> None:
    """Without toggle clamps the tab's run takes longer; buying one is worth its saving, by planned figures alone."""
    request = json.loads(Path("service/demo/jobs/hinge-tab.json").read_text())
    answer = advised(tmp_path, request, budget_cents=30000, time_limit_s=200)
    assert answer["buy"][0]["item"].startswith("toggle")
    saves_by_planned_figures(answer)
