"""Plates flat as DXF: read again by the product they are the same plates, by their ids and thicknesses."""

from __future__ import annotations

import io

import ezdxf
import pytest

from inventory.errors import InvalidDocument
from inventory.shapes import Point2
from service.drawings.dxf.flat_plates import plates_dxf
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.weldment_reading import ReadingOptions
from solver.sections import Section
from solver.weldment import Part, Pose, Weldment
from tests.builders import outline_plate, plate, tube, weldment

LUG: tuple[Point2, ...] = ((0, 0), (90, 0), (90, 40), (60, 70), (0, 70))
RING: tuple[Point2, ...] = ((-50, -50), (50, -50), (50, 50), (-50, 50))
WINDOW: tuple[Point2, ...] = ((-40, -40), (40, -40), (40, 40), (-40, 40))


def frame() -> Weldment:
    """A tube, a lug, a thin ring whose middle is cut out, and a small plate of inches."""
    ring = Part("ring", Section("plate", plate_outline=RING, plate_cutouts=(WINDOW,)), 3, Pose((0, 0, 300), (0, 0, 1), (0, 1, 0)))
    return weldment(tube(), outline_plate("lug", LUG, 8, (0, 0, 50)), ring, plate("shim", (12, 9), 3.175, (0, 0, 100)))


def test_plates_are_read_again_as_they_were() -> None:
    found = READERS["dxf"].read(plates_dxf(frame()).encode(), "plates", ReadingOptions())
    assert [(body.name, body.outcome, body.remarks) for body in found.bodies] == [
        (id, "part", ()) for id in ("lug", "ring", "shim")
    ]
    assert found.remarks == ()
    for part in found.parts:
        was = frame().part(part.id)
        assert part.length == was.length
        for ring, given in zip(
            (part.section.outline, *part.section.cutouts), (was.section.outline, *was.section.cutouts), strict=True
        ):
            (u, v), (x, y) = part.section.outline[0], was.section.outline[0]
            assert sorted((round(a - u, 6), round(b - v, 6)) for a, b in ring) == sorted((a - x, b - y) for a, b in given)


def test_the_file_is_sound_and_the_same_every_time() -> None:
    drawn = plates_dxf(frame())
    assert drawn == plates_dxf(frame())
    drawing = ezdxf.read(io.StringIO(drawn))
    audited = drawing.audit()
    assert not [*audited.errors, *audited.fixes]
    assert {"PLATE 8MM", "PLATE 3MM", "PLATE 3.175MM", "TEXT"} <= {layer.dxf.name for layer in drawing.layers}
    assert [text.dxf.text for text in drawing.modelspace().query("TEXT")] == ["lug", "ring", "shim"]


def test_a_weldment_without_plates_has_no_such_drawing() -> None:
    with pytest.raises(InvalidDocument, match="no part is a plate"):
        plates_dxf(weldment(tube()))
