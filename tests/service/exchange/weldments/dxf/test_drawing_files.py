"""Versions, encodings and units of DXF files; what is not part of an outline; blocks; what is refused, with its number."""

from __future__ import annotations

import math
import time

import pytest

from inventory.errors import Fault, InvalidDocument
from service.exchange.weldments.dxf.reading import read_dxf
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.weldment_reading import ReadingOptions
from tests.service.exchange.weldments.dxf.drawings import box, codes, content, drawing, metal, only_body, only_part, reading

SQUARE = [(0, 0), (100, 0), (100, 60), (0, 60)]
L_SHAPE = [(0, 0), (40, 0), (40, 10), (10, 10), (10, 30), (0, 30)]


def refused(data: bytes, **options: object) -> Fault:
    with pytest.raises(InvalidDocument) as caught:
        READERS["dxf"].read(data, "x", ReadingOptions(**{"thickness_mm": 5.0, **options}))  # type: ignore[arg-type]
    return caught.value.faults[0]


@pytest.mark.parametrize("form", ["asc", "bin"])
@pytest.mark.parametrize(("version", "code"), [("R12", "AC1009"), ("R2000", "AC1015"), ("R2007", "AC1021"), ("R2018", "AC1032")])
def test_versions_and_forms_are_read_alike(version: str, code: str, form: str) -> None:
    made, space = drawing(version)
    space.add_polyline2d(
        [(0, 0, 0), (100, 0, 1), (100, 60, 0), (0, 60, 0)], format="xyb", close=True, dxfattribs={"layer": "Träger"}
    )
    space.add_text("Knotenblech ä", dxfattribs={"insert": (20, 20)})
    found = reading(made, form, units="mm")
    (part,) = found.parts
    assert found.dialect == code and part.id == "Knotenblech ä"
    assert metal(part) == pytest.approx(6000 + math.pi * 450, rel=2e-3)


@pytest.mark.parametrize(
    ("number", "unit", "mm"), [(1, "inch", 25.4), (2, "foot", 304.8), (4, "mm", 1), (5, "cm", 10), (6, "m", 1000)]
)
def test_units_are_those_of_the_file(number: int, unit: str, mm: float) -> None:
    made, space = drawing(units=number)
    space.add_lwpolyline([(1, 2), (3, 2), (3, 3), (1, 3)], close=True)
    found = reading(made)
    assert (found.units, found.remarks) == (unit, ())
    assert box(found.parts[0]) == pytest.approx((mm, 2 * mm, 3 * mm, 3 * mm))


def test_a_file_without_units_is_refused_unless_the_user_says() -> None:
    made, space = drawing(units=0)
    space.add_lwpolyline(SQUARE, close=True)
    fault = refused(content(made))
    assert fault.pointer == "/header/$INSUNITS" and "names no unit" in fault.wrong and "mm, cm, m, inch or foot" in fault.accepted
    assert box(only_part(made, units="cm")) == (0, 0, 1000, 600)
    made.header["$INSUNITS"] = 3
    assert "number 3 of $INSUNITS" in refused(content(made)).wrong


def test_units_that_differ_are_told() -> None:
    made, space = drawing()
    space.add_lwpolyline([(0, 0), (10, 0), (10, 6)], close=True)
    assert codes(reading(made, units="inch").remarks) == ["units.differ"]
    made.header["$MEASUREMENT"] = 0
    assert codes(reading(made).remarks) == ["units.doubtful"]


def test_mirrored_and_tilted_entities() -> None:
    """Extrusion (0, 0, -1) mirrors x (DXF reference, arbitrary axis algorithm)."""
    made, space = drawing()
    mirrored = {"extrusion": (0, 0, -1)}
    space.add_lwpolyline([(0, 0, 0), (100, 0, 1), (100, 60, 0), (0, 60, 0)], format="xyb", close=True, dxfattribs=mirrored)
    space.add_arc((-300, 0), 20, 0, 90, dxfattribs=mirrored)
    space.add_lwpolyline([(280, 0), (300, 0), (300, 20)])
    space.add_circle((0, 0, 0), 10, dxfattribs={"extrusion": (1, 0, 0)})
    space.add_line((0, 0, 0), (50, 0, 30))
    found = reading(made)
    bulged, quarter = found.parts
    assert box(bulged) == pytest.approx((-130, 0, 0, 60), abs=0.02)
    assert box(quarter) == pytest.approx((280, 0, 300, 20)) and metal(quarter) == pytest.approx(math.pi * 100, rel=2e-3)
    assert codes(found.remarks) == ["entity.not_flat"] * 2


