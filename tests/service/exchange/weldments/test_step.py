"""STEP files come back as the parts they were drawn from: shapes, lengths, places, mitres, names and units."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from inventory.cuts import PlaneCut
from inventory.errors import InvalidDocument
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.weldment_reading import ReadBody, ReadingOptions, WeldmentReading
from solver.sections import Section
from solver.weldment import Part, Pose
from tests.service.exchange.weldments import step_files

MITRED = (PlaneCut((0, 0, 25), (0, 1, -1)), PlaneCut((0, 0, 575), (0, 1, 1)))
PARTS = (
    Part("mitred", Section("square_tube", width=50, wall=3), 600, Pose((0, 0, 25), (1, 0, 0), (0, 0, 1)), cuts=MITRED),
    Part("rect", Section("rect_tube", width=60, height=40, wall=3), 700, Pose((0, 300, 25), (1, 1, 0.3), (0, 0, 1))),
    Part("hot", Section("square_tube", width=80, wall=5, corner_radius=7.5), 900, Pose((0, 900, 0), (0, 0, 1), (0, 1, 0))),
    Part("tube", Section("round_tube", diameter=60.3, wall=3), 480.15, Pose((0, 600, 25), (0, 1, 0.3), (0, 0, 1)),
         cuts=(PlaneCut((0, 0, 450), (1, 0, 1)),)),
    Part("bar", Section("round_bar", diameter=20), 100, Pose((0, 900, 25), (0, 0, 1), (0, 1, 0))),
    Part("angle", Section("angle", leg_a=60, leg_b=40, thickness=5), 370, Pose((500, 900, 25), (0.2, 0, 1), (0, 1, 0)),
         cuts=(PlaneCut((0, 0, 370), (1, 0, 1)),)),
    Part("channel", Section("channel", height=80, flange=50, web=4, flange_thickness=7), 300, Pose((500, 1200, 625), (0, 1, 0), (0, 0, -1))),
    Part("flat", Section("flat_bar", width=50, thickness=8), 300, Pose((1500, 1700, 625), (0, 1, 0), (0, 0, 1)),
         cuts=(PlaneCut((0, 0, 275), (1, 0, 1)),)),
    Part("plate", Section("plate", plate_outline=((0, 0), (90, 0), (90, 60), (0, 60))), 8, Pose((180, -22, 50), (0, 0, 1), (0, 1, 0))),
    Part("gusset", Section("plate", plate_outline=((0, 0), (90, 0), (0, 60))), 8, Pose((180, -122, 50), (0, 0, 1), (0, 1, 0))),
)  # fmt: skip
"""Each in the pose that a reader finds of its own accord."""


def read(content: bytes, **options: Any) -> WeldmentReading:
    return READERS["step"].read(content, "frame.step", ReadingOptions(**options))


@pytest.fixture(scope="module")
def solids() -> dict[str, Any]:
    """Solids that nothing but OCP's own primitives makes."""
    return {part.id: step_files.drawn(part) for part in PARTS}


@pytest.fixture(scope="module")
def in_mm(solids: dict[str, Any]) -> bytes:
    return step_files.step(list(solids.items()), assembly="frame")


def assert_same(found: Part, drawn: Part) -> None:
    assert found.section.shape == drawn.section.shape
    assert found.section.sizes == pytest.approx(drawn.section.sizes, abs=1e-4)
    assert found.length == pytest.approx(drawn.length, abs=1e-4)
    assert np.array(found.pose.frame()) == pytest.approx(drawn.pose.frame(), abs=1e-4)
    assert len(found.cuts) == len(drawn.cuts)
    for one, other in zip(found.cuts, drawn.cuts, strict=True):
        assert one.normal == pytest.approx(other.normal, abs=1e-7)
        assert one.offset == pytest.approx(other.offset, abs=1e-4)


