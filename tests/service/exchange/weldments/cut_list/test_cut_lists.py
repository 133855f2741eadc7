"""Cut lists: placed frames, parts laid out, slanted ends, every fault with its row and column."""

from __future__ import annotations

import math
from typing import Any

import pytest

from inventory.errors import InvalidDocument
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.weldment_reading import ReadingOptions, WeldmentReading
from solver.laying.mass import mass_kg


def read(text: str, **options: Any) -> WeldmentReading:
    return READERS["csv"].read(text.encode(), "frame", ReadingOptions(**options))


def faults(text: str, **options: Any) -> list[tuple[str, str]]:
    with pytest.raises(InvalidDocument) as caught:
        read(text, **options)
    return [(fault.pointer, fault.wrong) for fault in caught.value.faults]


def test_a_placed_frame() -> None:
    found = read(
        "part;designation;length;x;y;z;along;up;material\n"
        "rail;SHS 50x50x3;1200;0;0;25;+x;+z;\n"
        "post;RHS 60x40x4, EN 10210;800,5;600;0;50;0 0 1;-x;stainless\n"
        "lug;PL 8x100x200;;0;-25;50;;;\n"
    )
    rail, post, lug = found.parts
    assert (rail.section.shape, rail.length, rail.pose.at, rail.pose.along, rail.pose.up) == (
        "square_tube", 1200, (0, 0, 25), (1, 0, 0), (0, 0, 1),
    )  # fmt: skip
    assert post.section.sizes == {"width": 60, "height": 40, "wall": 4, "corner_radius": 6} and post.length == 800.5
    assert (post.pose.along, post.pose.up, post.material, rail.material) == ((0, 0, 1), (-1, 0, 0), "stainless", "steel")
    assert (lug.section.shape, lug.length, lug.pose.along, lug.pose.up) == ("plate", 8, (0, 0, 1), (0, 1, 0))
    assert lug.section.outline == ((0, 0), (100, 0), (100, 200), (0, 200))
    assert found.remarks == () and found.kind == "csv" and found.weldment is not None
    assert [body.words for body in found.bodies] == [
        "SHS 50x50x3 EN 10219-2, 1200 mm", "RHS 60x40x4 EN 10210-2, 800.5 mm", "PL 8x100x200",
    ]  # fmt: skip
    assert rail.name == "SHS 50x50x3 EN 10219-2"


def test_parts_without_positions_lie_beside_each_other_on_the_ground() -> None:
    found = read(
        "part,designation,length,quantity\nrail,UPE 80,1000,2\npost,L 80x40x6,500,1\nlug,PL 8x100,200,2\nbar,RD 20,300,1\n"
    )
    assert [part.id for part in found.parts] == ["rail-1", "rail-2", "post", "lug-1", "lug-2", "bar"]
    (remark,) = found.remarks
    assert remark.code == "parts.laid_out" and remark.text.startswith("6 of 6 parts have no position")
    boxes = []
    for part in found.parts:
        frame = part.pose.frame()
        corners = [frame[:3, :3] @ (u, v, w) + frame[:3, 3] for u, v in part.section.outline for w in (0, part.length)]
        boxes.append(([min(c[k] for c in corners) for k in range(3)], [max(c[k] for c in corners) for k in range(3)]))
    assert all(low[2] == pytest.approx(0, abs=1e-9) and low[0] == pytest.approx(0, abs=1e-9) for low, _ in boxes)
    assert [low[1] for low, _ in boxes[1:]] == pytest.approx([high[1] + 50 for _, high in boxes[:-1]])


def test_placed_and_loose_parts_keep_apart() -> None:
    found = read("part,designation,length,x,y,z,quantity\na,SHS 50x50x3,500,0,700,25,\nb,SHS 50x50x3,500,,,,3\n")
    a, b, _, _ = found.parts
    assert a.pose.at == (0, 700, 25) and b.pose.at == (0, 700 + 25 + 50 + 25, 25)
    assert found.remarks[0].text.startswith("3 of 4 parts")


def test_slanted_ends_take_off_what_a_saw_takes_off() -> None:
    """Hand calculation: both ends of a square tube at 45 degrees, short above: the mean length is 600 less 50."""
    found = read(
        "part,designation,length,start_cut,end_cut\na,SHS 50x50x3,600,45,45 up\nb,SHS 50x50x3,600,30 left,\nc,SHS 50x50x3,600,,0\n"
    )
    a, b, c = found.parts
    whole = mass_kg(c, 7850)
    assert (len(a.cuts), len(b.cuts), len(c.cuts)) == (2, 1, 0)
    assert mass_kg(a, 7850) == pytest.approx(whole * 550 / 600) and mass_kg(b, 7850) == pytest.approx(
        whole * (600 - 25 * math.tan(math.radians(30))) / 600
    )
    start, end = a.cuts
    assert (start.point, end.point) == ((0, -25, 0), (0, -25, 600))
    assert start.normal == pytest.approx((0, math.sqrt(0.5), -math.sqrt(0.5))) and end.normal[2] > 0
    assert b.cuts[0].normal[0] > 0 and b.cuts[0].point[0] == -25
    assert [body.words.split("mm")[-1] for body in found.bodies] == [", slanted at both ends", ", slanted at one end", ""]


