"""`holdwright replan`: from a plan that stands, with something missing, broken or blocked, to a new one, step by step."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from service.documents import request_document, stock_document
from tests import builders as b
from tests.commands import holdwright

Files = dict[str, Path]


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Files:
    """One bar, located and clamped the cheapest way, and the files it was planned from."""
    folder = tmp_path_factory.mktemp("standing")
    files = {name: folder / f"{name}.json" for name in ("request", "stock", "plan", "new", "asked")}
    one = b.weldment(b.bar(length=300), name="one bar")
    request = request_document(b.request(one, 3, alternatives=1, time_limit_s=60))
    shelf = b.shelf((b.stop(), 3), (b.stop("tall", height=80, day_rate_cents=95), 3), (b.down_clamp(), 2))
    files["request"].write_text(json.dumps(request))
    files["stock"].write_text(json.dumps(stock_document(shelf)))
    done = holdwright("plan", files["request"], "--stock", files["stock"], "--out", files["plan"])
    assert done.returncode == 0, done.stderr
    return files


def replan(files: Files, *words: object) -> tuple[int, str, str]:
    done = holdwright("replan", files["request"], files["plan"], "--stock", files["stock"], *words)
    return done.returncode, done.stdout, done.stderr


def best(path: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(path.read_text())["alternatives"][0]
    return found


def test_a_broken_stop_is_replaced_and_the_rest_stays(standing: Files) -> None:
    code, printed, said = replan(standing, "--broken", "stop=1", "--out", standing["new"], "--request-out", standing["asked"])
    assert code == 0, said
    before, after = best(standing["plan"]), best(standing["new"])
    off, on = after["changes"]
    assert (off["do"], off["item"], off["hole"]) == ("take_off", "stop", None)
    assert off["why"].startswith("broken: 2 of 3 stop")
    assert (on["do"], on["item"], on["hole_before"]) == ("add", "tall", None)
    assert f"in place of {off['piece']}" in on["why"]
    kept = {one["id"] for one in before["placements"]} - {off["piece"]}
    assert {one["id"] for one in after["placements"]} == kept | {on["piece"]}
    assert "take off" in printed and "2 steps from what stands" in printed
    checked = holdwright("check", standing["asked"], standing["new"], "--stock", standing["stock"])
    assert checked.returncode == 0, checked.stdout


def test_a_blocked_hole_is_left_and_told(standing: Files) -> None:
    hole = next(one["hole"] for one in best(standing["plan"])["placements"] if one["item"] == "stop")
    code, _, said = replan(standing, "--hole", hole, "--out", standing["new"])
    assert code == 0, said
    steps = best(standing["new"])["changes"]
    assert [f"hole {hole} is blocked" for step in steps if step["hole_before"] == hole] == [
        step["why"] for step in steps if step["hole_before"] == hole
    ]
    assert hole not in [one["hole"] for one in best(standing["new"])["placements"]]


def test_nothing_missing_changes_nothing(standing: Files) -> None:
    code, printed, _ = replan(standing)
    assert (code, "nothing to change: what stands on the table is the plan" in printed) == (0, True)


def test_the_plan_alone_is_printed_as_json(standing: Files) -> None:
    code, printed, _ = replan(standing, "--missing", "stop=1", "--json")
    assert (code, [step["do"] for step in json.loads(printed)["alternatives"][0]["changes"]]) == (0, ["take_off", "add"])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--missing", "stop"), "/missing: 'stop' is not ITEM=PIECES"),
        (("--broken", "nothing=1"), "#/without/items/nothing: there is no item"),
        (("--hole", "7C"), "#/without/holes/0: "),
        (("--rank", "9"), "/rank: there is no alternative 9"),
    ],
)
def test_what_makes_no_sense_is_refused(standing: Files, words: tuple[str, str], says: str) -> None:
    code, _, said = replan(standing, *words)
    assert (code, says in said) == (2, True), said


def test_a_file_that_is_no_plan_is_named(standing: Files) -> None:
    swapped = standing | {"plan": standing["stock"]}
    code, _, said = replan(swapped)
    assert code == 2 and str(standing["stock"]) in said
