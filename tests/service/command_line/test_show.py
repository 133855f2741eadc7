"""`holdwright show`: a plan printed again as it was printed when it was made, and what cannot be shown."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from tests.commands import holdwright
from tests.service.command_line.conftest import Planned

HEADINGS = ("pieces, in the order they are placed", "kit, by bin", "load order, and the way out")


def test_a_plan_draws_the_cheapest_fixture_and_show_prints_the_same_again(planned: Planned) -> None:
    lines = planned.printed.splitlines()
    assert lines[0] == "bar: 1 parts, 0 welds, 3 off; rank 1, cheapest, on table T1"
    assert [line for line in lines if line in HEADINGS] == list(HEADINGS)
    assert any(line.startswith("optimal: ") for line in lines)
    done = planned.run("show", env={"COLUMNS": "100"})
    assert (done.returncode, done.stdout) == (0, planned.printed)


def test_every_piece_of_the_plan_is_listed(planned: Planned) -> None:
    shown = planned.run("show").stdout
    for one in planned.document()["alternatives"][0]["placements"]:
        assert re.search(rf"^ *\d+  {one['id']} +{one['item']} .*{one['hole']}", shown, re.M), one


def test_another_rank_or_all_of_them(planned: Planned) -> None:
    second, both = planned.run("show", "--rank", 2).stdout, planned.run("show", "--all").stdout
    titles = re.compile(r"; rank (\d), ")
    assert titles.findall(second) == ["2"] and titles.findall(both) == ["1", "2"]
    assert both.count("optimal: ") == 1


def test_a_rank_that_is_not_there_is_refused_with_those_that_are(planned: Planned) -> None:
    done = planned.run("show", "--rank", 3)
    assert done.returncode == 2 and done.stdout == ""
    assert done.stderr == "plan.json#/alternatives: there is no rank 3; accepted: one of the ranks 1, 2\n"


@pytest.mark.parametrize("words", [(), ("--rank", 4), ("--all",)])
def test_a_plan_without_alternatives_says_why(planned: Planned, words: tuple[object, ...]) -> None:
    done = planned.run("show", *words, plan="refused.json")
    assert done.returncode == 1
    assert "because: stop: 4 needed, 2 free  [counted, stop]" in done.stdout and HEADINGS[0] not in done.stdout


def test_swapped_files_are_named(planned: Planned) -> None:
    swapped = planned.write("bar-2", planned.document("bar"))
    (planned.folder / "bar.json").rename(planned.folder / "kept.json")
    try:
        planned.write("bar", planned.document("plan"))
        done = planned.run("show", plan=swapped)
    finally:
        (planned.folder / "kept.json").rename(planned.folder / "bar.json")
    assert done.returncode == 2
    assert done.stderr == (
        "bar.json: the first file is a plan, the second a request: swap them; accepted: holdwright show REQUEST PLAN\n"
    )


def _other_item(one: Any) -> None:
    one["placements"][0]["item"] = "stop-99"


def _other_table(one: Any) -> None:
    one["table"] = "T9"


def _other_part(one: Any) -> None:
    one["parts"][0]["id"] = "post"


@pytest.mark.parametrize("command", [("show",), ("sheet", "--out", "bar.svg")])
@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (_other_item, "#/alternatives/0/placements/0/item: the stock has no item 'stop-99'; accepted: an item of the catalogue"),
        (_other_table, "#/alternatives/0/table: the stock has no table 'T9'; accepted: a table's id"),
        (_other_part, "#/alternatives/0/parts/0/id: the request has no part 'post'; accepted: a part's id"),
    ],
)
def test_a_plan_of_another_shop_or_request_is_named(planned: Planned, command: tuple[str, ...], spoil: Any, said: str) -> None:
    name, *words = command
    done = planned.run(name, *words, plan=planned.spoilt("other", spoil))
    assert done.returncode == 2 and done.stdout == ""
    assert done.stderr.startswith(f"other.json{said}"), done.stderr


def test_a_plan_that_is_none_is_named(planned: Planned) -> None:
    (planned.folder / "none.json").write_text("{")
    done = planned.run("show", plan="none.json")
    assert done.returncode == 2 and done.stderr.startswith("none.json")


def test_colour_goes_only_where_it_is_wanted(planned: Planned) -> None:
    plain = planned.run("show").stdout
    assert "\x1b" not in plain
    forced = {"FORCE_COLOR": "1", "TERM": "xterm"}
    coloured = planned.run("show", env=forced).stdout
    assert "\x1b[36m" in coloured and re.sub(r"\x1b\[[0-9;]*m", "", coloured) == plain
    assert not re.search(r"\x1b\[[0-9;]*3[0-7]m", planned.run("show", env={**forced, "NO_COLOR": "1"}).stdout)


@pytest.mark.parametrize("columns", [80, 100, 160])
def test_no_line_is_wider_than_the_terminal(planned: Planned, columns: int) -> None:
    shown = planned.run("show", "--all", env={"COLUMNS": str(columns)}).stdout
    assert max(map(len, shown.splitlines())) <= columns


def test_what_the_terminal_has_no_character_for_is_escaped(planned: Planned) -> None:
    document = planned.document("bar")
    document["weldment"]["name"] = "Bügel 🔩"
    planned.write("bar-3", document)
    words = ("show", "bar-3.json", "plan.json", "--stock", "stock.json")
    assert planned.program(*words).startswith("Bügel 🔩: 1 parts".encode())
    plain = planned.program(*words, PYTHONIOENCODING="ascii")
    assert plain.isascii() and plain.startswith(b"B\\xfcgel \\U0001f529: 1 parts")


def test_quiet_plans_print_nothing_and_json_is_the_document_alone(planned: Planned) -> None:
    words = ("plan", "bar.json", "--stock", "stock.json")
    assert holdwright(*words, "--quiet", cwd=planned.folder).stdout == ""
    assert json.loads(holdwright(*words, "--json", cwd=planned.folder).stdout)["format"] == "holdwright.plan/1"
