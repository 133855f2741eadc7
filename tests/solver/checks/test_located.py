"""Locator matrices by hand, supports and spans: what locates a part, and how well."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import combinations

import numpy as np
import pytest

from solver.checks.arithmetic.plane import clip, hull, inset, least_width, margin
from solver.checks.rules.locating import _best_subset, _ratio
from solver.checks.rules.locating import matrix as locator_matrix
from solver.checks.rules.opposed_locators import check_opposed
from solver.checks.scene.reading import read_alternative
from solver.checks.scene.rows import Row, rows_of
from solver.checks.scene.scene import Scene, set_scene
from solver.plans import Finding
from tests.solver.checks import tab_job as job


def scene() -> Scene:
    return set_scene(job.request(), job.stock(), job.request().rules, read_alternative(job.tab_alternative()))


def row(at: tuple[float, float, float], normal: tuple[float, float, float]) -> Row:
    return Row("x", "piece", np.array(at), np.array(normal, dtype=float), np.array([at]))


# 3-2-1 of a box 200 x 100 x 40. By argument: three supports not in line fix z and two turns, two sides y and the third turn, the
# end x; a third support in line with the others leaves the turn about that line, an end stop that faces -y leaves x.
SUPPORTS = [row((20, 20, 0), (0, 0, 1)), row((180, 20, 0), (0, 0, 1)), row((100, 80, 0), (0, 0, 1))]
SIDES = [row((40, 0, 20), (0, 1, 0)), row((160, 0, 20), (0, 1, 0))]
END = [row((0, 50, 20), (1, 0, 0))]


def condition(rows: list[Row]) -> float:
    part = scene().parts["tab"]
    return _ratio(locator_matrix(part, rows), 6)


def test_three_two_one_has_full_rank_and_a_collinear_support_has_not() -> None:
    assert condition(SUPPORTS + SIDES + END) < 100
    assert condition([*SUPPORTS[:2], row((200, 20, 0), (0, 0, 1)), *SIDES, *END]) == math.inf
    assert condition([*SUPPORTS, *SIDES, row((0, 50, 20), (0, -1, 0))]) == math.inf


def test_two_levers_of_equal_arms_have_the_condition_of_their_shape() -> None:
    # Hand calculation: a row block [[1, s], [1, -s]] has singular values sqrt(2) and s sqrt(2): condition s or 1 / s.
    for s in (0.25, 1.0, 4.0):
        assert _ratio(np.array([[1.0, s], [1.0, -s]]), 2) == pytest.approx(max(s, 1 / s))


def test_the_best_six_rows_may_beat_all_of_them() -> None:
    good = np.eye(6)
    skewed = np.vstack([good, *[good[:1]] * 40])
    assert _ratio(skewed, 6) == pytest.approx(math.sqrt(41))
    assert _best_subset(skewed, 6, 2.0) == pytest.approx(1.0)


def test_few_rows_are_tried_in_every_way() -> None:
    chance = np.random.default_rng(3)
    rows = chance.normal(size=(9, 6))
    every = min(_ratio(rows[list(pick)], 6) for pick in combinations(range(9), 6))
    assert _best_subset(rows, 6, 1.0) == pytest.approx(every)


def facing(change: Callable[[job.Document], None], **rules: float) -> list[Finding]:
    answer, asked = read_alternative(job.mutated(change)["alternatives"][0]), job.request(rules=rules)
    return list(check_opposed(set_scene(asked, job.stock(), asked.rules, answer)))


def turned_about(alternative: job.Document) -> None:
    """The second stop of the tube pushes back against the first."""
    job.placement(alternative, "s2")["contacts"][0]["normal"] = [0, -1, 0]


def against_the_tube(degrees: float = 0.0) -> Callable[[job.Document], None]:
    """The tab lies against the tube's side, not on it, so many degrees askew; its own stops push it there."""

    def change(alternative: job.Document) -> None:
        turn = math.radians(degrees)
        alternative["part_contacts"][0]["normal"] = [math.sin(turn), math.cos(turn), 0]

    return change


def leaning(degrees: float) -> Callable[[job.Document], None]:
    """The second stop of the tube pushes back against the first, turned by so many degrees."""
    x, y = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))

    def change(alternative: job.Document) -> None:
        job.placement(alternative, "s2")["contacts"][0]["normal"] = [x, -y, 0]

    return change


def in_a_hole(alternative: job.Document) -> None:
    """The second stop pushes back from within a hole."""
    turned_about(alternative)
    job.placement(alternative, "s2")["contacts"][0]["face"] = "cutout:0:1"


def test_stops_that_face_each_other_are_a_fault_unless_the_rule_book_lets_them() -> None:
    assert facing(lambda _: None) == []
    (told,) = facing(turned_about)
    assert (told.rule, told.subject, told.ok) == ("locate.opposed", "s1 s2", False)
    assert told.value == pytest.approx(0.10)  # twice 0.05
    assert "across tube:" in told.text
    (allowed,) = facing(turned_about, **{"locate.opposed": 1})
    assert allowed.ok


def test_stops_face_each_other_up_to_25_degrees_and_not_from_within_a_hole() -> None:
    """-cos 25.84 is -0.9."""
    assert len(facing(leaning(25))) == 1
    assert facing(leaning(26.5)) == []
    assert facing(in_a_hole) == []


def test_stops_that_squeeze_two_parts_against_each_other_are_told() -> None:
    found = facing(against_the_tube())
    assert {told.subject for told in found} == {"s1 a1", "s1 a2", "s2 a1", "s2 a2"}
    assert all("across tube and tab:" in told.text for told in found)
    assert len(facing(against_the_tube(24))) == 4
    assert facing(against_the_tube(26)) == []


def test_rows_come_from_locators_table_and_carrying_part() -> None:
    tube, tab = rows_of(scene(), "tube"), rows_of(scene(), "tab")
    assert [r.source for r in tube] == ["s1", "s2", "e1", "table", "table", "table", "table"]
    assert [r.source for r in tab] == ["e2", "a1", "a2", "k1", "tube", "tube", "tube", "tube"]


def test_a_point_lies_inside_an_outline_by_its_least_distance() -> None:
    square = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10]])
    assert margin(np.array([3.0, 5]), square) == 3
    assert margin(np.array([-2.0, 5]), square) == -2
    assert margin(np.array([5.0, 0]), square[:2]) == 0


def test_hulls_widths_clips_and_insets_by_hand() -> None:
    square = np.array([[0.0, 0], [10, 0], [10, 10], [0, 10], [5, 5], [5, 0]])
    assert len(hull(square)) == 4
    assert least_width(square) == pytest.approx(10)
    assert least_width(np.array([[0.0, 0], [10, 0], [0, 10]])) == pytest.approx(math.sqrt(50))
    window = np.array([[5.0, 5], [20, 5], [20, 20], [5, 20]])
    assert sorted(clip(hull(square), window).tolist()) == [[5, 5], [5, 10], [10, 5], [10, 10]]
    assert inset(np.array([[0.0, 0], [0, 10], [10, 10], [10, 0]]), 1, outer=True).tolist() == [[9, 1], [9, 9], [1, 9], [1, 1]]
