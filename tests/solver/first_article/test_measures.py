"""A measure names each part once and says what share of its tolerance locating may use up."""

from __future__ import annotations

import pytest

from solver.first_article import ArticleMeasure, ArticlePoint


def point(part: str) -> ArticlePoint:
    return ArticlePoint(part, f"the top of {part}", (0.0, 0.0, 0.0), (1.0, 2.0, 3.0))


def measure(worst: float | None, *parts: str) -> ArticleMeasure:
    return ArticleMeasure("position", "", "tape", tuple(map(point, parts)), 100.0, 2.0, "as asked", worst, worst)


def test_parts_are_named_once() -> None:
    assert measure(0.1, "rail", "lug").parts == ("rail", "lug")
    assert measure(0.1, "rail", "rail").parts == ("rail",)


@pytest.mark.parametrize(("worst", "share"), [(0.5, 0.25), (0.0, 0.0), (None, 0.0)])
def test_the_share_is_the_worst_case_in_the_tolerance(worst: float | None, share: float) -> None:
    assert measure(worst, "rail").share == share