def test_units_material_and_names_left_out() -> None:
    found = read(
        "part,designation,length\na,SHS 50x50x3,40\nb,SHS 51x51x3,40\n", units="inch", material="aluminium", left_out=("a",)
    )
    (part,) = found.parts
    assert (part.id, part.length, part.material, found.units) == ("b", 1016, "aluminium", "inch")
    assert [body.outcome for body in found.bodies] == ["left_out", "part"]
    (remark,) = found.bodies[1].remarks
    assert remark.code == "size.not_in_series" and remark.where == "row 3"


def test_every_fault_has_its_row_and_column() -> None:
    found = faults(
        "part;designation;length;quantity;material;start_cut;end_cut;x;y;z;along;up\n"
        "a;SHS 50x50x3;;;;;;;;;;\n"
        "b;UPE 90;600;;;;;;;;;\n"
        "a;SHS 50x50x3;x;;;;;;;;;\n"
        "c;SHS 50x50x3;600;0;wood;;;;;;;\n"
        "d;SHS 50x50x3;600;2;;;;0;0;0;;\n"
        "e;SHS 50x50x3;600;;;;;0;0;;;\n"
        "f;SHS 50x50x3;600;;;;;0;0;0;+w;+x\n"
        "g;SHS 50x50x3;600;;;;;0;0;0;+x;-x\n"
        "h;SHS 50x50x3;600;;;90;45 in;;;;;\n"
        "table;PL 8x100x200;300;;;;;;;;;\n"
        "i;SHS 50x50x3;1.200;;;;;;;;;;;z\n"
        "j;SHS 50x50x3;20;;;60 up;60 down;;;;;\n"
        "k;PL 8x100x200;;;;45;;;;;;\n"
        ";SHS 50x50x3;600;;;;;99999;0;0;;\n"
    )
    expected = [
        ("/rows/2/length", "missing"), ("/rows/3/designation", "UPE 90 is not in EN 10365"), ("/rows/4/length", "'x' is not a number"),
        ("/rows/4/part", "in row 2 too"), ("/rows/5/quantity", "0"), ("/rows/5/material", "'wood'"), ("/rows/6/quantity", "2 parts at one"),
        ("/rows/7/z", "without z"), ("/rows/8/along", "no direction"), ("/rows/9/up", "parallel"), ("/rows/10/start_cut", "too steep"),
        ("/rows/10/end_cut", "no slant"), ("/rows/11/part", "reserved"), ("/rows/12", "beyond the last column"),
        ("/rows/12/length", "could be 1200 or 1.200"), ("/rows/13/end_cut", "leave nothing"), ("/rows/14/start_cut", "a plate"),
        ("/rows/15/part", "empty"), ("/rows/15/x", "out of range"),
    ]  # fmt: skip
    for pointer, wrong in expected:
        assert any(at == pointer and wrong in said for at, said in found), (pointer, wrong, found)


@pytest.mark.parametrize(
    ("text", "pointer", "wrong"),
    [
        ("", "/rows/1", "the column part is missing"), ("part,designation\n", "/rows", "no rows"),
        ("part,profile\na,b\n", "/rows/1", "no column 'profile'"), ("part,designation,length\na,SHS 50x50x3,600\nb,SHS 40x40x3,\n", "/rows/3/length", "missing"),
        ("part,designation,length,quantity\na,SHS 50x50x3,600,150\nb,SHS 50x50x3,600,60\n", "/rows", "210 parts"),
        ("part,designation,length,quantity\na,SHS 50x50x3,19000,200\n", "/rows", "take more room"),
    ],
)  # fmt: skip
def test_lists_that_are_refused_as_a_whole(text: str, pointer: str, wrong: str) -> None:
    assert any(at == pointer and wrong in said for at, said in faults(text))


def test_a_plate_whose_length_is_said_twice_must_agree() -> None:
    assert faults("part,designation,length\na,PL 8x100x200,300\n")[0][0] == "/rows/2/length"
    assert read("part,designation,length\na,PL 8x100x200,200\n").parts[0].length == 8


def test_names_of_several_do_not_take_those_of_others() -> None:
    found = read("part,designation,length,quantity\na,SHS 50x50x3,600,2\na-1,SHS 50x50x3,600,1\n")
    assert [part.id for part in found.parts] == ["a-2", "a-3", "a-1"]
