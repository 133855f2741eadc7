"""Weldments of plates and flat bars, with their beads listed by hand."""

from __future__ import annotations

import math

from tests.drawn_weldments.drawn_weldment import (
    Beads,
    DrawnWeldment,
    Placed,
    Product,
    X,
    Y,
    Z,
    bent_plate,
    box_plate,
    flat,
    hole,
    member,
    one_level,
    pipe,
    place,
    plane,
    plate,
    square,
)

QUARTER = math.tan(math.radians(22.5))
"""How a side bends that is a quarter of a circle."""
AWAY: tuple[float, float, float] = (0.0, -1.0, 0.0)

GUSSET = DrawnWeldment(
    "gusset with a clipped corner",
    one_level(
        "gusseted post",
        member("sill", square(50, 3), 500, (0, 0, 25), X, Z),
        member("post", square(50, 3), 300, (100, 0, 50), Z, Y),
        plate("gusset", ((137, 50), (205, 50), (125, 130), (125, 62)), 8, (0, 4, 0), AWAY, Z),
        at=place((10, 20, 30), -50, (0.2, 1, 0.4)),
    ),
    (
        Beads("set.sill", "set.post", "fillet", 38, 2),  # the clip leaves the one inside the corner free
        Beads("set.sill", "set.post", "flare", 38, 2),  # near and far, where the sill's corner falls away under the post's wall
        Beads("set.sill", "set.gusset", "fillet", 68, 2),  # both sides of it
        Beads("set.sill", "set.gusset", "fillet", 8, 2),  # its ends: 45 degrees of air under the clip, 135 outside
        Beads("set.post", "set.gusset", "fillet", 68, 2),
        Beads("set.post", "set.gusset", "fillet", 8, 2),
    ),
)
LAP = DrawnWeldment(
    "two plates lapped",
    one_level(
        "lap",
        box_plate("lower", (0, 0, 0), (200, 100, 8)),
        box_plate("upper", (160, 10, 8), (340, 90, 14)),
    ),
    (
        Beads("lower", "upper", "lap", 80, 2),  # the upper one's edge on the lower one, the lower one's under the upper one
        Beads("lower", "upper", "lap", 40, 2),  # the upper one's sides
    ),
    "AP203",
    loose=True,
)
PLATE_CORNER = DrawnWeldment(
    "plate on the edge of another",
    one_level(
        "plate corner",
        box_plate("level", (0, 0, 0), (200, 100, 6)),
        plate("upright", ((0, 0), (200, 0), (200, 80), (0, 80)), 6, (0, 6, 6), AWAY, Z),
    ),
    (
        Beads("level", "upright", "corner", 200),  # outside, where the one's edge closes the corner
        Beads("level", "upright", "fillet", 200),  # inside
        Beads("level", "upright", "butt", 6, 2),  # across the two ends
    ),
    "AP242DIS",
)


def _slot(u: float, v: float, length: float, width: float) -> tuple[tuple[float, float, float], ...]:
    """A slot along v with half round ends, about its middle."""
    half, flat_half = width / 2, (length - width) / 2
    return (u + half, v - flat_half, 0), (u + half, v + flat_half, 1), (u - half, v + flat_half, 0), (u - half, v - flat_half, 1)


