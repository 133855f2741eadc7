"""Dimensions of a DXF drawing state what they measure: the weldment's sizes, and where the pieces stand from hole A1."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from ezdxf.document import Drawing
from ezdxf.entities import Dimension

from service.drawings.scene import scene
from service.drawings.subject import Subject
from tests.service.drawings.dxf.reading import opened
from tests.service.drawings.example import question, subject

LINEAR, ORDINATE, X_TYPE = 0, 6, 64


def dimensions(drawing: Drawing, kind: int) -> list[Dimension]:
    """Return the dimensions of a kind."""
    found = [one for one in drawing.modelspace().query("DIMENSION[layer=='DIMENSIONS']") if isinstance(one, Dimension)]
    return [one for one in found if one.dimtype == kind]


def stated(drawing: Drawing, dimension: Dimension) -> str:
    """Return what the picture of a dimension says."""
    (words,) = (entity for entity in drawing.blocks[dimension.dxf.geometry] if entity.dxftype() == "MTEXT")
    text: Any = words
    return str(text.plain_text())


def inches() -> Subject:
    asked = question()
    return subject(request=replace(asked, weldment=replace(asked.weldment, units="inch")))


def test_overall_sizes_state_what_they_measure() -> None:
    drawing = opened(subject())
    x0, y0, x1, y1 = scene(subject()).part_box
    wide, high = dimensions(drawing, LINEAR)
    assert (wide.get_measurement(), high.get_measurement()) == (pytest.approx(x1 - x0), pytest.approx(y1 - y0))
    assert (stated(drawing, wide), stated(drawing, high)) == ("400", "50")


def test_every_column_and_row_with_a_piece_is_measured_from_hole_a1() -> None:
    drawing = opened(subject())
    first = scene(subject()).table.first
    across: set[float] = set()
    up: set[float] = set()
    for one in dimensions(drawing, ORDINATE):
        assert tuple(one.dxf.defpoint)[:2] == first
        vector: Any = one.get_measurement()
        measured, found = (vector.x, across) if one.dxf.dimtype & X_TYPE else (vector.y, up)
        assert float(stated(drawing, one)) == pytest.approx(measured, abs=0.005)
        found.add(round(measured, 6))
    stand = [piece.origin for piece in scene(subject()).pieces if piece.hole is not None]
    assert across == {x - first[0] for x, _ in stand}
    assert up == {y - first[1] for _, y in stand}


def test_inches_are_shown_where_the_weldment_was_drawn_in_them() -> None:
    drawing = opened(inches())
    wide, high = dimensions(drawing, LINEAR)
    assert wide.get_measurement() == pytest.approx(400)
    assert (stated(drawing, wide), stated(drawing, high)) == ("15.748 in", "1.969 in")
    assert all(stated(drawing, one).endswith(" in") for one in dimensions(drawing, ORDINATE))


def test_dimensions_stand_outside_of_what_is_drawn() -> None:
    drawing, (left, bottom, right, top) = opened(subject()), scene(subject()).window
    wide, high = dimensions(drawing, LINEAR)
    assert wide.dxf.defpoint.y == pytest.approx(top) and high.dxf.defpoint.x == pytest.approx(right)
    for one in dimensions(drawing, ORDINATE):
        end = one.dxf.defpoint3
        assert end.y < bottom if one.dxf.dimtype & X_TYPE else end.x < left
