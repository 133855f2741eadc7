"""The table for other programs has every placement in the order of the hands and every kit line, and starts no formula."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest

from service.drawings.lists import COLUMNS, as_csv
from service.drawings.subject import Subject
from service.exchange.cells import plain
from solver.plans import KitLine
from tests.service.drawings.example import alternative, subject
from tests.service.drawings.hostile import CLAMP, STOP, WELDMENT, hostile_subject


def rows(subject: Subject) -> list[dict[str, str]]:
    """Return the rows as a program reads them, by column."""
    return list(csv.DictReader(io.StringIO(as_csv(subject).decode("utf-8-sig"), newline=""), strict=True))


def test_the_file_as_other_programs_like_it() -> None:
    raw = as_csv(subject())
    assert raw.startswith(b"\xef\xbb\xbf")
    first, *lines = raw.decode("utf-8-sig").split("\r\n")
    assert first == ",".join(COLUMNS) and "\n" not in "".join(lines)
    assert lines[0] == "placement,1,p1,,stop,stop,A1,D4,,0,,side at the near side of bar-1,,"
    assert lines[-2:] == ["kit,,,,riser,riser,A1,,,,,,1,0", ""]


def test_every_column_is_explained() -> None:
    page = (Path(__file__).parents[3] / "docs" / "files.md").read_text(encoding="utf-8")
    assert [column for column in COLUMNS if f"`{column}`" not in page] == []


def test_a_piece_on_another_names_it_and_comes_after_it() -> None:
    listed = [row for row in rows(subject()) if row["record"] == "placement"]
    assert [(row["number"], row["piece"], row["hole"], row["on"]) for row in listed[-2:]] == [
        ("5", "p5", "J8", ""),
        ("6", "p10", "", "p5"),
    ]


def test_settings_turns_and_duties_are_the_plans() -> None:
    listed = {row["piece"]: row for row in rows(subject())}
    assert (listed["p4"]["setting_mm"], listed["p4"]["turn"], listed["p4"]["does"]) == ("5", "180", "clamps the top of bar-1")
    assert listed["p1"]["setting_mm"] == ""


def test_a_negative_setting_is_a_number_and_no_text() -> None:
    pieces = [replace(piece, setting_mm=-2.5004, turn=12.5) for piece in alternative().placements]
    row = rows(subject(replace(alternative(), placements=tuple(pieces))))[0]
    assert (row["setting_mm"], row["turn"]) == ("-2.5", "12.5")


def test_what_is_bought_stands_in_the_kit_alone() -> None:
    kit = (KitLine("stop", 4, "A1", buy=2), KitLine("clamp", 1, ""), KitLine("riser", 1, "C3"))
    listed = rows(subject(replace(alternative(), kit=kit)))
    assert [(row["item"], row["count"], row["buy"]) for row in listed if row["record"] == "kit"] == [
        ("stop", "4", "2"),
        ("clamp", "1", "0"),
        ("riser", "1", "0"),
    ]
    assert {(row["count"], row["buy"]) for row in listed if row["record"] == "placement"} == {("", "")}


def test_stations_are_told() -> None:
    pieces = [replace(piece, station=number) for number, piece in enumerate(alternative().placements, 1)]
    assert rows(subject(replace(alternative(), placements=tuple(pieces))))[1]["station"] == "2"


def test_no_name_starts_a_formula_and_each_can_be_had_back() -> None:
    listed = rows(hostile_subject())
    assert not [cell for row in listed for cell in row.values() if cell[:1] in tuple("=+@\t\r")]
    assert {plain(row["item"]) for row in listed} == {STOP, CLAMP, "riser"}
    assert {plain(row["name"]) for row in listed} == {WELDMENT}
    assert CLAMP in {plain(row["piece"]) for row in listed}
    assert {plain(row["bin"]) for row in listed} == {"@A1"}


def test_an_item_the_stock_does_not_know_is_refused() -> None:
    first, *others = alternative().placements
    with pytest.raises(KeyError, match="unheard-of"):
        as_csv(subject(replace(alternative(), placements=(replace(first, item="unheard-of"), *others))))
