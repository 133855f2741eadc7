"""`holdwright draw` and `holdwright stock draw`: weldments, requests, items and catalogues; what is refused says why."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from service.command_line.draw import draw_document, draw_items
from service.command_line.exit_code import run
from service.demo import job_document, stock_document
from service.documents import item_document, read_stock
from service.documents.weldment import read_weldment
from service.drawings.items.item_formats import ITEM_FORMATS
from service.drawings.items.shown_items import ShownItems
from service.drawings.weldment.weldment_formats import WELDMENT_FORMATS

REQUEST = json.loads(job_document("hinge-lug"))
STOCK = read_stock(stock_document())


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "request.json").write_text(json.dumps(REQUEST))
    (tmp_path / "weldment.json").write_text(json.dumps(REQUEST["weldment"]))
    (tmp_path / "item.json").write_text(json.dumps(item_document(STOCK.items["square-60"])))
    (tmp_path / "stock.json").write_bytes(stock_document())
    return tmp_path


@pytest.mark.parametrize("document", ["weldment.json", "request.json"])
@pytest.mark.parametrize("name", ["svg", "dxf", "plates", "glb"])
def test_a_weldment_is_drawn_as_the_ending_says(folder: Path, document: str, name: str) -> None:
    out = folder / f"lug{WELDMENT_FORMATS[name].suffix.upper()}"
    assert run(lambda: draw_document(folder / document, out, None, None)) == 0
    assert out.read_bytes() == WELDMENT_FORMATS[name].content(read_weldment(REQUEST["weldment"]))


def test_an_item_is_drawn_by_its_document_and_by_its_id(folder: Path) -> None:
    square = STOCK.items["square-60"]
    assert run(lambda: draw_document(folder / "item.json", folder / "a.dxf", None, 50.0)) == 0
    assert (folder / "a.dxf").read_bytes() == ITEM_FORMATS["dxf"].content(ShownItems((square,), 50.0))
    assert run(lambda: draw_items(["square-60"], folder / "stock.json", None, folder / "b", "svg")) == 0
    assert (folder / "b").read_bytes() == ITEM_FORMATS["svg"].content(ShownItems((square,), 40.0))


def test_the_whole_catalogue_is_drawn_by_id(folder: Path) -> None:
    assert run(lambda: draw_items([], folder / "stock.json", None, folder / "all.dxf", None)) == 0
    items = tuple(STOCK.items[id] for id in sorted(STOCK.items))
    assert (folder / "all.dxf").read_bytes() == ITEM_FORMATS["dxf"].content(ShownItems(items, 40.0))


def test_what_cannot_be_drawn_is_said(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(lambda: draw_document(folder / "stock.json", folder / "a.svg", None, None)) == 2
    assert "stock.json#/format: is missing; accepted: a document of format holdwright.weldment/1" in capsys.readouterr().err
    assert run(lambda: draw_document(folder / "weldment.json", folder / "a.xyz", None, None)) == 2
    assert "no format ends in '.xyz'; accepted: one of .svg, .dxf, .plates.dxf, .glb" in capsys.readouterr().err
    assert run(lambda: draw_items(["square-6", "pin"], folder / "stock.json", None, folder / "a.svg", None)) == 2
    assert "ITEM: there is no item 'square-6'; accepted: an item's id; did you mean 'square-60'?" in capsys.readouterr().err
    assert run(lambda: draw_items([], None, f"sqlite:///{folder}/none.sqlite3", folder / "a.svg", None)) == 2
    assert "there is no store" in capsys.readouterr().err
    broken = {**REQUEST, "weldment": {**REQUEST["weldment"], "parts": []}}
    (folder / "request.json").write_text(json.dumps(broken))
    assert run(lambda: draw_document(folder / "request.json", folder / "a.svg", None, None)) == 2
    assert "request.json#/weldment/parts" in capsys.readouterr().err
    assert not list(folder.glob("a.*"))
