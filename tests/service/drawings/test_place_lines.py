"""One line a piece, in placing order, with what a fitter reads; the kit as bins are walked by."""

from __future__ import annotations

from dataclasses import replace

from service.drawings.place_lines import kit_by_bin, place_lines
from solver.plans import KitLine
from tests.service.drawings.example import alternative, subject
from tests.service.drawings.kept import inched


def test_a_line_says_what_goes_where_and_how() -> None:
    lines = {line.piece: line for line in place_lines(subject())}
    clamp, raised = lines["p4"], lines["p10"]
    assert (clamp.number, clamp.item, clamp.bin, clamp.where, clamp.turn, clamp.setting) == (
        4,
        "clamp",
        "A1",
        "F6",
        "180",
        "5 mm",
    )
    assert (raised.number, raised.where, raised.setting, raised.station) == (6, "on p5", "", None)


def test_settings_stand_in_the_unit_of_the_weldment() -> None:
    assert [line.setting for line in place_lines(inched(subject())) if line.setting] == ["0.197 in"]


def test_bins_are_walked_in_the_order_of_their_numbers() -> None:
    kit = tuple(KitLine(item, 1, bin) for item, bin in (("stop", "A10"), ("clamp", "B1"), ("riser", "A2")))
    assert [line.bin for line in kit_by_bin(subject(replace(alternative(), kit=kit)))] == ["A2", "A10", "B1"]
