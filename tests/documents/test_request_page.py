"""Every document on the page about requests is read by its own reader, geometry included."""

from __future__ import annotations

import json

from service.demo import stock_document
from service.documents import read_item, read_request, read_stock, read_weldment
from tests.documents.pages import ROOT, blocks

READERS = {
    "holdwright.request/1": lambda text: read_request(text, read_stock(stock_document())),
    "holdwright.weldment/1": read_weldment,
    "holdwright.item/1": read_item,
}


def test_every_document_on_the_page_reads_without_fault() -> None:
    found = [block for block in blocks(ROOT / "docs" / "request.md") if block.kind == "json"]
    formats = [json.loads(block.text).get("format") for block in found]
    assert set(formats) == {*READERS, None}
    for block, name in zip(found, formats, strict=True):
        READERS.get(name, read_stock)(block.text)