def test_every_part_length_pose_and_mitre_comes_back(in_mm: bytes) -> None:
    reading = read(in_mm)
    assert (reading.kind, reading.dialect, reading.units, reading.name) == ("step", "AP214", "mm", "frame")
    assert [body.name for body in reading.bodies] == [f"frame/{part.id}" for part in PARTS]
    assert [part.id for part in reading.parts] == [part.id for part in PARTS]
    for found, drawn in zip(reading.parts, PARTS, strict=True):
        assert_same(found, replace(drawn))
    for body in reading.bodies:
        assert body.deviation is not None
        assert abs(body.deviation.volume_share) < 2e-5, body
        assert body.deviation.largest_mm < 0.03, body
    assert reading.bodies[0].words == "square tube 50 x 50 x 3, 600 mm, mitred at both ends (45 degrees)"
    assert reading.bodies[2].words == "square tube 80 x 80 x 5 with corner radius 7.5, 900 mm"
    assert reading.weldment is not None


@pytest.mark.parametrize(("unit", "schema", "told"), [("INCH", "AP203", ("inch", "AP203")), ("M", "AP242DIS", ("m", "AP242"))])
def test_units_and_schemas_of_the_file_are_honoured(
    solids: dict[str, Any], unit: str, schema: str, told: tuple[str, str]
) -> None:
    reading = read(step_files.step([("post", solids["mitred"])], unit=unit, schema=schema))
    assert (reading.units, reading.dialect) == told
    assert_same(reading.parts[0], replace(PARTS[0], id="post"))
    assert reading.bodies[0].name == "post"


def test_units_that_the_user_names_go_before_the_file_s(solids: dict[str, Any]) -> None:
    reading = read(step_files.step([("post", solids["mitred"])]), units="inch")
    assert reading.parts[0].section.width == pytest.approx(1270)
    assert reading.parts[0].length == pytest.approx(15240)
    assert [remark.code for remark in reading.remarks] == ["units.overruled"]


def _drilled(solids: dict[str, Any]) -> Any:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    drill = BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(300, 0, 0), gp_Dir(0, 0, 1)), 5, 40).Shape()
    return BRepAlgoAPI_Cut(solids["mitred"], drill).Shape()


def test_what_is_no_prism_is_told_by_its_faces_and_waits_for_the_user_s_word(solids: dict[str, Any]) -> None:
    content = step_files.step([("drilled", _drilled(solids)), ("bar", solids["bar"])], assembly="frame")

    def body(**options: Any) -> ReadBody:
        return read(content, **options).bodies[0]

    told = body()
    assert (told.outcome, told.part) == ("not_recognised", None)
    assert "face.curved" in [remark.code for remark in told.remarks]
    assert all(remark.where.startswith("solid 1, face") for remark in told.remarks if remark.code == "face.curved")
    assert body(left_out=("frame/drilled",)).outcome == "left_out"
    assert body(left_out=("*",)).outcome == "left_out"
    for named in ("frame/drilled", "*"):
        reading = read(content, as_bodies=(named,))
        assert [(entry.outcome, entry.part) for entry in reading.bodies] == [("body", "drilled"), ("part", "bar")]
        assert reading.parts[0].section.shape == "body"
        assert sorted(np.ptp(reading.parts[0].section.outline, axis=0)) == pytest.approx([50, 600], abs=0.1)


