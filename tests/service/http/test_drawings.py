"""Weldments and hardware drawn over HTTP: by name or by Accept, kept by what they depend on; documents stay the default."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from service.demo import job_document, stock_document
from service.documents import read_stock
from service.documents.weldment import read_weldment
from service.drawings.file_format import FileFormat, installed
from service.drawings.items.item_formats import ITEM_FORMATS
from service.drawings.items.shown_items import ShownItems
from service.drawings.sheets.body_orders import BodyOrder, ItemsOrder, WeldmentOrder
from service.drawings.sheets.sheet_order import draw
from service.drawings.weldment.weldment_formats import WELDMENT_FORMATS
from service.http.sheets import sheet_pool
from service.settings import Settings
from solver.weldment import Weldment
from tests.service.http.conftest import House, opened

LUG = json.loads(job_document("hinge-lug"))["weldment"]
SHELF = read_stock(stock_document())
ADDRESS = "/v1/weldments/drawing"


@pytest.fixture(scope="module")
def drawing_house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A house with the demo shop's shelf, which draws in this process."""
    for house in opened(tmp_path_factory.mktemp("house"), Settings(grace=0.5), shelf=SHELF):
        pool = sheet_pool.SheetPool(30)

        async def drawn(order: BodyOrder) -> bytes:
            return draw(order)

        pool._draw = drawn  # type: ignore[method-assign,assignment]
        house.app.state.context = replace(house.app.state.context, sheets=pool)
        yield house


@pytest.mark.parametrize("format", installed(WELDMENT_FORMATS).values(), ids=list(installed(WELDMENT_FORMATS)))
def test_a_weldment_is_drawn_in_what_accept_likes_best(drawing_house: House, format: FileFormat[Weldment]) -> None:
    first = next(each for each in WELDMENT_FORMATS.values() if each.media_type == format.media_type)
    answer = drawing_house.call("POST", ADDRESS, json=LUG, headers={"Accept": f"text/plain, {format.media_type};q=0.5"})
    assert answer.content == first.content(read_weldment(LUG))
    answer = drawing_house.call("POST", f"{ADDRESS}?format={format.name}", json=LUG)
    assert (answer.status_code, answer.headers["content-type"], answer.headers["Vary"]) == (200, format.media_type, "Accept")
    assert answer.content == format.content(read_weldment(LUG))
    assert answer.headers["Content-Disposition"].endswith(f'; filename="Gate rail with hinge lug{format.suffix}"')
    again = drawing_house.call("POST", f"{ADDRESS}?format={format.name}", json=LUG)
    assert again.headers["ETag"] == answer.headers["ETag"]
    held = drawing_house.call(
        "POST", f"{ADDRESS}?format={format.name}", json=LUG, headers={"If-None-Match": again.headers["ETag"]}
    )
    assert (held.status_code, held.content) == (304, b"")


def test_what_is_wrong_with_a_drawing_is_said(drawing_house: House) -> None:
    bad = drawing_house.call("POST", ADDRESS, json={**LUG, "parts": []})
    assert (bad.status_code, bad.json()["faults"][0]["pointer"]) == (422, "/parts")
    asked = drawing_house.call("POST", f"{ADDRESS}?format=pdf&format=svg&x=1", json=LUG)
    assert [fault["pointer"] for fault in asked.json()["faults"]] == ["/query/format", "/query/x"]
    none = drawing_house.call("POST", ADDRESS, json=LUG, headers={"Accept": "text/plain"})
    assert (none.status_code, none.headers["Vary"]) == (406, "Accept")
    assert all(each.media_type in none.json()["faults"][0]["accepted"] for each in installed(WELDMENT_FORMATS).values())


@pytest.mark.parametrize("format", installed(ITEM_FORMATS).values(), ids=list(installed(ITEM_FORMATS)))
def test_an_item_is_drawn_where_that_is_liked_better(drawing_house: House, format: FileFormat[ShownItems]) -> None:
    liked = {"Accept": f"application/json;q=0.5, {format.media_type}"}
    answer = drawing_house.call("GET", "/v1/items/square-60", headers=liked)
    assert answer.content == format.content(ShownItems((SHELF.items["square-60"],), 40.0))
    assert 'filename="square-60' in answer.headers["Content-Disposition"]
    page = drawing_house.call("GET", "/v1/items?kind=pin", headers=liked)
    pins = tuple(item for item in SHELF.items.values() if item.kind == "pin")
    assert page.content == format.content(ShownItems(tuple(sorted(pins, key=lambda item: item.id)), 40.0))


@pytest.mark.parametrize("accept", ["", "*/*", "application/json", "text/html,*/*;q=0.8", "image/svg+xml;q=0.5,application/json"])
def test_documents_are_what_is_answered_otherwise(drawing_house: House, accept: str) -> None:
    answer = drawing_house.call("GET", "/v1/items/square-60", headers={"Accept": accept})
    assert (answer.json()["id"], answer.headers["ETag"], answer.headers["Vary"]) == ("square-60", '"1"', "Accept")
    assert drawing_house.call("GET", "/v1/items", headers={"Accept": accept}).json()["items"]


def test_what_is_not_there_is_not_drawn(drawing_house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    svg = {"Accept": "image/svg+xml"}
    assert drawing_house.call("GET", "/v1/items/none", headers=svg).status_code == 404
    assert drawing_house.call("GET", "/v1/items?text=nothing", headers=svg).status_code == 404
    missing = {**ITEM_FORMATS, "step": replace(ITEM_FORMATS["step"], needs="no_such_library")}
    monkeypatch.setattr("service.http.routes.items.ITEM_FORMATS", missing)
    refused = drawing_house.call("GET", "/v1/items/square-60", headers={"Accept": "model/step"})
    assert (refused.status_code, refused.json()["type"]) == (406, "/v1/problems/not-acceptable")


def test_the_key_of_a_drawing_is_all_that_it_is_drawn_from() -> None:
    orders = (
        ItemsOrder(("{}",), "svg", None), ItemsOrder(("{}",), "svg", 40.0), ItemsOrder(("{}", "{}"), "svg", None),
        ItemsOrder(("{}",), "dxf", None), WeldmentOrder(("{}",), "svg"), WeldmentOrder(("[]",), "svg"),
    )  # fmt: skip
    assert len({order.key for order in orders}) == len(orders)
    assert WeldmentOrder(("{}",), "svg").key == WeldmentOrder(("{}",), "svg").key


def test_every_format_is_on_the_page_of_files() -> None:
    page = (Path(__file__).parents[3] / "docs" / "files.md").read_text(encoding="utf-8")
    told = page[page.index("## Weldments and hardware") :]
    suffixes = [each.suffix for each in WELDMENT_FORMATS.values()] + [each.suffix for each in ITEM_FORMATS.values()]
    assert all(f"`{suffix}`" in told for suffix in suffixes)