def test_blocks_are_opened_where_they_stand_turned_stretched_mirrored_and_in_rows() -> None:
    made, space = drawing()
    block = made.blocks.new("LUG", base_point=(5, 5))
    block.add_lwpolyline(L_SHAPE, close=True)
    block.add_circle((5, 20), 2, dxfattribs={"layer": "HOLES"})
    twice = made.blocks.new("PAIR")
    twice.add_blockref("LUG", (0, 0))
    twice.add_blockref("LUG", (200, 0), dxfattribs={"xscale": -1})
    space.add_blockref("LUG", (1000, 0), dxfattribs={"rotation": 90, "layer": "T8"})
    space.add_blockref("LUG", (2000, 0), dxfattribs={"xscale": 2, "yscale": 3})
    space.add_blockref("PAIR", (3000, 0))
    grid = space.add_blockref(
        "LUG", (4000, 0), dxfattribs={"row_count": 2, "column_count": 2, "row_spacing": 50, "column_spacing": 60}
    )
    assert grid.mcount == 4
    parts = reading(made).parts
    assert [part.id for part in parts] == ["LUG", *(f"LUG-{k}" for k in range(2, 9))]
    assert [box(part) for part in parts] == [
        pytest.approx((975, -5, 1005, 35)), pytest.approx((1990, -15, 2070, 75)), pytest.approx((2995, -5, 3035, 25)),
        pytest.approx((3165, -5, 3205, 25)), pytest.approx((3995, -5, 4035, 25)), pytest.approx((4055, -5, 4095, 25)),
        pytest.approx((3995, 45, 4035, 75)), pytest.approx((4055, 45, 4095, 75)),
    ]  # fmt: skip
    assert [part.length for part in parts] == [8, *[5] * 7]
    assert metal(parts[1]) == pytest.approx(6 * (600 - math.pi * 4), rel=2e-3)
    assert all(len(part.section.cutouts) == 1 for part in parts)


def test_a_bomb_of_blocks_is_refused_at_once_with_its_number() -> None:
    made, space = drawing()
    made.blocks.new("B0").add_circle((0, 0), 1)
    for level in range(1, 10):
        block = made.blocks.new(f"B{level}")
        for _ in range(10):
            block.add_blockref(f"B{level - 1}", (0, 0))
    space.add_blockref("B9", (0, 0))
    data, began = content(made), time.process_time()
    fault = refused(data)
    assert time.process_time() - began < 2
    assert "2,111,111,111 entities" in fault.wrong and fault.accepted == "at most 50,000"


def test_blocks_that_hold_themselves_and_endless_rows_are_refused() -> None:
    made, space = drawing()
    one, other = made.blocks.new("ONE"), made.blocks.new("OTHER")
    one.add_blockref("OTHER", (0, 0))
    other.add_blockref("ONE", (0, 0))
    space.add_blockref("ONE", (0, 0))
    assert "holds itself" in refused(content(made)).wrong
    made, space = drawing()
    made.blocks.new("LUG").add_lwpolyline(L_SHAPE, close=True)
    space.add_blockref("LUG", (0, 0), dxfattribs={"row_count": 30000, "column_count": 30000})
    assert "6,300,000,000 entities" in refused(content(made)).wrong
    made, space = drawing()
    for level in range(20):
        made.blocks.new(f"L{level}").add_blockref(f"L{level + 1}", (0, 0))
    space.add_blockref("L0", (0, 0))
    assert "more than 16 deep" in refused(content(made)).wrong