def test_holes_drilled_through_walls_are_filled_by_the_user_s_word_and_no_others(solids: dict[str, Any]) -> None:
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    def drill(radius: float, x: float, y: float, z: float, deep: float) -> Any:
        return BRepPrimAPI_MakeCylinder(gp_Ax2(gp_Pnt(x, y, z), gp_Dir(0, 1, 0)), radius, deep).Shape()

    def without(solid: Any, *drills: Any) -> Any:
        for each in drills:
            solid = BRepAlgoAPI_Cut(solid, each).Shape()
        return solid

    tube = Part("tube", Section("round_tube", diameter=60, wall=3), 400, Pose((0.0, 0.0, 0.0), (0, 0, 1), (0, 1, 0)))
    bar = replace(tube, section=Section("round_bar", diameter=60))
    sides = BRepPrimAPI_MakeBox(gp_Pnt(-4, -60, 100), gp_Pnt(4, 60, 112)).Shape()
    slot = BRepAlgoAPI_Fuse(sides, BRepAlgoAPI_Fuse(drill(4, 0, -60, 100, 120), drill(4, 0, -60, 112, 120)).Shape()).Shape()
    content = step_files.step(
        [
            ("mitred", _drilled(solids)),
            ("tube", without(step_files.drawn(tube), drill(6, 0, -60, 200, 120), drill(4, 5, 0, 300, 60))),
            ("slotted", without(step_files.drawn(tube), slot)),
            ("blind", without(step_files.drawn(bar), drill(5, 0, 10, 200, 60))),
            ("edge", without(step_files.drawn(tube), drill(6, 0, -60, 0, 120))),
            ("plain", step_files.drawn(tube)),
        ]
    )
    plain = {body.name: body for body in read(content).bodies}
    drilled = {name for name, body in plain.items() if "solid.drilled" in [remark.code for remark in body.remarks]}
    assert drilled == {"mitred", "tube"}
    filled = read(content, filled=("*",))
    found = {part.id: part for part in filled.parts}
    assert set(found) == {"mitred", "tube", "plain"}
    assert found["tube"].section == found["plain"].section == tube.section
    assert (found["tube"].length, found["tube"].pose) == (found["plain"].length, found["plain"].pose)
    (whole,) = read(step_files.step([("mitred", solids["mitred"])])).parts
    assert replace(found["mitred"], name="") == replace(whole, name="")
    told = {body.name: body for body in filled.bodies}
    holes = [remark for remark in told["tube"].remarks if remark.code == "hole.filled"]
    assert sorted(remark.text.split(" mm")[0] for remark in holes) == ["a hole of 12", "a hole of 12", "a hole of 8"]
    deviation = told["tube"].deviation
    assert deviation is not None and deviation.largest_mm == 6
    assert deviation.volume_mm3 == pytest.approx(3 * math.pi * (2 * 6**2 + 4**2), rel=0.02)


