"""Widths are those of the font; what is too wide is cut with an ellipsis."""

from __future__ import annotations

import pytest

from service.drawings.paper.lettering import ELLIPSIS, fitted, width_mm
from service.drawings.paper.marks import Box, TextLine, shifted


def test_figures_are_all_as_wide_as_each_other() -> None:
    """DejaVu Sans has figures of 1303 of 2048 units: its own metrics, as fontTools reads them."""
    assert [width_mm(figure, 1.0) for figure in "0123456789"] == pytest.approx([1303 / 2048] * 10)


def test_bold_is_wider() -> None:
    assert width_mm("stop", 3.0, bold=True) > width_mm("stop", 3.0)


def test_what_fits_is_left_as_it_is() -> None:
    assert fitted("rail", 3.0, 20.0) == "rail"


@pytest.mark.parametrize("text", ["x" * 200, "שלום " * 40, "🔧" * 200, "a" + "\u0301" * 199])
def test_what_does_not_fit_is_cut_with_an_ellipsis(text: str) -> None:
    cut = fitted(text, 3.0, 25.0)
    assert width_mm(cut, 3.0) <= 25.0 and (cut.endswith(ELLIPSIS) or cut == text)


def test_words_take_the_room_they_say_wherever_they_are_anchored() -> None:
    for anchor in ("start", "middle", "end"):
        box = TextLine("M12", (10.0, 20.0), size=3.0, anchor=anchor).box
        assert box.width == pytest.approx(width_mm("M12", 3.0))
    upright = TextLine("M12", (10.0, 20.0), size=3.0, upright=True).box
    assert upright.height == pytest.approx(width_mm("M12", 3.0)) and upright.bottom == pytest.approx(20.0)


def test_boxes_that_only_touch_do_not_meet() -> None:
    assert not Box(0, 0, 1, 1).meets(Box(1, 0, 2, 1)) and Box(0, 0, 1, 1).meets(Box(0.9, 0, 2, 1))


def test_marks_move_together() -> None:
    (moved,) = shifted([TextLine("M12", (10.0, 20.0))], 5.0, -5.0)
    assert isinstance(moved, TextLine) and moved.at == (15.0, 15.0)
