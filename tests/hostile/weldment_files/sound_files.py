"""Sound files to damage, written by hand or a tag at a time: the same bytes every time."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

_BY_HAND = Path(__file__).parents[2] / "drawn_weldments" / "by_hand"
Tag = tuple[int, object]


def step() -> bytes:
    """A block, by hand."""
    return (_BY_HAND / "block.step").read_bytes()


def tube() -> bytes:
    """A mitred tube, by hand."""
    return (_BY_HAND / "mitred_tube.step").read_bytes()


def many_blocks(count: int) -> bytes:
    """So many solids in one file: the block's entities again and again under other numbers."""
    text = step().decode()
    head, data = text.split("DATA;\n", 1)
    entities, tail = data.split("ENDSEC;", 1)
    highest = max(int(number) for number in re.findall(r"#(\d+)", entities))

    def moved(by: int) -> str:
        return re.sub(r"#(\d+)", lambda found: f"#{int(found[1]) + by}", entities)

    return f"{head}DATA;\n{''.join(moved(k * highest) for k in range(count))}ENDSEC;{tail}".encode()


def one_shell(count: int) -> bytes:
    """So many solids of one and the same shell."""
    text = step().decode()
    solid = re.search(r"#(\d+)=MANIFOLD_SOLID_BREP\('[^']*',#(\d+)\);", text)
    items = re.search(r"ADVANCED_BREP_SHAPE_REPRESENTATION\('[^']*',\(", text)
    assert solid is not None and items is not None
    more = [10_000_000 + k for k in range(count - 1)]
    listed = text[: items.end()] + "".join(f"#{number}," for number in more) + text[items.end() :]
    solids = "\n".join(f"#{number}=MANIFOLD_SOLID_BREP('s{number}',#{solid[2]});" for number in more)
    return listed.replace("DATA;\n", f"DATA;\n{solids}\n", 1).encode()


def dxf(
    entities: Iterable[Sequence[Tag]], blocks: Iterable[Sequence[Tag]] = (), version: str = "AC1024", units: object = 4
) -> bytes:
    """A drawing of these entities, ASCII."""
    tags: list[Tag] = [(0, "SECTION"), (2, "HEADER"), (9, "$ACADVER"), (1, version), (9, "$INSUNITS"), (70, units), (0, "ENDSEC")]
    tags += [(0, "SECTION"), (2, "BLOCKS"), *(tag for block in blocks for tag in block), (0, "ENDSEC")]
    tags += [(0, "SECTION"), (2, "ENTITIES"), *(tag for entity in entities for tag in entity), (0, "ENDSEC"), (0, "EOF")]
    return "".join(f"{code}\n{value}\n" for code, value in tags).encode()


def polyline(points: Iterable[Sequence[object]], closed: bool = True, layer: str = "t8") -> list[Tag]:
    """A polyline: x, y and, if given, bulge."""
    points = list(points)
    tags: list[Tag] = [
        (0, "LWPOLYLINE"),
        (100, "AcDbEntity"),
        (8, layer),
        (100, "AcDbPolyline"),
        (90, len(points)),
        (70, int(closed)),
    ]
    for x, y, *bulge in points:
        tags += [(10, x), (20, y), *((42, value) for value in bulge)]
    return tags


def circle(x: object, y: object, radius: object, layer: str = "t8") -> list[Tag]:
    return [(0, "CIRCLE"), (100, "AcDbEntity"), (8, layer), (100, "AcDbCircle"), (10, x), (20, y), (30, 0.0), (40, radius)]


def spline(degree: int, points: Sequence[Sequence[object]], knots: Sequence[object] = (), layer: str = "t8") -> list[Tag]:
    knots = knots or [*[0] * degree, *range(len(points) - degree + 1), *[len(points) - degree] * degree]
    tags: list[Tag] = [
        (0, "SPLINE"),
        (100, "AcDbEntity"),
        (8, layer),
        (100, "AcDbSpline"),
        (70, 8),
        (71, degree),
        (72, len(knots)),
    ]
    tags += [(73, len(points)), (74, 0), *((40, knot) for knot in knots)]
    return tags + [tag for x, y in points for tag in ((10, x), (20, y), (30, 0.0))]


def block(name: str, entities: Iterable[Sequence[Tag]]) -> list[Tag]:
    head: list[Tag] = [(0, "BLOCK"), (100, "AcDbEntity"), (8, "0"), (100, "AcDbBlockBegin"), (2, name), (70, 0)]
    head += [(10, 0.0), (20, 0.0), (30, 0.0), (3, name)]
    end: list[Tag] = [(0, "ENDBLK"), (100, "AcDbEntity"), (8, "0"), (100, "AcDbBlockEnd")]
    return [*head, *(tag for entity in entities for tag in entity), *end]


def insert(name: str, x: object = 0.0, y: object = 0.0, **more: object) -> list[Tag]:
    codes = {"columns": 70, "rows": 71, "scale": 41, "turn": 50, "wide": 44, "high": 45}
    tags: list[Tag] = [
        (0, "INSERT"),
        (100, "AcDbEntity"),
        (8, "0"),
        (100, "AcDbBlockReference"),
        (2, name),
        (10, x),
        (20, y),
        (30, 0.0),
    ]
    return tags + [(codes[word], value) for word, value in more.items()]


def square(x: float, y: float, side: float) -> list[Tag]:
    return polyline([(x, y), (x + side, y), (x + side, y + side), (x, y + side)])


def drawing() -> bytes:
    """A plate with a hole, one with an arc, a block, a spline."""
    wave = [(300 + 20 * k, 200 + 10 * (k % 2)) for k in range(6)]
    return dxf(
        [
            square(0, 0, 200), circle(100, 100, 20), polyline([(300, 0), (400, 0, 1.0), (400, 100), (300, 100)]),
            insert("tab", 500, 0), spline(3, wave), polyline([(300, 200), (300, 300), (400, 300), (400, 210)], closed=False),
        ],
        [block("tab", [square(0, 0, 50)])],
    )  # fmt: skip


def cut_list() -> bytes:
    """Forty rows of a frame."""
    rows = (b"post %d,SHS 50x50x3,%d\nrail %d,RHS 60x40x3,800\nfoot %d,FL 40x8,120\n" % (k, 600 + k, k, k) for k in range(14))
    return b"part,designation,length\n" + b"".join(rows)
