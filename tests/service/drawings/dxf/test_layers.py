"""A blank drawing has what all is drawn with, and nothing that a machine or a day would change."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.drawings.dxf.layers import LAYERS, STYLE, blank, text_height
from tests.builders import table


def test_every_kind_has_its_layer() -> None:
    drawing = blank(table(), "mm")
    assert set(LAYERS) <= {layer.dxf.name for layer in drawing.layers}
    assert {"PARTS", "LOCATORS", "CLAMPS", "CARRIERS", "WELDS", "CONTACTS", "DIMENSIONS", "TEXT", "TABLE", "HOLES"} == set(LAYERS)


def test_every_layer_is_explained() -> None:
    page = (Path(__file__).parents[4] / "docs" / "files.md").read_text(encoding="utf-8")
    assert [layer for layer in LAYERS if f"`{layer}`" not in page] == []


def test_texts_go_between_the_holes() -> None:
    assert text_height(table(pitch=40)) == 8 < 40 - table().hole_diameter


@pytest.mark.parametrize(("units", "factor"), [("mm", 1.0), ("inch", 1 / 25.4)])
def test_dimensions_are_shown_in_the_unit_of_the_weldment(units: str, factor: float) -> None:
    style = blank(table(), units).dimstyles.get(STYLE)
    assert style.get_dxf_attrib("dimlfac", 1.0) == pytest.approx(factor)
    assert style.dxf.dimtxsty == STYLE
