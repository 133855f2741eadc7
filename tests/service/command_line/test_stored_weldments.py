"""Stored weldments on the command line: kept, listed, shown, and named by requests that are planned from the store."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from inventory.store import open_store
from service.command_line.main import app
from service.command_line.sources import read_question
from service.documents import read_stock, request_document, stock_document
from service.documents.weldment import EXAMPLE as WELDMENT
from service.records.jobs import JobRecords
from service.stockroom.first_stock import fill_if_empty
from tests import builders as b
from tests.shelf import READERS

Run = Callable[..., Result]
DB = "sqlite:///shop.sqlite3"
SHELF = b.shelf((b.stop(), 4), (b.down_clamp(), 1))
REQUEST = request_document(b.request(b.weldment(b.bar(width=50, thickness=20, length=260, at=(0, 0, 10))), alternatives=1))


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run commands on a store with a weldment in two versions."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOLDWRIGHT_DB", DB)
    store = open_store(DB, READERS)
    JobRecords(store, "tests", 10, 24).create()
    fill_if_empty(store, read_stock(stock_document(SHELF)))
    store.close()
    for name in ("bar", "bar, drilled"):
        Path("bar.json").write_text(json.dumps({**REQUEST["weldment"], "name": name}))
        done = CliRunner().invoke(app, ["weldments", "add", "bar.json", "--id", "bar", "--by", "ann", "--why", "new"])
        assert done.exit_code == 0, done.output
    return lambda *words: CliRunner().invoke(app, list(words))


def test_versions_are_kept_listed_and_shown(run: Run) -> None:
    Path("post.json").write_text(json.dumps(WELDMENT))
    added = json.loads(run("weldments", "add", "post.json", "--source", "bar.json", "--json").stdout)
    assert (added["id"], added["version"], added["source"]["name"]) == ("hinge-post", 1, "bar.json")
    assert run("weldments", "add", "post.json", "--id", "hinge-post").stdout == "hinge-post says the same already: version 1\n"
    assert [each["id"] for each in json.loads(run("weldments", "list", "--json").stdout)["weldments"]] == ["bar", "hinge-post"]
    assert "bar, drilled" in run("weldments", "list", "BAR").stdout
    versions = json.loads(run("weldments", "history", "bar", "--json").stdout)["versions"]
    assert [(each["version"], each["name"], each["by"], each["why"]) for each in versions] == [
        (2, "bar, drilled", "ann", "new"), (1, "bar", "ann", "new"),
    ]  # fmt: skip
    assert json.loads(run("weldments", "show", "bar", "--version", "1").stdout)["name"] == "bar"
    assert run("weldments", "show", "bar", "--out", "bar.svg").exit_code == 0
    assert Path("bar.svg").read_text().startswith("<svg")


def test_what_is_not_there_and_what_is_no_weldment_are_told(run: Run) -> None:
    assert run("weldments", "show", "gate").exit_code == 2
    Path("bad.json").write_text(json.dumps({**WELDMENT, "parts": []}))
    refused = run("weldments", "add", "bad.json")
    assert (refused.exit_code, "/parts" in refused.stderr) == (2, True)


def test_a_request_names_a_stored_weldment(run: Run) -> None:
    Path("ask.json").write_text(json.dumps({**REQUEST, "weldment": {"id": "bar", "version": 1}}))
    Path("stock.json").write_text(json.dumps(stock_document(SHELF)))
    Path("plan.json").write_text(json.dumps({"format": "holdwright.plan/1", "status": "unknown", "alternatives": []}))
    without = run("check", "ask.json", "plan.json", "--stock", "stock.json")
    assert without.exit_code == 2 and "weldment 'bar' is named, and there is no store here" in without.stderr
    question, _, _ = read_question(Path("ask.json").read_bytes(), "ask.json", None, DB)
    assert (question.weldment.name, question.weldment.stored and question.weldment.stored.version) == ("bar", 1)
    # The newest version is another one; the plan says which one its request meant.
    newest = json.dumps({**REQUEST, "weldment": {"id": "bar"}}).encode()
    assert read_question(newest, "ask.json", None, DB)[0].weldment.name == "bar, drilled"
    plan = json.dumps({"weldment": {"id": "bar", "version": 1}}).encode()
    assert read_question(newest, "ask.json", None, DB, plan)[0].weldment.name == "bar"
    Path("ask.json").write_text(json.dumps({**REQUEST, "weldment": {"id": "rab"}}))
    missing = run("check", "ask.json", "plan.json", "--db", DB)
    assert missing.exit_code == 2 and "/weldment/id" in missing.stderr and "bar" in missing.stderr