def test_what_is_no_outline_is_told_by_sort_and_layer_and_left_alone() -> None:
    made, space = drawing()
    made.linetypes.add("CENTER", [2.0, 1.25, -0.25, 0.25, -0.25])
    made.layers.add("MIDDLE", linetype="CENTER")
    made.layers.add("OLD").off()
    made.layers.add("FROZEN").freeze()
    space.add_lwpolyline(SQUARE, close=True)
    space.add_line((-10, 30), (110, 30), dxfattribs={"layer": "MIDDLE"})
    space.add_circle((50, 30), 10, dxfattribs={"linetype": "CENTER"})
    space.add_circle((50, 30), 12, dxfattribs={"layer": "OLD"})
    space.add_circle((50, 30), 14, dxfattribs={"layer": "FROZEN"})
    space.add_linear_dim((0, 80), (0, 0), (100, 0)).render()
    space.add_hatch().paths.add_polyline_path([(0, 0), (10, 0), (0, 10)])
    space.add_point((5, 5))
    made.layout("Layout1").add_lwpolyline(SQUARE, close=True)
    found = reading(made)
    assert found.parts[0].section.cutouts == ()
    assert {(remark.text.split(":")[0], remark.where) for remark in found.remarks if remark.code == "entity.ignored"} == {
        ("dimensions", "layer 0"), ("hatches", "layer 0"), ("points", "layer 0"), ("lines of linetype CENTER", "layer 0"),
        ("lines of linetype CENTER", "layer MIDDLE"), ("entities that are switched off", "layer OLD"),
        ("entities that are switched off", "layer FROZEN"),
    }  # fmt: skip
    assert codes(found.remarks)[-1] == "paper.ignored"


@pytest.mark.parametrize(
    ("data", "wrong"),
    [
        (b"", "empty"), (b"   \r\n", "empty"), (b"PK\x03\x04" + bytes(100), "ZIP archive"), (b"AC1032" + bytes(100), "DWG drawing"),
        (b"ISO-10303-21;", "STEP file"), (b"hello world", "no DXF file"), (b"  0\nSECTION\n", "cannot be read as DXF|no closed outline|no unit"),
    ],
)  # fmt: skip
def test_other_files_are_refused_by_what_they_are(data: bytes, wrong: str) -> None:
    import re

    assert re.search(wrong, refused(data).wrong)


def test_a_damaged_file_is_read_or_refused_with_a_fault() -> None:
    made, space = drawing()
    space.add_lwpolyline(SQUARE, close=True)
    space.add_circle((50, 30), 10)
    whole = content(made)
    entities = whole.index(b"ENTITIES")
    read = 0
    for cut in range(entities, len(whole), len(whole) // 12):
        for damaged in (whole[:cut], whole[:cut] + b"\n999999\nx\n" + whole[cut:], whole[: cut - 3] + whole[cut + 40 :]):
            try:
                read += bool(read_dxf(damaged, "x", ReadingOptions(thickness_mm=5)).parts)
            except InvalidDocument as error:
                assert error.faults[0].wrong
    assert read > 0


def test_numbers_without_sense_are_told_and_left_out() -> None:
    made, space = drawing()
    space.add_lwpolyline(SQUARE, close=True)
    space.add_circle((0, 0), 77.25)
    space.add_lwpolyline([(1234567, 0), (0, 0), (5, 5)], close=True)
    data = content(made).replace(b"\n77.25\n", b"\n-1.0\n").replace(b"\n1234567.0\n", b"\n1e300\n")
    found = read_dxf(data, "x", ReadingOptions(thickness_mm=5))
    assert len(found.parts) == 1 and codes(found.remarks) == ["entity.unsound"] * 2


def test_too_many_plates_are_refused_and_a_plate_beyond_the_limits_is_told() -> None:
    made, space = drawing()
    for k in range(201):
        space.add_circle((k * 10, 0), 2)
    assert refused(content(made)).wrong == "201 plates"
    made, space = drawing()
    space.add_lwpolyline([(500000, 0), (500100, 0), (500100, 60)], close=True)
    body = only_body(made)
    assert body.outcome == "not_recognised" and codes(body.remarks) == ["outline.unfit"]


def test_gaps_wider_than_any_drawing_has_are_refused() -> None:
    made, _ = drawing()
    assert refused(content(made), gap_mm=11.0).pointer == "/gap_mm"
