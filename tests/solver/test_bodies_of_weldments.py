"""Convex outer bodies as parts: what they may be, and what a weldment may not ask of them."""

from __future__ import annotations

import pytest

from inventory.errors import InvalidDocument
from inventory.shapes import Point2
from service.documents import read_weldment
from service.documents.weldment import weldment_document
from solver.drafting import faces, pair_seams, seams
from solver.laying.fit import fit_faults
from solver.laying.mass import mass_kg
from solver.sections import Section
from solver.weldment import OpenDimension, Tolerance, Weld, Weldment
from tests import builders as b

HEXAGON: tuple[Point2, ...] = ((20, 0), (10, 17), (-10, 17), (-20, 0), (-10, -17), (10, -17))


def refused(*parts: object, **more: object) -> list[tuple[str, str]]:
    with pytest.raises(InvalidDocument) as caught:
        Weldment(tuple(parts), **more)  # type: ignore[arg-type]
    return [(fault.pointer, fault.wrong) for fault in caught.value.faults]


def test_an_outline_must_be_convex_as_far_as_rounding_goes() -> None:
    assert Section("body", plate_outline=HEXAGON).body
    assert Section("body", plate_outline=HEXAGON[::-1]).body
    assert Section("body", plate_outline=(*HEXAGON[:1], (15.0005, 8.5), *HEXAGON[1:])).body
    with pytest.raises(InvalidDocument, match=r"not convex: corner 1 lies 0\.\d+ mm inside"):
        Section("body", plate_outline=(*HEXAGON[:1], (14.56, 8.25), *HEXAGON[1:]))


def test_a_body_has_an_outline_and_nothing_else() -> None:
    for more in ({"width": 20}, {"corner_radius": 2}, {"plate_cutouts": (((-1, -1), (1, -1), (0, 1)),)}):
        with pytest.raises(InvalidDocument):
            Section("body", plate_outline=HEXAGON, **more)
    with pytest.raises(InvalidDocument):
        Section("body")


def test_no_face_of_a_body_has_a_name_and_nothing_can_be_welded_to_it_by_a_seam() -> None:
    block, lying = b.body(size=(60, 40, 30), at=(0, -20, 50)), b.tube()
    assert block.face_labels == () and faces(block) == () and block.section.edges == ()
    assert seams([lying, block]) == [] and pair_seams(lying, block) == ()
    assert seams([lying, b.plate(at=(0, -20, 50)), block]) != []


def test_its_mass_is_that_of_the_whole_hull() -> None:
    assert mass_kg(b.body(size=(100, 100, 100)), 7850) == pytest.approx(7.85)


def test_a_hull_may_stand_in_other_parts() -> None:
    inside = b.body(at=(10, -10, 10))
    assert list(fit_faults((b.tube(), inside, b.body("other", at=(10, -10, 10))), (), 0.1)) == []
    assert [fault.pointer for fault in fit_faults((b.tube(), b.plate(at=(10, -10, 10)), inside), (), 0.1)] == ["/parts/1"]


def test_a_weld_that_joins_a_body_lies_on_the_other_part_and_is_not_made_in_the_fixture() -> None:
    parts = b.tube(), b.body(at=(100, -20, 50))
    off = Weld("w1", ("casting", "tube"), ((300, 25, 50), (350, 25, 50)), "fillet", leg=4, in_fixture="none")
    assert list(fit_faults(parts, (off,), 0.1)) == []
    Weldment(parts, (off,))
    astray = Weld("w1", ("casting", "tube"), ((100, -20, 80), (150, -20, 80)), "fillet", leg=4, in_fixture="none")
    (fault,) = fit_faults(parts, (astray,), 0.1)
    assert fault.pointer == "/welds/0/path" and "part 'tube'" in fault.accepted
    for wanted in ("full", "tack"):
        asked = Weld("w1", ("tube", "casting"), off.path, "fillet", leg=4, in_fixture=wanted)
        ((pointer, wrong),) = refused(*parts, welds=(asked,))
        assert pointer == "/welds/0/in_fixture" and "'casting', a body" in wrong


