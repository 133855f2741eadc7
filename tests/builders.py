"""Small weldments, requests and shelves for tests: every builder names only what matters to the trade."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.items import Carries, Clamp, Contact, Item, Slide, Solid
from inventory.shapes import Point2, Point3, Prism
from inventory.stock import StockLine, StockSnapshot
from inventory.tables import Table
from solver.request import Request
from solver.rule_book.book import RuleBook
from solver.sections import Section
from solver.weldment import Part, Pose, Weld, Weldment

X: Point3 = (1.0, 0.0, 0.0)
Y: Point3 = (0.0, 1.0, 0.0)
Z: Point3 = (0.0, 0.0, 1.0)
SQUARE_TURNS = (0.0, 90.0, 180.0, 270.0)


# --- weldments -------------------------------------------------------------------------------------------------------


def tube(
    id: str = "tube", width: float = 50, wall: float = 3, length: float = 500, at: Point3 = (0, 0, 25), along: Point3 = X
) -> Part:
    """A square tube lying along x on the ground unless told otherwise."""
    section = Section("square_tube", width=width, wall=wall)
    return Part(id, section, length, Pose(at, along, Z if along != Z else Y))


def plate(id: str = "plate", size: Point2 = (100, 80), thickness: float = 8, at: Point3 = (0, 0, 0)) -> Part:
    """A level rectangular plate with its lower left corner at `at`."""
    return outline_plate(id, ((0, 0), (size[0], 0), size, (0, size[1])), thickness, at)


def outline_plate(id: str, outline: Sequence[Point2], thickness: float = 8, at: Point3 = (0, 0, 0)) -> Part:
    """A level plate of any outline."""
    return Part(id, Section("plate", plate_outline=tuple(outline)), thickness, Pose(at, Z, Y))


def body(id: str = "casting", size: Point3 = (60, 40, 30), at: Point3 = (0, 0, 0), **more: Any) -> Part:
    """The outer body of something that is no profile: a block, upright, with its lower left corner at `at`."""
    section = Section("body", plate_outline=((0, 0), (size[0], 0), size[:2], (0, size[1])))
    return Part(id, section, size[2], Pose(at, Z, Y), **more)


def bar(
    id: str = "bar", width: float = 50, thickness: float = 10, length: float = 300, at: Point3 = (0, 0, 5), along: Point3 = X
) -> Part:
    """A flat bar lying on its wide side."""
    return Part(id, Section("flat_bar", width=width, thickness=thickness), length, Pose(at, along, Z))


def fillet(id: str, parts: tuple[str, str], *path: Point3, leg: float = 4, in_fixture: Any = "full") -> Weld:
    """A fillet weld along a polyline."""
    return Weld(id, parts, path, "fillet", leg=leg, in_fixture=in_fixture)


def weldment(*parts: Part, welds: Sequence[Weld] = (), **more: Any) -> Weldment:
    """Parts and welds as one weldment."""
    return Weldment(parts, tuple(welds), **more)


def tab_on_tube(tab_from: float = 200, overhang: float = 40) -> Weldment:
    """A tab on top of a square tube, out over its +y side by `overhang`, welded across its two ends."""
    tab = plate("tab", (100, 40 + overhang), 8, (tab_from, -15, 50))
    ends = (("w1", tab_from), ("w2", tab_from + 100))
    welds = [fillet(id, ("tube", "tab"), (x, -15, 50), (x, 19, 50)) for id, x in ends]
    return weldment(tube(), tab, welds=welds, name="tab on tube")


# --- requests --------------------------------------------------------------------------------------------------------


def request(weldment: Weldment, quantity: int = 10, rules: dict[str, float] | None = None, **more: Any) -> Request:
    """A request on table T1 with the default rule book, lying as drawn and not turned unless told otherwise."""
    asked: dict[str, Any] = {"tables": ("T1",), "turn": (0.0,), **more}
    return Request(weldment, quantity, rules=RuleBook(rules or {}), **asked)


# --- tables, hardware, shelves ---------------------------------------------------------------------------------------


def table(id: str = "T1", columns: int = 24, rows: int = 16, pitch: float = 40, **more: Any) -> Table:
    """A table with a margin of one pitch round its holes."""
    size = (pitch * (columns + 1), pitch * (rows + 1))
    fields: dict[str, Any] = {"hole_diameter": 14, "thickness": 14, **more}
    return Table(id, size, (pitch, pitch), pitch, columns, rows, **fields)


def box(x0: float, y0: float, x1: float, y1: float, low: float, high: float, moves: bool = False) -> Solid:
    """An upright block."""
    return Solid(Prism(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), low, high), moves)


def stop(id: str = "stop", face: float = 15, height: float = 60, width: float = 28, **more: Any) -> Item:
    """A block with its face `face` ahead (+y) of its peg, the pad over the whole face."""
    solid = box(-width / 2, -15, width / 2, face, 0, height)
    return _item(id, "stop", (solid,), (Contact((0, face, height / 2), Y, width, height),), **more)


def adjustable_stop(
    id: str = "adjustable", face: float = 20, height: float = 60, travel: float = 25, step: float = 0.5, **more: Any
) -> Item:
    """A stop whose face moves from `face` to `face` + `travel` ahead of its peg."""
    solids = (box(-15, -15, 15, 10, 0, height), box(-14, 0, 14, face, 10, height, moves=True))
    pad = Contact((0, face, 10 + (height - 10) / 2), Y, 28, height - 10, moves=True)
    return _item(id, "adjustable_stop", solids, (pad,), slide=Slide((0.0, 1.0), 0, travel, step), set_s=40, **more)


def pin(id: str = "pin", diameter: float = 20, height: float = 60, **more: Any) -> Item:
    """A round pin that meets a part at its rim and turns freely in its hole."""
    radius = diameter / 2
    solid = box(-radius * 0.7, -radius, radius * 0.7, radius, 0, height)
    return _item(id, "pin", (solid,), (Contact((0, radius, height / 2), Y, 1, height),), turns="any", **more)


def rest(id: str = "rest", height: float = 50, **more: Any) -> Item:
    """A block to lie on."""
    return _item(id, "rest", (box(-15, -15, 15, 15, 0, height),), (Contact((0, 0, height), Z, 30, 30),), **more)


def riser(id: str = "riser", height: float = 40, **more: Any) -> Item:
    """A block that carries one piece."""
    return _item(id, "riser", (box(-15, -15, 15, 15, 0, height),), (), carries=Carries(height, ((0, 0),)), **more)


def arm(id: str = "arm", reach: int = 2, pitch: float = 40, **more: Any) -> Item:
    """A bar that carries one piece `reach` pegs to its side."""
    solid = box(-15, -15, reach * pitch + 15, 15, 0, 20)
    return _item(id, "arm", (solid,), (), carries=Carries(20, ((reach, 0),)), **more)


def down_clamp(
    id: str = "clamp", reach: float = 60, low: float = 5, high: float = 105, force_n: float = 2000,
    close_s: float = 3, open_s: float = 3, **more: Any,
) -> Item:  # fmt: skip
    """A post with an arm that pushes down `reach` ahead of its peg; open, the arm points away."""
    post, arm = high + 45, high + 20
    solids = (
        box(-14, -14, 14, 14, 0, post),
        box(-9, 14, 9, reach + 9, arm, arm + 15),
        box(-8, reach - 8, 8, reach + 8, low, arm + 5, moves=True),
    )
    opened = (
        box(-14, -14, 14, 14, 0, post).prism,
        box(-9, -reach - 9, 9, -14, arm, arm + 15).prism,
        box(-8, -reach - 8, 8, -reach + 8, arm - 20, arm + 120).prism,
    )
    clamp = Clamp(force_n, (0.0, 0.0, -1.0), ((0, reach, low), (0, reach, high)), close_s, open_s, opened)
    return _item(id, "down_clamp", solids, (Contact((0, reach, low), (0, 0, -1), 16, 16, moves=True),), clamp=clamp, **more)


def side_clamp(id: str = "push", height: float = 25, travel: float = 40, force_n: float = 1500, **more: Any) -> Item:
    """A block with a spindle that pushes ahead (+y) at `height`, on two pegs."""
    solids = (box(-15, -55, 15, 15, 0, height + 15), box(-7, -25, 7, 25, height - 7, height + 7, moves=True))
    opened = (solids[0].prism, box(-7, -45, 7, 16, height - 7, height + 7).prism)
    clamp = Clamp(force_n, Y, ((0, 25, height), (0, 25 + travel, height)), 3, 3, opened)
    pad = Contact((0, 25, height), Y, 14, 14, moves=True)
    return _item(id, "side_clamp", solids, (pad,), clamp=clamp, pegs=((0, 0), (0, -1)), **more)


def _item(id: str, kind: Any, solids: tuple[Solid, ...], contacts: tuple[Contact, ...], **more: Any) -> Item:
    fields: dict[str, Any] = {
        "pegs": ((0, 0),),
        "turns": SQUARE_TURNS,
        "name": id,
        "day_rate_cents": 20,
        "price_cents": 3000,
        **more,
    }
    return Item(id=id, kind=kind, solids=solids, contacts=contacts, **fields)


def shelf(*counted: tuple[Item, int], tables: Sequence[Table] | None = None, version: int = 1) -> StockSnapshot:
    """Counted items and tables (one table T1 unless told otherwise)."""
    chosen = (table(),) if tables is None else tables
    return StockSnapshot(
        tables={one.id: one for one in chosen},
        items={item.id: item for item, _ in counted},
        lines={item.id: StockLine(item.id, count, bin="A1") for item, count in counted},
        version=version,
    )


def plain_shelf(**changes: int) -> StockSnapshot:
    """A modest shelf: stops of two faces, an adjustable one, rests 50 high, two down clamps; `changes` set counts by item id."""
    counts = {"stop": 8, "stop-20": 8, "adjustable": 4, "rest": 4, "clamp": 6, "long-clamp": 4, **changes}
    items = (stop(), stop("stop-20", face=20), adjustable_stop(), rest(), down_clamp(), down_clamp("long-clamp", reach=120))
    return shelf(*((item, counts[item.id]) for item in items))
