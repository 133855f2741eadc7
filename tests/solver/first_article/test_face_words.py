"""Faces are named as one sees them who stands at the front of the table: y runs away from him."""

from __future__ import annotations

import numpy as np
import pytest

from solver.first_article.face_words import corner_words, face_words, look
from tests import builders as b


@pytest.mark.parametrize(
    ("direction", "word"),
    [
        ((-1, 0, 0), "left"), ((1, 0, 0), "right"), ((0, -1, 0), "near"), ((0, 1, 0), "far"), ((0, 0, 1), "upper"),
        ((0, 0, -1), "lower"), ((0.9, 0.3, 0.3), "right"),
    ],
)  # fmt: skip
def test_a_direction_looks_left_or_right_near_or_far_up_or_down(direction: tuple[float, ...], word: str) -> None:
    assert look(np.array(direction)) == word


@pytest.mark.parametrize(
    ("label", "normal", "words"),
    [
        ("start", (-1, 0, 0), "the left end of tube"), ("cut:0", (0, 1, 0), "the far end of tube"),
        ("end", (0, 0, 1), "the upper end of tube"), ("side:0", (0, -1, 0), "the near side of tube"),
        ("side:1", (0, 0, 1), "the top of tube"), ("side:3", (0, 0, -1), "the underside of tube"),
    ],
)  # fmt: skip
def test_a_profile_has_ends_and_sides(label: str, normal: tuple[float, ...], words: str) -> None:
    assert face_words(b.tube(), label, np.array(normal)) == words


@pytest.mark.parametrize(
    ("label", "normal", "words"),
    [
        ("start", (0, 0, -1), "the underside of plate"), ("end", (-1, 0, 0), "the left face of plate"),
        ("side:2", (0, 1, 0), "the far edge of plate"), ("side:2", (0, 0, 1), "the upper edge of plate"),
    ],
)  # fmt: skip
def test_a_plate_has_faces_and_edges(label: str, normal: tuple[float, ...], words: str) -> None:
    assert face_words(b.plate(), label, np.array(normal)) == words


def test_a_face_behind_another_of_its_kind_is_the_inner_one() -> None:
    assert face_words(b.plate(), "side:1", np.array([1, 0, 0]), inner=True) == "the inner right edge of plate"


def test_a_free_outline_that_is_longer_than_wide_is_no_plate() -> None:
    assert b.plate(thickness=8).flat
    assert not b.plate(size=(60, 40), thickness=200).flat
    assert not b.bar().flat


def test_a_corner_is_named_by_both_its_sides() -> None:
    assert corner_words("rail", np.array([-300.0, -200.0, 0.0])) == "the near left corner of rail"
    assert corner_words("rail", np.array([300.0, 0.0, 200.0])) == "the upper right corner of rail"
