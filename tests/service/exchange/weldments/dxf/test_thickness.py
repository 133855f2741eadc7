"""How thick a plate is: the user's word on its layer, a text in it, its layer's name, the user's word on all plates."""

from __future__ import annotations

import pytest

from service.exchange.weldments.dxf.thickness import layer_thickness, only_thickness, thicknesses
from tests.service.exchange.weldments.dxf.drawings import codes, drawing, only_body, reading

SQUARE = [(0, 0), (100, 0), (100, 60), (0, 60)]


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("t=8", [8]), ("T = 8,5 mm", [8.5]), ("8 mm", [8]), ("PL8", [8]), ("pl 10 S355", [10]), ("Plate 12mm", [12]), ("thk: 6", [6]),
        ("thickness 6.35", [6.35]), ('t=1/4"', [6.35]), ("t=1/4", []), ("t=1/0 in", []), ('t=0.25"', [6.35]), ("0.5 in", [12.7]), ("2 off t=8", [8]), ("t=8\nt=8", [8]),
        ("t=8\nPL10", [8, 10]), ("M8", []), ("8", []), ("weight 8", []), ("hole 8 mm deep", []), ("t8x20", []), ("PL8x100", []),
        ("S355J2", []), ("t=0", []), ("t=99999 mm", []), ("bolt8", []), ("", []), ("t=8.", [8]), ("(t=8)", [8]),
    ],
)  # fmt: skip
def test_texts(text: str, mm: list[float]) -> None:
    assert thicknesses(text, "mm") == pytest.approx(mm)


def test_numbers_without_a_unit_are_inches_in_drawings_of_inches() -> None:
    assert thicknesses("t=0.25", "inch") == pytest.approx([6.35]) and thicknesses("t=6 mm", "inch") == [6]
    assert thicknesses("t=8", "m") == [8]


@pytest.mark.parametrize(
    ("layer", "mm"),
    [("PLATE 8MM", 8), ("T8", 8), ("t=8", 8), ("PL_10", 10), ("8mm", 8), ("CUT-T6", 6), ("CUT", None), ("0", None), ("8", None),
     ("T8_T10", None), ("LAYER1", None)],
)  # fmt: skip
def test_names_of_layers(layer: str, mm: float | None) -> None:
    assert layer_thickness(layer, "mm") == mm


def test_lines_that_say_a_thickness_alone_are_no_names() -> None:
    assert all(map(only_thickness, ("t=8", "8 mm", "PL 10", "thk 6mm"))) and not any(map(only_thickness, ("LUG t=8", "8", "A")))


@pytest.mark.parametrize(
    ("layer", "text", "by_layer", "all_plates", "thickness", "remarks"),
    [
        ("T8", "t=10", {"T8": 12.0}, 5.0, 12, ["thickness.differs"]),
        ("T8", "t=10", {}, 5.0, 10, ["thickness.differs"]),
        ("T8", "", {}, 5.0, 8, []),
        ("T8", "t=8", {}, None, 8, []),
        ("CUT", "", {}, 5.0, 5, []),
        ("CUT", "", {"OTHER": 9.0}, None, None, ["thickness.missing"]),
        ("T8", "t=8\nt=10", {}, 5.0, None, ["thickness.ambiguous"]),
        ("T8", "t=8\nt=10", {"T8": 6.0}, 5.0, 6, ["thickness.differs"]),
    ],
)  # fmt: skip
def test_the_nearest_word_goes_first_and_others_that_differ_are_told(
    layer: str, text: str, by_layer: dict[str, float], all_plates: float | None, thickness: float | None, remarks: list[str]
) -> None:
    made, space = drawing()
    space.add_lwpolyline(SQUARE, close=True, dxfattribs={"layer": layer})
    space.add_mtext(text.replace("\n", "\\P"), dxfattribs={"insert": (20, 40)})
    found = reading(made, thickness_by_layer=by_layer, thickness_mm=all_plates)
    assert [part.length for part in found.parts] == ([] if thickness is None else [thickness])
    assert codes(found.bodies[0].remarks) == remarks


def test_a_text_belongs_to_the_plate_it_stands_in() -> None:
    made, space = drawing()
    for size in (50, 30, 10):
        space.add_lwpolyline([(-size, -size), (size, -size), (size, size), (-size, size)], close=True)
    space.add_text("RING", dxfattribs={"insert": (-45, -45)})
    space.add_text("t=8", dxfattribs={"insert": (-20, -20)})
    space.add_text("DISC t=4", dxfattribs={"insert": (-5, -5)})
    space.add_text("t=99", dxfattribs={"insert": (200, 200)})
    assert [(part.id, part.length) for part in reading(made).parts] == [("RING", 8), ("DISC t=4", 4)]


def test_names_are_given_once_and_none_is_reserved() -> None:
    made, space = drawing()
    for k, name in enumerate(("LUG", "LUG", "table", "x" * 100)):
        space.add_lwpolyline([(200 * k, 0), (200 * k + 100, 0), (200 * k, 60)], close=True)
        space.add_text(name, dxfattribs={"insert": (200 * k + 20, 10)})
    assert [part.id for part in reading(made).parts] == ["LUG", "LUG-2", "table-2", "x" * 58]


def test_a_plate_without_thickness_waits_for_the_user() -> None:
    made, space = drawing()
    space.add_lwpolyline(SQUARE, close=True)
    body = only_body(made, thickness_mm=None)
    assert body.outcome == "not_recognised" and body.remarks[0].at == (0, 0, 0)
    assert only_body(made, thickness_mm=None, left_out=("*",)).outcome == "left_out"
