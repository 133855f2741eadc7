"""Rule books on the command line: kept, changed, explained and carried; a plan from the store keeps the numbers it was made with."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result

from inventory.store import open_store
from service.command_line.main import app
from service.documents import request_document, stock_document
from service.records.jobs import JobRecords
from service.records.schema import rule_book_versions
from tests import builders as b
from tests.commands import holdwright
from tests.shelf import READERS

Run = Callable[..., Result]
RATE = "rate.labour_cents_per_hour"
DB = "sqlite:///shop.sqlite3"


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run commands on an empty store."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("HOLDWRIGHT_DB", DB)
    store = open_store(DB, READERS)
    JobRecords(store, "tests", 10, 24).create()
    store.close()
    return lambda *words: CliRunner().invoke(app, list(words))


@pytest.fixture
def kept(run: Run) -> Run:
    """A shop's book at version 2, and a customer's that starts from version 1 of it."""
    for words in (
        ("set", "shop", f"{RATE}=6000", "clear.weld=20", "--why", "rates of the year", "--by", "ann"),
        ("use", "shop", "--why", "ours"),
        ("set", "acme", "weights.adjustable=50", "--customer", "--why", "agreed"),
    ):
        done = run("rules", *words)
        assert done.exit_code == 0, done.output
    done = run("rules", "set", "shop", f"{RATE}=7200", "--why", "a rise")
    assert "acme@1 still starts from shop@1; to move it: holdwright rules set acme --base shop --why" in done.stderr
    return run


def test_where_a_value_comes_from(kept: Run) -> None:
    told = kept("rules", "explain", "clear.weld", "--book", "acme").stdout
    assert told.splitlines()[-2:] == ["built in: 15 mm", "shop@1: 20 mm, which counts"]
    (rate,) = json.loads(kept("rules", "list", "rate", "--book", "acme", "--json").stdout)
    assert (rate["value"], rate["book"], rate["version"]) == (6000, "shop", 1)
    assert "shop@2" in kept("rules", "list", "rate", "--book", "shop").stdout
    assert kept("rules", "list", "nonsense", "--book", "shop").exit_code == 2


def test_books_versions_and_differences_are_listed(kept: Run) -> None:
    told = kept("rules", "books").stdout
    assert "shop@1, newest 2" in told and told.splitlines()[-1] == "in use: shop"
    versions = json.loads(kept("rules", "history", "shop", "--json").stdout)
    assert [(each["version"], each["why"]) for each in versions] == [(2, "a rise"), (1, "rates of the year")]
    assert versions[1]["by"] == "ann"
    assert kept("rules", "diff", "shop@1").stdout.splitlines()[1].split() == [
        RATE,
        "6000",
        "7200",
        "cents/h",
        "shop@1;",
        "shop@2",
    ]
    assert kept("rules", "diff", "shop@2", "shop").stdout == "shop@2 and shop@2 say the same\n"


def test_a_base_is_followed(kept: Run) -> None:
    assert (
        "acme is at version 2, which starts from shop@2" in kept("rules", "set", "acme", "--base", "shop", "--why", "rise").stdout
    )
    done = kept("rules", "set", "shop", f"{RATE}=8000", "--why", "another", "--follow")
    assert "acme is at version 3, which starts from shop@3" in done.stdout and done.stderr == ""


def test_books_are_carried_to_another_store(kept: Run, tmp_path: Path) -> None:
    assert kept("rules", "export", "--out", "books.json").exit_code == 0
    other = f"sqlite:///{tmp_path / 'other.sqlite3'}"
    told = kept("rules", "import", "books.json", "--db", other).stdout.splitlines()
    assert told == ["acme@1 (a new book)", "shop@1 (a new book)", "shop@2", "3 versions taken in, 0 are here"]
    looked = kept("rules", "import", "books.json", "--db", other, "--dry-run").stdout
    assert looked == "0 versions would be new, 3 are here; nothing was written\n"
    again, first = kept("rules", "export", "--db", other), json.loads(Path("books.json").read_text())
    assert json.loads(again.stdout) == {**first, "in_use": None}


REFUSED = (
    (("set", "shop", "clear.weldd=3", "--why", "x"), "did you mean 'clear.weld'?"),
    (("set", "shop", "clear.weld", "--why", "x"), "'clear.weld' is not RULE=VALUE"),
    (("set", "shop", "clear.weld=1", "clear.weld=2", "--why", "x"), "each rule once"),
    (("set", "shop", "clear.weld=nan", "--why", "x"), "is not RULE=VALUE"),
    (("set", "shop", f"{RATE}=1"), "no reason is given"),
    (("set", "shop", "--base", "acme", "--why", "x"), "the book would start from itself"),
    (("set", "shop", "--base", "acme@x", "--why", "x"), "NAME@VERSION such as shop@2"),
    (("set", "shop", "clear.weld=1", "--customer", "--why", "x"), "'shop' is the shop's"),
    (("use", "acme", "--why", "x"), "'acme' is a customer's"),
    (("use", "shop@9", "--why", "x"), "1 to 2"),
    (("history", "shopp"), "there is no rule book"),
    (("diff", "shop@7"), "there is no version 7 of rule book"),
    (("explain", "clear.weldd"), "did you mean 'clear.weld'?"),
    (("import", "absent.json"), "absent.json"),
    (("export", "--out", "no/such/folder.json"), "a folder that exists"),
)
"""What cannot be, and what is said of it."""


def test_what_cannot_be_is_refused_and_said(kept: Run) -> None:
    before = kept("rules", "export").stdout
    for words, said in REFUSED:
        done = kept("rules", *words)
        assert (done.exit_code, said in done.stderr) == (2, True), (words, done.output)
    assert kept("rules", "export").stdout == before


def test_the_doctor_sees_a_version_that_was_altered(kept: Run) -> None:
    def found() -> dict[str, Any]:
        examined = json.loads(kept("doctor", "--json").stdout)
        return next(each for each in examined if each["what"] == "rule books")

    assert found()["verdict"] == "ok"
    store = open_store(DB, READERS)
    store.write(lambda c: c.execute(rule_book_versions.update().values(resolved={RATE: 1.0})))
    store.close()
    assert found()["verdict"] == "wrong" and "acme@1 no longer says what it said, nor do 2 more" in found()["found"]


def test_a_plan_keeps_the_numbers_it_was_made_with(kept: Run) -> None:
    """By a command in its own process each, on a bar and a shelf of five."""
    asked = request_document(b.request(b.weldment(b.bar(width=50, thickness=20, length=260, at=(0, 0, 10))), alternatives=1))
    Path("bar.json").write_text(json.dumps({**asked, "rules": {}}))
    Path("stock.json").write_text(json.dumps(stock_document(b.shelf((b.stop(), 4), (b.down_clamp(), 1)))))
    assert kept("stock", "import", "stock.json").exit_code == 0
    done = holdwright("plan", "bar.json", "--db", DB, "--out", "plan.json", "--quiet")
    assert done.returncode == 0, done.stderr
    plan = json.loads(Path("plan.json").read_text())
    assert (plan["rules_book"], plan["rules_version"], plan["rules"][RATE]) == ("shop", 2, 7200)
    assert kept("rules", "set", "shop", f"{RATE}=9000", "--why", "another rise").exit_code == 0
    assert kept("check", "bar.json", "plan.json", "--db", DB).exit_code == 0

    alone = kept("check", "bar.json", "plan.json", "--stock", "stock.json")
    assert (alone.exit_code, "'default'; other rule books are kept in a store, which --db names" in alone.stderr) == (2, True)
    Path("named.json").write_text(json.dumps({**asked, "rules": {"base": "shop", "version": 3}}))
    assert kept("check", "named.json", "plan.json", "--db", DB).exit_code == 1
