"""`holdwright measured`: reports in and out, a list, a report taken back, the fit and the command it ends with."""

from __future__ import annotations

import json
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from inventory.store import Readers, open_store
from service.demo import stock_document
from service.documents import read_item, read_stock, read_table
from service.records.jobs import JobRecords
from service.stockroom.first_stock import fill_if_empty
from tests.commands import holdwright
from tests.service.page.comparing.finished import finished, kept_documents

NAMES = ("hinge-lug", "hinge-tab", "mitred-frame", "braced-frame", "post-on-plate", "vee-lug", "gable")


@dataclass(frozen=True)
class Floor:
    """A store with finished plans, by name."""

    folder: Path
    db: str
    plans: dict[str, str]

    def measured(self, *words: str, code: int = 0) -> str:
        done = holdwright("measured", *words, "--db", self.db, cwd=self.folder)
        assert done.returncode == code, done.stderr
        return done.stdout if code == 0 else done.stderr


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Floor]:
    folder = tmp_path_factory.mktemp("floor")
    db = f"sqlite:///{folder / 'shop.sqlite3'}"
    store = open_store(db, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
    fill_if_empty(store, read_stock(stock_document()))
    records = JobRecords(store, "tests", 10, 24).create()
    plans = {name: finished(records, name) for name in NAMES}
    store.close()
    yield Floor(folder, db, plans)


def test_a_report_is_printed_beside_what_the_plan_said(floor: Floor) -> None:
    setup_s = kept_documents("hinge-lug")[1]["alternatives"][0]["setup_s"]
    words = ("add", floor.plans["hinge-lug"], "--setup-minutes", "20", "--first-time", "--cycle-s", "60", "--arc-s", "12")
    said = floor.measured(*words, "--who", "fitter")
    assert (
        f"report 1: setup of Gate rail with hinge lug, 1200 s measured, {setup_s} s predicted, {1200 / setup_s:.2f} times that"
        in said
    )
    assert "48 s measured" in said
    listed = json.loads(floor.measured("list", "--json"))
    assert [each["number"] for each in listed["reports"]] == [2, 1] and listed["setup"]["count"] == 1
    assert "report 1 counts no more: a nought too many (fitter)" in floor.measured(
        "withdraw", "1", "--why", "a nought too many", "--who", "fitter"
    )
    printed = floor.measured("list")
    assert "withdrawn" in printed and "setups:" not in printed and "cycles: measured / predicted" in printed


def test_what_is_wrong_is_said(floor: Floor) -> None:
    plan = floor.plans["hinge-lug"]
    said = floor.measured("add", plan, "--setup-minutes", "-1", "--on", "someday", code=2)
    assert "'someday' is not a day" in said
    assert "there is no plan 'nobody'" in floor.measured("add", "nobody", "--setup-minutes", "9", code=2)
    assert "there is no measured time 4711" in floor.measured("withdraw", "4711", "--why", "x", code=2)


def test_a_list_goes_in_and_the_fit_ends_with_the_command_that_takes_it(floor: Floor) -> None:
    rows = ["plan,setup_minutes,set_before,cycle_s"]
    for name, plan in floor.plans.items():
        one = kept_documents(name)[1]["alternatives"][0]
        rows += [f"{plan},{1.4 * one['setup_s'] / 60 + k:.2f},no,{1.5 * one['cycle_s'] + k:.1f}" for k in (0, 1, 2)]
    (floor.folder / "week.csv").write_text("\n".join(rows) + "\n")
    assert "21 rows read: 21 setups, 21 cycles; nothing was written" in floor.measured("import", "week.csv", "--dry-run")
    assert "21 rows read: 21 setups, 21 cycles written" in floor.measured("import", "week.csv")
    assert "row 2: this is report" in floor.measured("import", "week.csv", code=2)
    said = floor.measured("fit", "--out", "proposal.json", "--chart", "measured.svg")
    proposal = json.loads((floor.folder / "proposal.json").read_text())
    assert "Nothing is changed yet." in said and "holdwright rules set shop time." in said
    assert "time.round_share keeps 0.4: 0 cycles with more than one station" in said
    assert (floor.folder / "measured.svg").read_text().startswith("<svg")
    command = next(line for line in said.splitlines() if line.startswith("  holdwright rules set "))
    assert holdwright(*shlex.split(command)[1:], "--db", floor.db, cwd=floor.folder).returncode == 0
    again = floor.measured("fit", "--book", "shop")
    assert "nothing is proposed" in again and "rules set" not in again, "taken over, the same reports propose nothing more"
    for name, value in proposal["set"].items():
        assert f"{name}={value:g}" in said


def test_without_reports_the_fit_says_what_is_missing(tmp_path: Path) -> None:
    db = f"sqlite:///{tmp_path / 'empty.sqlite3'}"
    open_store(db, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d)))).close()
    done = holdwright("measured", "fit", "--db", db, cwd=tmp_path)
    assert done.returncode == 0 and "6 at least are needed" in done.stdout and "rules set" not in done.stdout
