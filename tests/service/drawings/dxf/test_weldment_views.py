"""A weldment as DXF: sound to readers, a layer a part, true arcs where one looks along it, plates flat as they were given."""

from __future__ import annotations

import io
import math
from itertools import pairwise

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline

from inventory.shapes import PlaneCut
from service.drawings.dxf.weldment_views import part_layers, plate_layer, weldment_dxf
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests.builders import Y, Z, fillet, outline_plate, tube, weldment

LUG = ((0, 0), (90, 0), (90, 40), (60, 70), (0, 70))
WINDOW = ((10, 10), (10, 30), (30, 30), (30, 10))


def frame() -> Weldment:
    """A tube along x, a round one standing on it, a plate with a cut-out, mitred at one edge."""
    post = Part("post", Section("round_tube", diameter=40, wall=4), 200, Pose((250, 0, 50), Z, Y))
    section = Section("plate", plate_outline=LUG, plate_cutouts=(WINDOW,))
    lug = Part("lug", section, 6.35, Pose((100, -30, 50), Z, Y), cuts=(PlaneCut((90, 0, 0), (1, 0, 1)),))
    return weldment(tube("rail"), post, lug, welds=[fillet("w1", ("rail", "lug"), (110, -25, 50), (110, 25, 50))], name="frame")


def opened(drawn: Weldment) -> Drawing:
    drawing = ezdxf.read(io.StringIO(weldment_dxf(drawn)))
    audited = drawing.audit()
    assert not [*audited.errors, *audited.fixes]
    return drawing


def rings(drawing: Drawing, layer: str) -> list[list[tuple[float, float, float]]]:
    found = drawing.modelspace().query(f"LWPOLYLINE[layer=='{layer}']")
    assert all(isinstance(entity, LWPolyline) and entity.closed for entity in found)
    return [[(x, y, bulge) for x, y, bulge in entity.get_points("xyb")] for entity in found if isinstance(entity, LWPolyline)]


def test_every_part_is_on_its_layer_in_three_views() -> None:
    drawing = opened(frame())
    layers = {layer.dxf.name for layer in drawing.layers}
    assert {"PART rail", "PART post", "PART lug", "PLATE 6.35MM", "WELDS", "DIMENSIONS", "TEXT"} <= layers
    above, front, right = rings(drawing, "PART rail")[0], rings(drawing, "PART rail")[1], rings(drawing, "PART rail")[2:]
    assert sorted({round(x) for x, _, _ in above}) == [0, 500] and sorted({round(y) for _, y, _ in above}) == [-25, 25]
    assert max(y for _, y, _ in front) < -25, "the view from the front lies below the view from above"
    assert len(right) == 2 and min(x for x, _, _ in right[0]) > 500, "along the tube its bore is seen too"
    assert len(drawing.modelspace().query("LWPOLYLINE[layer=='WELDS']")) == 3


def test_arcs_are_true_where_one_looks_along_a_part() -> None:
    """A circle is two half arcs, bulge 1 or -1; the corner of a tube is a quarter, tan(90 / 4 degrees)."""
    drawing = opened(frame())
    outside, bore, *_ = rings(drawing, "PART post")
    assert [bulge for _, _, bulge in outside] == [1, 1] and [bulge for _, _, bulge in bore] == [1, 1]
    assert sorted(x for x, _, _ in outside) == pytest.approx([230, 270]) and sorted(x for x, _, _ in bore) == pytest.approx(
        [234, 266]
    )
    outer = rings(drawing, "PART rail")[2]
    assert sorted({round(abs(bulge), 9) for _, _, bulge in outer}) == pytest.approx([0, math.tan(math.pi / 8)], abs=1e-9)
    corners = [(a, b) for a, b in pairwise(outer) if a[2]]
    assert all(math.dist(a[:2], b[:2]) == pytest.approx(6 * math.sqrt(2)) for a, b in corners)


def test_arcs_bulge_outwards_whichever_end_is_seen() -> None:
    """Seen from its start a section is mirrored: the arcs must be too."""
    for along in (Z, (0.0, 0.0, -1.0)):
        part = Part("post", Section("square_tube", width=50, wall=3), 200, Pose((0, 0, 0), along, Y))
        outer = rings(opened(weldment(part)), "PART post")[0]
        twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(outer, (*outer[1:], outer[0]), strict=True))
        assert all(bulge * twice >= 0 for _, _, bulge in outer) and any(bulge for _, _, bulge in outer)


def test_a_plate_lies_flat_as_its_outline_was_given() -> None:
    drawing = opened(frame())
    outline, window = rings(drawing, plate_layer(frame().part("lug")))
    (du, dv) = outline[0][0], outline[0][1]
    assert [(round(x - du, 9), round(y - dv, 9)) for x, y, _ in outline] == [tuple(map(float, p)) for p in LUG]
    assert [(round(x - du, 9), round(y - dv, 9)) for x, y, _ in window] == [tuple(map(float, p)) for p in WINDOW]
    texts = [text.dxf.text for text in drawing.modelspace().query("TEXT")]
    assert "PL6.35 lug (sloped edges are not drawn)" in texts and {
        "frame",
        "rail",
        "post",
        "from above",
        "from the right",
    } <= set(texts)


def test_layers_have_names_that_a_file_may_hold_and_no_two_the_same() -> None:
    ids = ("a/b", "A_B", "a:b", "Träger")
    parts = [outline_plate(id, LUG, at=(0, 0, 10.0 * k)) for k, id in enumerate(ids)]
    assert list(part_layers(weldment(*parts)).values()) == ["PART a_b", "PART A_B (2)", "PART a_b (3)", "PART Träger"]
    assert len(rings(opened(weldment(*parts)), "PART a_b (3)")) == 3


def test_the_same_weldment_gives_the_same_file() -> None:
    assert weldment_dxf(frame()) == weldment_dxf(frame())