@pytest.fixture(scope="module")
def odd() -> dict[str, ReadBody]:
    """What is drawn otherwise than it is modelled, read, by its name."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_NurbsConvert

    angle = [(0, 0), (60, 0), (60, 6), (6, 6), (6, 60), (0, 60)]
    beam = [(27, 50), (27, 44), (2, 44), (2, -44), (27, -44), (27, -50)]
    hot = Part("hot", Section("square_tube", width=80, wall=6, corner_radius=9), 500, PARTS[0].pose)
    shapes = {
        "hot angle": step_files.extruded(step_files.wire(angle, [0, 0, 4, 8, 4, 0]), length=500),
        "hot tube": step_files.drawn(hot, inside_radius=6),
        "beam": step_files.extruded(step_files.wire([*((-u, -v) for u, v in beam), *beam], [0, 0, 7, 7, 0, 0] * 2), length=800),
        "free": BRepBuilderAPI_NurbsConvert(step_files.drawn(PARTS[3])).Shape(),
        "flange": step_files.extruded(step_files.circle(150), [step_files.circle(60.3), step_files.circle(14, (55, 0))], 12),
    }
    return {body.name: body for body in read(step_files.step(list(shapes.items()))).bodies}


@pytest.mark.parametrize(
    ("name", "words", "remark", "share", "largest"),
    [
        ("hot angle", "angle 60 x 60 x 6, 500 mm", "section.roundings", 0.0100, 3.32),
        ("hot tube", "square tube 80 x 80 x 6 with corner radius 9, 500 mm", "section.inside_radius", 0.0134, 1.25),
        ("beam", "profile by its outline 54 x 100, 800 mm", None, 0.0005, 0.1),
        ("free", "round tube 60.3 x 3, 480.15 mm, mitred at one end (45 degrees)", None, 2e-5, 0.03),
        ("flange", "plate 150 x 150, 12 mm thick, 2 cut-outs", None, 0.0019, 0.1),
    ],
)
def test_what_is_modelled_otherwise_is_told_and_measured(
    odd: dict[str, ReadBody], name: str, words: str, remark: str | None, share: float, largest: float
) -> None:
    body = odd[name]
    assert (body.outcome, body.words) == ("part", words)
    assert [told.code for told in body.remarks] == ([remark] if remark else [])
    assert body.deviation is not None
    assert abs(body.deviation.volume_share) < share
    assert body.deviation.largest_mm < largest
    if remark:
        assert abs(body.deviation.volume_share) > 0.9 * share, "what is not modelled is measured, not assumed"
        assert body.deviation.largest_mm > 0.9 * largest


def test_solids_of_one_product_and_products_placed_twice_are_bodies_of_their_own(solids: dict[str, Any]) -> None:
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound

    pair, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(pair)
    for shape in (solids["bar"], solids["plate"]):
        builder.Add(pair, shape)
    content = step_files.step([("pair", pair), ("post", solids["mitred"]), ("post", solids["mitred"])], assembly="stand")
    reading = read(content)
    assert [body.name for body in reading.bodies] == ["stand/pair/1", "stand/pair/2", "stand/post", "stand/post 2"]
    assert [part.id for part in reading.parts] == ["pair-1", "pair-2", "post", "post-2"]


def test_faces_that_enclose_nothing_are_told_and_more_than_200_solids_refused(solids: dict[str, Any]) -> None:
    from OCP.TopAbs import TopAbs_ShapeEnum

    from service.exchange.weldments.step.solid_boundaries import each

    sheet = next(each(solids["plate"], TopAbs_ShapeEnum.TopAbs_FACE))
    remarks = read(step_files.step([("bar", solids["bar"]), ("sheet", sheet)])).remarks
    assert [(remark.code, remark.where) for remark in remarks] == [("shape.open", "sheet")]
    with pytest.raises(InvalidDocument, match="only 1 faces that enclose none"):
        read(step_files.step([("sheet", sheet)]))
    with pytest.raises(InvalidDocument, match="201 solids"):
        read(step_files.step([("rung", solids["bar"])] * 201, assembly="ladder"))


def test_names_stand_for_one_thing_each_and_ids_are_sound(solids: dict[str, Any]) -> None:
    names = ("post", "post", "table", "Träger 1/2", "  ")
    reading = read(step_files.step([(name, step_files.moved(solids["bar"], np.eye(4))) for name in names], assembly="stand"))
    assert [body.name for body in reading.bodies] == [
        "stand/post",
        "stand/post 2",
        "stand/table",
        "stand/Träger 1_2",
        "stand/solid",
    ]
    assert [part.id for part in reading.parts] == ["post", "post-2", "table-2", "träger-1_2", "solid"]


def test_mirrored_and_reversed_solids_are_read_as_they_stand(solids: dict[str, Any]) -> None:
    mirror = np.diag([1.0, -1.0, 1.0, 1.0])
    reading = read(step_files.step([("hand", step_files.moved(solids["angle"], mirror)), ("out", solids["bar"].Reversed())]))
    hand, out = reading.parts
    assert (hand.section.leg_a, hand.section.leg_b) == pytest.approx((40, 60))
    assert hand.pose.at[1] == pytest.approx(-900)
    assert_same(out, replace(PARTS[4], id="out"))


@pytest.mark.parametrize(
    ("damage", "wrong"),
    [
        (lambda content: b"", "does not begin with"),
        (lambda content: b"PK\x03\x04" + content, "does not begin with"),
        (lambda content: content[: len(content) // 2], "breaks off"),
        (lambda content: content.replace(b"MANIFOLD_SOLID_BREP", b"SOMETHING_ELSE"), "no solid at all"),
        (lambda content: content.replace(b"ENDSEC;\nEND-ISO", b"#9999 = MANIFOLD_SOLID_BREP('',#1);\n" * 2001 + b"ENDSEC;\nEND-ISO"), "2002 solids"),
    ],
)  # fmt: skip
def test_what_is_no_whole_step_file_is_refused(solids: dict[str, Any], damage: Callable[[bytes], bytes], wrong: str) -> None:
    content = step_files.step([("bar", solids["bar"])])
    with pytest.raises(InvalidDocument, match=wrong):
        read(damage(content))


def test_reading_prints_nothing(in_mm: bytes, capfd: pytest.CaptureFixture[str]) -> None:
    read(in_mm)
    captured = capfd.readouterr()
    assert (captured.out, captured.err) == ("", "")
