"""Where outlines cross themselves or each other."""

from __future__ import annotations

import pytest

from inventory.outlines import crossing_at, meeting_at

SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 60.0), (0.0, 60.0))


def shifted(u: float, v: float) -> tuple[tuple[float, float], ...]:
    return tuple((a + u, b + v) for a, b in SQUARE)


def test_where_an_outline_crosses_itself() -> None:
    assert crossing_at(SQUARE) is None
    assert crossing_at(((0, 0), (100, 100), (100, 0), (0, 100))) == (50, 50)


@pytest.mark.parametrize(
    ("u", "v", "at"), [(200, 0, None), (10, 70, None), (50, 30, (100, 30)), (100, 0, (100, 0)), (100, 60, (100, 60))]
)
def test_where_two_outlines_meet(u: float, v: float, at: tuple[float, float] | None) -> None:
    found = meeting_at(SQUARE, shifted(u, v))
    assert found == at
    inner = tuple((30 + a / 10, 20 + b / 10) for a, b in SQUARE)
    assert meeting_at(SQUARE, inner) is None
