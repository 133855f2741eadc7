"""A weldment alone is planned: what is asked of it stands on the command line, and comes out as a request.

The tutorial plans one, checks it and draws it by the request that is left.
"""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

import pytest

from service.command_line.weldment_run import WeldmentRun, request_of
from service.documents import stock_document
from service.documents.weldment import weldment_document
from service.errors import InvalidSource
from tests import builders as b
from tests.commands import holdwright
from tests.service.asked import DEMO_STOCK
from tests.solver.checks import tab_job

BAR = weldment_document(b.weldment(b.bar(length=300), name="one bar"))


def made(*, content: Any = None, **words: Any) -> Any:
    """Return the request made of a weldment, of the bar if no content is given."""
    return request_of(json.dumps(BAR if content is None else content).encode(), "bar.json", WeldmentRun(**words), lambda: ["T1"])


def test_what_is_said_becomes_the_request_and_the_rest_is_left_to_it() -> None:
    days = "2027-03-01..2027-03-03"
    request = made(
        quantity=3, tables=["T1", "T2"], down=["-z", "+x"], turn=[0.0], needed=days, rules=["clear.body=2"], alternatives=2,
        time_limit_s=7.5,
    )  # fmt: skip
    assert request == {
        "format": "holdwright.request/1", "weldment": BAR, "quantity": 3, "tables": ["T1", "T2"],
        "needed": {"from": "2027-03-01", "to": "2027-03-03"}, "rules": {"set": {"clear.body": 2.0}},
        "lie": {"down": ["-z", "+x"], "turn": [0.0]}, "alternatives": 2, "time_limit_s": 7.5,
    }  # fmt: skip
    least = made(quantity=3, tables=["T1"])
    assert {"lie", "alternatives", "time_limit_s"}.isdisjoint(name for name, value in least.items() if value)
    assert made(quantity=1, tables=["T1"], needed="2027-03-01")["needed"] == {"from": "2027-03-01", "to": "2027-03-01"}


def test_a_weldment_needs_a_quantity_and_a_table_and_rules_are_words_of_their_form() -> None:
    with pytest.raises(InvalidSource) as bad:
        made(rules=["clear.body", "x=1", "x=2", "=3", "y=much"])
    assert [(fault.pointer, fault.wrong.split()[0]) for fault in bad.value.faults] == [
        ("/quantity", "a"), ("/table", "a"), ("/rule", "'clear.body'"), ("/rule", "x"), ("/rule", "'=3'"), ("/rule", "'y=much'"),
    ]  # fmt: skip
    assert "T1" in bad.value.faults[1].accepted


def test_a_request_says_all_of_it_itself() -> None:
    request = {"format": "holdwright.request/1"}
    with pytest.raises(InvalidSource, match="--quantity goes with a weldment"):
        made(content=request, quantity=3)
    assert made(content=request) == json.dumps(request).encode()
    with pytest.raises(InvalidSource, match="--down goes with a weldment, this is none"):
        made(content=[], down=["-z"])


def run(folder: Path, *words: object) -> subprocess.CompletedProcess[str]:
    (folder / "bar.json").write_text(json.dumps(BAR))
    (folder / "stock.json").write_text(json.dumps(stock_document(tab_job.stock())))
    return holdwright("plan", *words, "--stock", "stock.json", cwd=folder)


def test_faults_are_told_where_they_are_in_the_weldment_or_among_the_options(tmp_path: Path) -> None:
    bad = {**BAR, "parts": [{**BAR["parts"][0], "length": -1}]}
    (tmp_path / "bad.json").write_text(json.dumps(bad))
    done = run(tmp_path, "bad.json", "--quantity", 3, "--table", "T1")
    assert (done.returncode, done.stderr.startswith("bad.json#/parts/0/length: -1 mm")) == (2, True), done.stderr
    done = run(tmp_path, "bar.json", "--quantity", 0, "--table", "T9", "--down", "x", "--needed", "now", "--rule", "a.b=1")
    assert done.returncode == 2
    places = [line.partition(": ")[0] for line in done.stderr.splitlines()]
    assert places == [
        f"holdwright#/{place}" for place in ("quantity", "table/0", "needed/from", "needed/to", "rule/a.b", "down/0")
    ]
    assert len(DEMO_STOCK.tables) > 1
    (tmp_path / "stock2.json").write_text(json.dumps(stock_document(DEMO_STOCK)))
    done = holdwright("plan", "bar.json", "--stock", "stock2.json", cwd=tmp_path)
    assert "a table of the stock: T1, T2" in done.stderr
