"""A frame of four mitred tubes on stops that all push to the right or away, made by hand; a wide stop at the corner meets a tip.

Tubes 50 x 3 (corner radius 6), 450 and 370 long at their outsides: x 135..585, y 135..505. Numbers run counter-clockwise, 1 in
front. All coordinates are worked out by hand from the hole pitch of 40 and stops whose faces lie 15 ahead of their holes.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from solver.checks.scene.scene import Scene, set_scene
from solver.plans import Alternative, Cost, PartContact, PlacedContact, PlacedPart, Placement, Role, Station, Unload
from solver.request import Request
from solver.weldment import Tolerance
from tests import builders as b
from tests.outside import rings

Span = tuple[float, float]
FLAT = (6.0, 44.0)
STOCK = b.shelf((b.stop(), 12), (b.stop("wide", width=60), 1), (b.down_clamp("long", reach=120), 2), (b.side_clamp(), 2))


def request(rules: dict[str, float] | None = None, **more: Any) -> Request:
    """Ten frames, as drawn."""
    frame = rings.frame(400, 320)
    return b.request(b.weldment(*frame.parts, **more), rules=rules)


def pad(part: str, face: str, normal: Sequence[float], x: Span, y: Span, z: Span = FLAT) -> PlacedContact:
    """Return a contact on an upright face that reaches along x or y, its point in the middle."""
    a, c = (x[0], y[0]), (x[1], y[1])
    patch = [(*a, z[0]), (*c, z[0]), (*c, z[1]), (*a, z[1])] if a != c else [(*a, z[0]), (*a, z[1])]
    at = tuple(np.mean(patch, axis=0).tolist())
    return PlacedContact(part, face, (at[0], at[1], at[2]), (normal[0], normal[1], normal[2]), tuple(patch))


TIP = pad("1", "tip:0", (1, 0, 0), (135, 135), (135, 135))


def placed(id: str, item: str, hole: str, turn: float, role: Role | None, *contacts: PlacedContact, **more: Any) -> Placement:
    """Return a piece that locates what its contacts name in one role, tips as ends; a clamp in none."""
    locates = tuple((c.part, "end" if c.face.startswith("tip:") else role) for c in contacts) if role else ()
    setting = more.get("setting")
    return Placement(id, item, hole, turn, None, setting, locates, (), None, contacts)


def pieces() -> list[Placement]:
    """Return twelve pieces: eight stops, two clamps that press down, two that close the joints."""
    ahead, right = (0, 1, 0), (1, 0, 0)
    return [
        placed("f1", "stop", "E3", 0, "side", pad("1", "side:2", ahead, (186, 214), (135, 135))),
        placed("f2", "stop", "L3", 0, "side", pad("1", "side:2", ahead, (466, 494), (135, 135))),
        placed("l1", "wide", "C4", 270, "side", pad("4", "side:2", right, (135, 135), (135, 190)), TIP),
        placed("l2", "stop", "C10", 270, "side", pad("4", "side:2", right, (135, 135), (386, 414))),
        placed("r1", "stop", "M6", 270, "side", pad("2", "side:0", right, (535, 535), (226, 254))),
        placed("r2", "stop", "M10", 270, "side", pad("2", "side:0", right, (535, 535), (386, 414))),
        placed("b1", "stop", "E11", 0, "side", pad("3", "side:0", ahead, (186, 214), (455, 455))),
        placed("b2", "stop", "L11", 0, "side", pad("3", "side:0", ahead, (466, 494), (455, 455))),
        placed("c1", "long", "H1", 0, None, down("1", (320, 160)), setting=45.0),
        placed("c4", "long", "A7", 270, None, down("4", (160, 280)), setting=45.0),
        placed("p2", "push", "P8", 90, None, pad("2", "side:2", (-1, 0, 0), (585, 585), (313, 327), (18, 32)), setting=30.0),
        placed("p3", "push", "H14", 180, None, pad("3", "side:2", (0, -1, 0), (313, 327), (505, 505), (18, 32)), setting=30.0),
    ]  # fmt: skip


def down(part: str, at: tuple[float, float]) -> PlacedContact:
    """Return the contact of a clamp's pad of 16 x 16 on top of a tube."""
    (x, y), z = at, 50.0
    patch = ((x - 8, y - 8, z), (x + 8, y - 8, z), (x + 8, y + 8, z), (x - 8, y + 8, z))
    return PlacedContact(part, "side:1", (x, y, z), (0.0, 0.0, -1.0), patch)


def joints() -> tuple[PartContact, ...]:
    """Return where each tube meets those loaded before it: 1, 2, 3, then 4, which meets both its neighbours."""
    half = 0.5**0.5
    corners = {("2", "1"): (585, 135, 535, 185), ("3", "2"): (585, 505, 535, 455), ("4", "3"): (135, 505, 185, 455)}
    corners["4", "1"] = (135, 135, 185, 185)
    into = {("2", "1"): (half, half, 0.0), ("3", "2"): (-half, half, 0.0), ("4", "3"): (-half, -half, 0.0)}
    into["4", "1"] = (-half, half, 0.0)
    return tuple(
        PartContact(part, on, ((x0, y0, FLAT[0]), (x1, y1, FLAT[0]), (x1, y1, FLAT[1]), (x0, y0, FLAT[1])), into[part, on])
        for (part, on), (x0, y0, x1, y1) in corners.items()
    )


def scene(placements: Sequence[Placement] | None = None, asked: Request | None = None) -> Scene:
    """Return the frame set up: its own pieces and rules unless told otherwise."""
    asked = asked or request()
    shift = ((1.0, 0.0, 0.0, 160.0), (0.0, 1.0, 0.0, 160.0), (0.0, 0.0, 1.0, 0.0), (0.0, 0.0, 0.0, 1.0))
    parts = tuple(PlacedPart(part.id, (), ("table",)) for part in asked.weldment.parts)
    given = tuple(pieces() if placements is None else placements)
    station = Station(None, "-z", 0.0, shift, Unload((), (), ()))
    answer = Alternative(
        1, "", "T1", Cost(0, 0, 0, 0, 0, 0), 0, 0, (station,), parts, given, joints(), (), (), (), (), ""
    )  # fmt: skip
    return set_scene(asked, STOCK, asked.rules, answer)


def tolerance(plus_minus: float) -> Tolerance:
    """Return a tolerance of the far right corner along x."""
    return Tolerance("2", (425, 345, 25), (1, 0, 0), plus_minus)