def test_nothing_is_measured_at_a_body_and_none_stands_alone() -> None:
    parts = b.tube(), b.body(at=(100, -20, 50))
    on, off = Tolerance("casting", (0, 0, 0), b.X, 0.5), Tolerance("tube", (0, 0, 0), b.X, 0.5, "casting")
    assert [at for at, _ in refused(*parts, tolerances=(on, off))] == ["/tolerances/0/part", "/tolerances/1/relative_to"]
    assert [at for at, _ in refused(*parts, open_dimensions=(OpenDimension("casting", b.X, -1, 1),))] == [
        "/open_dimensions/0/part"
    ]
    assert [at for at, _ in refused(parts[1])] == ["/parts"]


def test_a_document_with_a_body_is_read_and_written_back() -> None:
    document = {
        "format": "holdwright.weldment/1", "units": "inch",
        "parts": [
            {"id": "tube", "section": {"shape": "square_tube", "width": 2, "wall": 0.125}, "length": 20,
             "pose": {"at": [0, 0, 1], "along": [1, 0, 0], "up": [0, 0, 1]}},
            {"id": "casting", "section": {"shape": "body", "outline": [[0, 0], [2, 0], [2, 1], [0, 1]]}, "length": 3,
             "pose": {"at": [5, 0, 2], "along": [0, 0, 1], "up": [0, 1, 0]},
             "cuts": [{"point": [1, 0, 3], "normal": [1, 0, 1]}]},
        ],
    }  # fmt: skip
    weldment = read_weldment(document)
    casting = weldment.part("casting")
    assert casting.section.plate_outline[2] == pytest.approx((50.8, 25.4)) and casting.length == pytest.approx(76.2)
    assert weldment.bodies == (casting,) and [part.id for part in weldment.without_bodies().parts] == ["tube"]
    assert read_weldment(weldment_document(weldment)) == weldment


def test_a_document_tells_every_fault_of_a_body_at_its_place() -> None:
    def faults(section: dict[str, object], **more: object) -> list[str]:
        part = {"id": "casting", "section": {"shape": "body", **section}, "length": 30, **more,
                "pose": {"at": [0, 0, 0], "along": [0, 0, 1], "up": [0, 1, 0]}}  # fmt: skip
        document = weldment_document(b.weldment(b.tube()))
        document["parts"].append(part)
        document["welds"] = [{"id": "w1", "parts": ["tube", "casting"], "path": [[0, 0, 50], [20, 0, 50]], "kind": "butt"}]
        document["tolerances"] = [{"part": "casting", "point": [0, 0, 0], "direction": [1, 0, 0], "plus_minus": 1}]
        with pytest.raises(InvalidDocument) as caught:
            read_weldment(document)
        return [fault.pointer for fault in caught.value.faults]

    square = [[0, 0], [20, 0], [20, 20], [0, 20]]
    assert faults({"outline": square}) == ["/welds/0/in_fixture", "/tolerances/0/part"]
    assert faults({"outline": [[0, 0], [20, 0], [5, 5], [0, 20]]}) == ["/parts/1/section/outline"]
    assert faults({"outline": square, "cutouts": []})[0] == "/parts/1/section/cutouts"
    assert faults({"outline": square}, cuts=[{"point": [0, 0, 40], "normal": [0, 0, 1]}])[0].startswith("/parts/1/cuts")


def test_pieces_asked_for_at_a_body_are_refused() -> None:
    from solver.described_pieces import DescribedPiece

    with pytest.raises(InvalidDocument, match="no hardware locates or clamps it"):
        b.request(b.weldment(b.tube(), b.body(at=(0, 100, 0))), pins=(DescribedPiece(part="casting"),))
