"""Colours as the programs take them that want numbers."""

from __future__ import annotations

from service.palette import COLOURS, rgb


def test_a_colour_in_numbers() -> None:
    assert rgb("#ff3300") == (1.0, 0.2, 0.0)
    assert all(0 <= part <= 1 for colour in COLOURS.values() for part in rgb(colour))