FLANGE = DrawnWeldment(
    "round tube on a flange with round corners, a bore and slots",
    one_level(
        "flanged pipe",
        bent_plate(
            "flange",
            (
                (-60, -60, 0), (60, -60, QUARTER), (80, -40, 0), (80, 40, QUARTER), (60, 60, 0), (-60, 60, QUARTER), (-80, 40, 0),
                (-80, -40, QUARTER),
            ),
            (hole((0, 0), 60), _slot(-62, 0, 42, 12), _slot(62, 0, 42, 12)),
            12, (0, 0, 0), Z, Y,
        ),
        member("pipe", pipe(76.1, 4), 180, (0, 0, 12), Z, Y),
    ),
    (Beads("flange", "pipe", "fillet", 76.1 * math.pi, round=True),),  # all round; nothing within the tube
    "AP214IS",
    "INCH",
)  # fmt: skip
TAB = DrawnWeldment(
    "tab with a round head, a hole and a mouse hole",
    one_level(
        "tab on bar",
        member("bar", flat(80, 12), 300, (0, 0, -6), X, Z),
        bent_plate(
            "tab",
            ((100, 0, 0), (115, 0, -1), (145, 0, 0), (160, 0, 0), (160, 50, 1), (100, 50, 0)),
            (hole((130, 50), 20),), 10, (0, 5, 0), AWAY, Z,
        ),
        at=place((-5, 60, 12), 111, (0, 0.3, 1)),
    ),
    (
        Beads("set.bar", "set.tab", "fillet", 15, 4),  # left and right of the mouse hole, on both sides
        Beads("set.bar", "set.tab", "fillet", 10, 4),  # across the two ends, and within the mouse hole
    ),
    "AP242DIS",
)  # fmt: skip
FLAT_TEE = DrawnWeldment(
    "flat bar standing on another",
    one_level(
        "flat tee",
        member("lying", flat(50, 8), 250, (0, 0, 4), X, Z),
        member("standing", flat(8, 30), 120, (100, 0, 8), Z, Y),
        at=place((0, 0, 0), 61, (-1, 0.2, 0.7)),
    ),
    (
        Beads("set.lying", "set.standing", "fillet", 30, 2),
        Beads("set.lying", "set.standing", "fillet", 8, 2),
    ),
    "AP203",
    "CM",
)


def _leaning_flat() -> DrawnWeldment:
    """A flat bar 60 x 10 that leans by 30 degrees on a plate, its foot cut level."""
    way = (math.cos(math.radians(60)), 0, math.sin(math.radians(60)))
    below = 5 / math.tan(math.radians(60))
    at = (-below * way[0], 0, 8 - below * way[2])
    return DrawnWeldment(
        "leaning flat bar",
        one_level(
            "leaning bar",
            box_plate("plate", (-80, -60, 0), (120, 60, 8)),
            member("bar", flat(60, 10), 200 + below, at, way, (-way[2], 0, way[0]), [plane((0, 0, 8), (0, 0, -1))]),
        ),
        (
            Beads("plate", "bar", "fillet", 60, 2),  # 60 degrees of air below, 120 above
            Beads("plate", "bar", "fillet", 10 / math.sin(math.radians(60)), 2),  # across its thickness
        ),
    )


def _capped_tube() -> DrawnWeldment:
    """A square tube with a cap on each end, the cap drawn once; names as people give them, products three deep."""
    cap = Product(
        "Deckel 90×90×6 / “blank”",  # noqa: RUF001
        (plate("cap", ((-45, -45), (45, -45), (45, 45), (-45, 45)), 6, (0, 0, 0), X, Z, "O'Neil's \\ \"cap\" #1"),),
    )
    tube = Product("tube; 80x5 (S355)", (member("tube", square(80, 5), 300, (0, 0, 0), X, Z, name="Rohr ø=80 µ ±0,5 — 管"),))
    body = Product("body", (), (Placed("tube", tube, place()), Placed("right", cap, place((300, 0, 0)))))
    left = Placed("left", cap, place((0, 0, 0), 180))
    return DrawnWeldment(
        "capped tube under odd names",
        Product(
            "outer",
            (),
            (
                Placed(
                    "middle",
                    Product(
                        "middle",
                        (),
                        (
                            Placed("body", body, place((1, 2, 3), 40, X)),
                            Placed("other end", Product("end", (), (left,)), place((1, 2, 3), 40, X)),
                        ),
                    ),
                    place((400, -300, 200), -65, (1, 1, 0)),
                ),
            ),
        ),
        (
            Beads("middle.body.tube.tube", "middle.body.right.cap", "fillet", 60, 4),  # 80 - 2 x 10 a side
            Beads("middle.body.tube.tube", "middle.other end.left.cap", "fillet", 60, 4),
        ),
        "AP242DIS",
        "FT",
    )


PLATES = (GUSSET, LAP, PLATE_CORNER, FLANGE, TAB, FLAT_TEE, _leaning_flat(), _capped_tube())
