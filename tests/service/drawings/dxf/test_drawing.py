"""A DXF drawing is sound to its readers and has the plan's geometry, each outline with the id of what it is."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from ezdxf.document import Drawing
from ezdxf.entities import LWPolyline
from ezdxf.lldxf.encoding import decode_dxf_unicode
from ezdxf.tools.text import plain_text

from inventory import limits
from inventory.shapes import PlaneCut, Prism
from inventory.stock import StockSnapshot
from inventory.tables import Table
from service.drawings.dxf.drawing import MOST_HOLES, as_dxf
from service.drawings.scene import scene
from service.drawings.subject import Subject
from solver.plans import PlacedPart
from tests.service.drawings.dxf.reading import facts_of, opened
from tests.service.drawings.example import alternative, stock, subject
from tests.service.drawings.hostile import CLAMP, FIRST, SECOND, STOP, WELD, WELDMENT, hostile_subject

PLATE = Prism(((0, 0), (80, 0), (80, 60), (0, 60)), 0, 8, (((10, 10), (30, 10), (30, 30), (10, 30)),))
MITRED = Prism(((0, 0), (40, 0), (40, 40), (0, 40)), 0, 60, cuts=(PlaneCut((0, 0, 30), (1, 0, 1)),))


@pytest.fixture(scope="module")
def drawn() -> Drawing:
    return opened(subject())


def outlines(drawing: Drawing, layer: str) -> dict[str, list[LWPolyline]]:
    """Return the outlines on a layer by the id they name; each is closed."""
    found: dict[str, list[LWPolyline]] = {}
    for entity in drawing.modelspace().query(f"LWPOLYLINE[layer=='{layer}']"):
        assert isinstance(entity, LWPolyline) and entity.closed
        found.setdefault(facts_of(entity)["id"], []).append(entity)
    return found


def corners(outline: LWPolyline) -> list[tuple[float, float]]:
    return [(x, y) for x, y in outline.get_points("xy")]


def holes(drawing: Drawing) -> list[Any]:
    return list(drawing.modelspace().query("INSERT[layer=='HOLES']"))


def on_a(table: Table, subject: Subject) -> Subject:
    return replace(subject, stock=StockSnapshot({table.id: table}, subject.stock.items, {}, 1))


def with_solids(*solids: Prism) -> Subject:
    first, *others = alternative().parts
    return subject(replace(alternative(), parts=(PlacedPart(first.id, solids, ("table",)), *others)))


def test_the_drawing_is_in_millimetres(drawn: Drawing) -> None:
    assert drawn.dxfversion == "AC1024" and drawn.header["$INSUNITS"] == 4 and drawn.header["$MEASUREMENT"] == 1


def test_no_clock_and_no_chance_is_in_the_file() -> None:
    """Every date is the first day of 2000, as a Julian date."""
    text = as_dxf(subject())
    assert text == as_dxf(subject())
    assert re.findall(r"\$TDU?(?:CREATE|UPDATE)\n 40\n(.*)\n", text) == ["2451545.0"] * 4


def test_every_hole_is_there_and_blocked_ones_are_told(drawn: Drawing) -> None:
    lattice = stock().tables["T1"]
    found = holes(drawn)
    assert len(found) == lattice.columns * lattice.rows
    by_label = {facts_of(one)["hole"]: one for one in found}
    assert len(by_label) == len(found)
    assert (by_label["D4"].dxf.name, tuple(by_label["D4"].dxf.insert)) == ("HOLE", (160, 160, 0))
    assert [label for label, one in by_label.items() if one.dxf.name == "HOLE_BLOCKED"] == ["B3"]
    (rim,) = drawn.blocks["HOLE"]
    assert rim.dxf.radius == lattice.hole_diameter / 2


def test_of_a_huge_table_the_holes_near_the_fixture_are_drawn() -> None:
    lattice = replace(stock().tables["T1"], columns=200, rows=200, size=(9000.0, 9000.0))
    assert lattice.columns * lattice.rows > MOST_HOLES
    found = holes(opened(on_a(lattice, subject())))
    x0, y0, x1, y1 = scene(subject()).window
    near = [(x, y) for x in range(40, 9000, 40) for y in range(40, 9000, 40) if x0 <= x <= x1 and y0 <= y <= y1]
    assert sorted((one.dxf.insert.x, one.dxf.insert.y) for one in found) == near


def test_the_table_is_as_large_as_the_slab(drawn: Drawing) -> None:
    ((slab,),) = outlines(drawn, "TABLE").values()
    assert corners(slab) == [(0, 0), (1000, 0), (1000, 680), (0, 680)]


def test_outlines_are_the_plans_and_say_which_piece_they_are(drawn: Drawing) -> None:
    found = {layer: outlines(drawn, layer) for layer in ("PARTS", "LOCATORS", "CLAMPS", "CARRIERS")}
    assert set(found["PARTS"]) == {"bar-1", "bar-2"} and set(found["CLAMPS"]) == {"p4"} and set(found["CARRIERS"]) == {"p5"}
    seen = scene(subject())
    for body, shapes in (*((part.id, part.shapes) for part in seen.parts), *((one.id, one.shapes) for one in seen.pieces)):
        rings = [ring for shape in shapes for ring in shape.rings]
        drawn_rings = [outline for ids in found.values() for outline in ids.get(body, [])]
        assert len(rings) == len(drawn_rings) > 0
        for ring, outline in zip(rings, drawn_rings, strict=True):
            assert corners(outline) == [pytest.approx(point, abs=1e-6) for point in ring]


def test_an_outline_tells_what_the_plan_says_of_its_piece(drawn: Drawing) -> None:
    told = facts_of(outlines(drawn, "LOCATORS")["p10"][0])
    assert told == {
        "kind": "locator", "id": "p10", "number": "6", "item": "stop", "on": "p5", "turn": "90", "from_mm": "40", "to_mm": "100",
    }  # fmt: skip
    assert facts_of(outlines(drawn, "CLAMPS")["p4"][0])["setting_mm"] == "5"


def test_cut_outs_are_outlines_of_their_own() -> None:
    whole, hole = outlines(opened(with_solids(PLATE)), "PARTS")["bar-1"]
    assert corners(whole) == list(PLATE.outline) and corners(hole) == list(PLATE.cutouts[0])


def test_a_cut_part_shows_what_is_left_of_it() -> None:
    """Less what is thinner there than two points may be apart."""
    (left,) = outlines(opened(with_solids(MITRED)), "PARTS")["bar-1"]
    edge = 30 - limits.SPACING
    assert sorted(corners(left)) == [pytest.approx(point) for point in ((0, 0), (0, 40), (edge, 0), (edge, 40))]


def test_welds_are_where_the_weldment_lies(drawn: Drawing) -> None:
    (weld,) = drawn.modelspace().query("POLYLINE[layer=='WELDS']")
    assert [tuple(point) for point in weld.points()] == [(335, 180, 10), (335, 220, 10)]  # type: ignore[attr-defined]
    assert facts_of(weld)["id"] == "w1"


def test_contacts_are_points_with_their_normals(drawn: Drawing) -> None:
    points = {facts_of(point)["piece"]: point for point in drawn.modelspace().query("POINT[layer=='CONTACTS']")}
    lines = {facts_of(line)["piece"]: line for line in drawn.modelspace().query("LINE[layer=='CONTACTS']")}
    pieces = [piece for piece in alternative().placements if piece.contacts]
    assert set(points) == set(lines) == {piece.id for piece in pieces}
    for piece in pieces:
        (contact,) = piece.contacts
        point, line = points[piece.id], lines[piece.id]
        assert tuple(point.dxf.location) == contact.at == tuple(line.dxf.end)
        assert tuple((line.dxf.end - line.dxf.start).normalize()) == pytest.approx(contact.normal)
        (normal,) = (tag.value for tag in point.get_xdata("HOLDWRIGHT") if tag.code == 1013)
        assert tuple(normal) == contact.normal
        assert (facts_of(point)["part"], facts_of(point)["face"]) == (contact.part, contact.face)


def texts(drawing: Drawing) -> list[str]:
    return [plain_text(decode_dxf_unicode(text.dxf.text)) for text in drawing.modelspace().query("TEXT[layer=='TEXT']")]


def test_ids_stand_where_the_bodies_are_and_stacks_one_under_another(drawn: Drawing) -> None:
    assert {"p1", "p2", "p3", "p4", "p5", "p10", "bar-1", "bar-2", "bars in line"} <= set(texts(drawn))
    at = {text.dxf.text: text.dxf.align_point for text in drawn.modelspace().query("TEXT") if text.dxf.hasattr("align_point")}
    assert at["p10"].x == at["p5"].x == 400 and at["p10"].y == 320 > at["p5"].y + 8


def test_the_ids_of_parts_on_each_other_stand_apart() -> None:
    first, second = alternative().parts
    stacked = (first, replace(second, solids=first.solids))
    drawing = opened(subject(replace(alternative(), parts=stacked)))
    one, other = (
        text.dxf.align_point for text in drawing.modelspace().query("TEXT") if text.dxf.text in ("bar-1", "bar-2")
    )  # fmt: skip
    assert one.distance(other) > 25


def test_any_name_survives() -> None:
    drawing = opened(hostile_subject())
    assert set(outlines(drawing, "PARTS")) == {FIRST, SECOND}
    assert set(outlines(drawing, "CLAMPS")) == {CLAMP}
    assert facts_of(outlines(drawing, "LOCATORS")["p1"][0])["item"] == STOP
    assert [facts_of(weld)["id"] for weld in drawing.modelspace().query("POLYLINE")] == [WELD]
    assert {FIRST, SECOND, CLAMP, WELDMENT} <= set(texts(drawing))


def test_two_stations_are_told_apart() -> None:
    one = alternative()
    first = replace(one.stations[0], number=1)
    x, (a, b, c, y), *rest = first.weldment_to_table
    second = replace(first, number=2, weldment_to_table=(x, (a, b, c, y + 300), *rest))
    parts = tuple(replace(part, station=number) for number in (1, 2) for part in one.parts)
    drawing = opened(subject(replace(one, stations=(first, second), parts=parts)))
    assert [facts_of(part)["station"] for part in outlines(drawing, "PARTS")["bar-1"]] == ["1", "2"]
    welds = [facts_of(weld)["station"] for weld in drawing.modelspace().query("POLYLINE")]
    assert welds == ["1", "2"]
    assert {"bar-1 / 1", "bar-1 / 2"} <= set(texts(drawing))
