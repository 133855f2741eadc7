"""Every example of the description works on the demo shop, in an order in which one makes what the next one needs."""

from __future__ import annotations

import asyncio
import time
from pathlib import Path
from typing import Any

import httpx
import pytest

from service.demo import stock_document
from service.documents import read_stock
from service.documents.plan_document import sound_plan_document
from service.http.app import create_app
from service.settings import Settings
from service.stockroom.first_stock import fill_if_empty
from service.stockroom.stock_source import StoreStock
from solver.planning import plan
from tests.service.http.shop import Shop
from tests.service.page.comparing.finished import finished

STEPS = (
    ("submit_plan", "/v1/plans"),
    ("submit_quote", "/v1/quotes"),
    ("draw_weldment", "/v1/weldments/drawing"),
    ("propose_seams", "/v1/weldments/seams"),
    ("add_item", "/v1/items"),
    ("change_item", "/v1/items/adj-25"),
    ("add_table", "/v1/tables"),
    ("change_table", "/v1/tables/T1"),
    ("record_entry", "/v1/stock/riser-40/entries"),
    ("recount_stock", "/v1/stock/riser-40"),
    ("import_stock", "/v1/stock/import?who=planner"),
    ("reserve", "/v1/reservations"),
    ("move", "/v1/reservations/{made}/move"),
    ("hand_out", "/v1/reservations/{made}/hand_out"),
    ("take_back", "/v1/reservations/{made}/take_back"),
    ("confirm_reservation", "/v1/reservations/{proposed}/confirm"),
    ("release", "/v1/reservations/{proposed}/release"),
    ("expire_reservations", "/v1/reservations/expire"),
    ("report_measured", "/v1/plans/{plan}/measured"),
    ("import_measured", "/v1/measured/import?who=fitter"),
    ("ask_what_if", "/v1/rules/what-if"),
    ("make_rule_book", "/v1/rules"),
    ("import_rule_books", "/v1/rules/import"),
    ("add_rule_book_version", "/v1/rules/acme/versions"),
    ("use_rule_book", "/v1/rules/in-use"),
    ("store_weldment", "/v1/weldments?who=designer&id=post"),
    ("change_stored_weldment", "/v1/weldments/post?who=designer"),
    ("make_key", "/v1/keys"),
)
OF_ONE_MADE = (
    "add_webhook", "change_webhook", "test_webhook", "retry_delivery", "sign_in", "submit_week", "reserve_week",
    "read_weldment_file", "read_item_file",
)  # fmt: skip
"""Those that need a name server, the id or the secret of what was made, or a form; `test_webhooks.py`, `test_sign_in.py`,
`test_weeks.py`, `test_read_weldment.py` and `test_item_files.py` send them."""
SOLVED = ("check_plan", "submit_advice", "replan", "ask_why")
"""Those that need a solver."""


def bodies(description: dict[str, Any]) -> dict[str, tuple[str, dict[str, Any]]]:
    """Return by operation its method, and its examples by media type."""
    return {
        operation["operationId"]: (method.upper(), {media: one["example"] for media, one in found["content"].items()})
        for methods in description["paths"].values()
        for method, operation in methods.items()
        if (found := operation.get("requestBody")) is not None
    }


@pytest.fixture
def demo(tmp_path: Path) -> Shop:
    shop = Shop(f"sqlite:///{tmp_path / 'shop.sqlite3'}")
    fill_if_empty(shop.store, read_stock(stock_document()))
    return shop


def test_every_example_works_on_the_demo_shop(demo: Shop) -> None:
    examples = bodies(demo.ask("GET", "/openapi.json").json())
    assert {name for name, _ in STEPS} | {*SOLVED, *OF_ONE_MADE} == set(examples)
    sound_plan_document(examples["check_plan"][1]["application/json"]["plan"])
    order = examples["reserve"][1]["application/json"]
    proposed = demo.ask("POST", "/v1/reservations", {**order, "state": "proposed"}).json()["id"]
    made, plan_id = proposed + 1, finished(demo.records)
    for name, address in STEPS:
        method, by_media = examples[name]
        for media, body in by_media.items():
            headers = {"Content-Type": media, "If-Match": "*"}
            given: dict[str, Any] = {"content": body.encode()} if isinstance(body, str) else {"json": body}
            answer = demo.ask(method, address.format(made=made, proposed=proposed, plan=plan_id), headers=headers, **given)
            assert answer.status_code in (200, 201, 202), (name, answer.text)
            if name == "take_back":
                assert answer.json()["state"] == "returned"
    demo.store.close()


@pytest.mark.slow
def test_every_example_that_needs_a_solver_works_on_the_demo_shop(demo: Shop) -> None:
    app = create_app(Settings(hosts="*"), StoreStock(demo.store), demo.records, plan)
    lifespan = app.router.lifespan_context(app)

    async def all_asked() -> None:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app), base_url="http://shop", timeout=200) as door:
            examples = {
                name: each["application/json"]
                for name, (_, each) in bodies((await door.get("/openapi.json")).json()).items()
                if "application/json" in each
            }
            job = (await door.post("/v1/plans", json=examples["submit_plan"] | {"time_limit_s": 180})).json()
            ends = time.monotonic() + 200
            while (job := (await door.get(f"/v1/plans/{job['id']}")).json())["state"] in ("queued", "running"):
                assert time.monotonic() < ends, job["progress"]
                await asyncio.sleep(0.2)
            assert job["plan"]["alternatives"]
            for name, address in (
                ("check_plan", "/v1/checks"), ("replan", f"/v1/plans/{job['id']}/replan"), ("ask_why", f"/v1/plans/{job['id']}/why"),
                ("submit_advice", "/v1/stock/advice"),
            ):  # fmt: skip
                answer = await door.post(address, json=examples[name])
                assert answer.status_code in (200, 202), (name, answer.text)

    with asyncio.Runner() as loop:
        loop.run(lifespan.__aenter__())
        try:
            loop.run(all_asked())
        finally:
            loop.run(lifespan.__aexit__(None, None, None))
            demo.store.close()
