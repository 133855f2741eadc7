"""`holdwright breakpoints`: how far rules may move, in print and as JSON."""

from __future__ import annotations

import json

from tests.service.command_line.conftest import Planned


def test_breakpoints_are_printed_with_what_lies_beyond(planned: Planned) -> None:
    done = planned.run("breakpoints", env={"COLUMNS": "160"})
    assert done.returncode == 0, done.stderr
    rows = {line.split()[0]: line for line in done.stdout.splitlines() if line.strip()}
    assert "must be checked" in rows["hold.friction"] and "broken" in rows["clamp.max_part_pressure"]


def test_breakpoints_as_json_are_the_document(planned: Planned) -> None:
    document = json.loads(planned.run("breakpoints", "--json", "--rank", "2").stdout)
    assert document["format"] == "holdwright.breakpoints/1" and document["rank"] == 2
    assert {each["rule"] for each in document["prices"]} >= {"time.pick_s", "rate.labour_cents_per_hour", "weights.scarce"}


def test_a_rank_that_is_not_there_is_refused(planned: Planned) -> None:
    done = planned.run("breakpoints", "--rank", "9")
    assert done.returncode == 2 and "rank 9" in done.stderr
