"""`holdwright why`: what another choice costs, what is wrong with the question, and the exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from service.documents import request_document, stock_document
from tests import builders as b
from tests.commands import holdwright

SHELF = b.shelf((b.stop(), 4), (b.stop("stop-20", face=20), 4), (b.rest(), 3), (b.down_clamp(), 2))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A bar, the shelf and the bar's plan."""
    there = tmp_path_factory.mktemp("why")
    asked = b.request(b.weldment(b.bar(), name="bar"), 3, alternatives=2, time_limit_s=60)
    (there / "bar.json").write_text(json.dumps(request_document(asked)))
    (there / "stock.json").write_text(json.dumps(stock_document(SHELF)))
    done = holdwright("plan", "bar.json", "--stock", "stock.json", "--out", "plan.json", "--quiet", cwd=there)
    assert done.returncode == 0, done.stderr
    return there


def why(folder: Path, *words: str) -> tuple[int, str, str]:
    done = holdwright("why", "bar.json", "plan.json", "--stock", "stock.json", *words, cwd=folder)
    return done.returncode, done.stdout, done.stderr


def test_the_price_of_another_choice_in_one_sentence(folder: Path) -> None:
    code, out, _ = why(folder, "--avoid", "item=stop,part=bar,as=side")
    assert (code == 0 and out.startswith("without stop as side of bar: ") and "the same price" in out) or "more" in out


def test_the_answer_as_a_document(folder: Path) -> None:
    code, out, _ = why(folder, "--pin", "hole=E5", "--avoid", '{"row": 9}', "--rank", "2", "--json", "--time-limit", "50")
    answer = json.loads(out)
    assert code == 0 and answer["format"] == "holdwright.why/1" and answer["rank"] == 2
    assert answer["asked"] == "a piece in E5; without a piece in row 9"
    assert "E5" in {placement["hole"] for placement in answer["alternative"]["placements"]}
    plan = json.loads((folder / "plan.json").read_text())
    totals = [each["cost"]["total_cents"] for each in (answer["alternative"], plan["alternatives"][1])]
    assert answer["difference_cents"] == totals[0] - totals[1]


def test_a_choice_that_cannot_be_made_has_its_reason(folder: Path) -> None:
    code, out, _ = why(folder, "--avoid", "item=clamp")
    assert code == 1 and "there is no such fixture" in out and "clamp" in out


def test_a_piece_of_the_alternative_is_named_by_its_id(folder: Path) -> None:
    code, out, _ = why(folder, "--avoid", "piece=p1")
    assert code == 0 and out.startswith("without a piece just as p1: ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "nothing is forced"),
        (("--pin", "itm=stop"), "why#/pin/0: 'itm' is no key"),
        (("--pin", "item=stob"), "did you mean 'stop'?"),
        (("--pin", "row=1", "--rank", "7"), "why#/rank: there is no alternative 7; accepted: 1, 2"),
        (("--avoid", "row=three"), "why#/avoid/0/row: 'three'"),
        (("--avoid", "row=1", "--time-limit", "0"), "why#/time_limit_s: 0 s is out of range"),
    ],
)
def test_a_question_that_cannot_be_read_ends_with_2(folder: Path, words: tuple[str, ...], said: str) -> None:
    code, out, err = why(folder, *words)
    assert (code, out) == (2, "") and said in err


def test_a_plan_that_is_none_is_named(folder: Path) -> None:
    done = holdwright("why", "bar.json", "stock.json", "--stock", "stock.json", "--pin", "row=1", cwd=folder)
    assert done.returncode == 2 and "stock.json#/" in done.stderr
