"""What the sheet says is what the plan says, in the order of the hands."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.drawings.placing_order import placing_order
from service.drawings.setup_sheet.content import setup_sheet
from service.drawings.setup_sheet.first_article import MOST, article_lines, chosen
from service.drawings.setup_sheet.operation import torch_words, weld_lines
from solver.first_article import first_article
from solver.plans import Change, LoadStep
from solver.weldment import InFixture
from tests.service.drawings.example import alternative, subject
from tests.service.drawings.kept import AGAIN, LARGEST, SMALLER, inched, kept, set_out


@pytest.mark.parametrize("name", [*SMALLER, pytest.param(LARGEST, marks=pytest.mark.slow)])
def test_every_piece_is_placed_once_and_nothing_before_what_it_stands_on(name: str) -> None:
    of = kept(name)
    lines = [line for station in set_out(name).stations for step in station.stacks for line in step.places]
    assert sorted(line.number for line in lines) == list(range(1, len(of.alternative.placements) + 1))
    seen: set[str] = set()
    for line in lines:
        assert not line.where.startswith("on ") or line.where.removeprefix("on ") in seen
        seen.add(line.piece)
    by_id = {one.id: one for one in placing_order(of.alternative)}
    assert all(line.turn == f"{by_id[line.piece].turn:g}" for line in lines)


@pytest.mark.parametrize("name", [*SMALLER, pytest.param(LARGEST, marks=pytest.mark.slow)])
def test_the_pick_list_is_the_kit_bin_by_bin(name: str) -> None:
    of = kept(name)
    pick = set_out(name).pick
    assert sorted((line.item, line.count, line.bin) for line in pick) == sorted(
        (line.item, line.count, line.bin) for line in of.alternative.kit
    )
    bins = [(line.bin.rstrip("0123456789"), int(line.bin.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ") or 0)) for line in pick]
    assert bins == sorted(bins)


def test_a_re_plan_prints_what_changes() -> None:
    assert set_out("tee").changes is None
    (row,) = set_out(AGAIN).changes or ()
    assert row[1:6] == ("move", "p2", "dowel-16", "M6", "N6") and "blocked" in row[-1]


def test_what_hands_must_hold_and_not_lift_alone_is_said() -> None:
    step = LoadStep("bar-1", (), ("p4",), hold_by_hand="until p4 is shut", mass_kg=31.25, heavy=True)
    change = Change("move", "p2", "stop", "C7", "C9", 90.0, None, "hole C7 is blocked")
    sheet = setup_sheet(subject(replace(alternative(), load=(step,), changes=(change,))))
    assert sheet.load[0].hold == "UNSTABLE, hold by hand until p4 is shut" and sheet.load[0].shut == "p4"
    assert "31.2 kg, HEAVY" in sheet.load[0].mass
    assert any("heavy" in line for line in sheet.cautions) and any("hold by hand" in line for line in sheet.cautions)


def test_the_usual_cautions_are_there_and_what_was_not_computed() -> None:
    sheet = set_out("hinge-lug")
    words = " ".join(sheet.cautions).lower()
    for danger in ("fumes", "radiation", "burns", "fire", "electric shock", "pinched", "stored energy", "lifting", "local code"):
        assert danger in words
    assert any("distortion" in line for line in sheet.not_computed) and sheet.computed


@pytest.mark.parametrize(
    ("directions", "words"),
    [
        ([(0.0, 0.0, -1.0)], "from above"),
        ([(0.7071, 0.0, -0.7071)], "from the left, 45° up"),
        ([(0.0, 0.7071, -0.7071)], "from the near side, 45° up"),
        ([(-1.0, 0.0, 0.0)], "from the right, level"),
        ([(-0.5, -0.5, 0.7071)], "from the far right, 45° down"),
        ([(0.0, 0.0, 1.0)], "from below"),
        ([(0.7071, 0.0, -0.7071), (0.8660, 0.0, -0.5)], "from the left, 30 to 45° up"),
        ([(0.866, 0.0, -0.5), (0.866, 0.0, 0.5)], "from the left, 30° down to 30° up"),
        ([(1.0, 0.0, 0.0), (0.0, 1.0, 0.0)], "from the left, following the bead to the near side"),
        ([], ""),
    ],
)
def test_the_torch_comes_from_where_it_is_not_headed(directions: list[tuple[float, float, float]], words: str) -> None:
    assert torch_words(directions) == words


def test_welds_say_how_much_is_made_in_the_fixture() -> None:
    of = kept("hinge-lug")
    weldment = of.request.weldment
    kinds: tuple[InFixture, ...] = ("full", "tack", "none")
    welds = tuple(replace(weldment.welds[0], id=kind, in_fixture=kind) for kind in kinds)
    asked = replace(of, request=replace(of.request, weldment=replace(weldment, welds=welds)))
    full, tack, outside = weld_lines(asked)
    assert full.tack == "tack at both ends" and full.then == "weld its whole length"
    assert tack.then == "weld the rest outside"
    assert outside.tack == "not in the fixture" and outside.then == "weld outside"


def test_lengths_are_said_as_the_weldment_was_drawn() -> None:
    places = [
        line for station in setup_sheet(inched(kept("hinge-lug"))).stations for step in station.stacks for line in step.places
    ]
    assert [line.setting for line in places if line.setting] == [f"{65 / 25.4:.3f} in"]


def test_a_large_weldment_prints_the_telling_measures_of_each_kind() -> None:
    of = kept("frame-20")
    lines, left_out = article_lines(of)
    measures = first_article(of.request, of.stock, of.alternative)
    assert len(lines) == MOST and len(lines) + left_out == len(measures)
    kinds = [one.kind for one in chosen(measures, MOST)]
    assert kinds.count("squareness") >= 4 and kinds.count("position") >= 4


def test_a_measure_of_a_small_weldment_is_never_left_out() -> None:
    of = kept("tee")
    measures = first_article(of.request, of.stock, of.alternative)
    assert sorted(map(repr, chosen(measures, MOST))) == sorted(map(repr, measures)) and article_lines(of)[1] == 0
