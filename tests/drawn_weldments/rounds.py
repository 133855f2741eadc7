"""Weldments of round tubes and bars, with their beads listed by hand."""

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
    hole,
    member,
    one_level,
    pipe,
    place,
    plane,
    rod,
    square,
)

ROD_ON_PLATE = DrawnWeldment(
    "round bar along a plate",
    one_level(
        "rod on plate",
        box_plate("plate", (0, 0, 0), (200, 100, 8)),
        member("rod", rod(20), 150, (25, 50, 18), X, Z),
    ),
    (Beads("plate", "rod", "flare", 150, 2),),
    "AP203",
)
PIPE_ACROSS = DrawnWeldment(
    "round tube across a sharp square tube",
    one_level(
        "crossing",
        member("beam", square(60, 4, 0), 300, (0, 0, 30), X, Z),
        member("pipe", pipe(48.3, 3), 200, (150, -100, 60 + 24.15), Y, Z),
    ),
    (Beads("beam", "pipe", "flare", 60, 2),),
    "AP242DIS",
)
TWO_RODS = DrawnWeldment(
    "two round bars beside each other",
    one_level(
        "rods",
        member("long", rod(25), 300, (0, 0, 0), X, Z),
        member("short", rod(25), 200, (50, 25, 0), X, Z),
        at=place((7, 8, 9), 33, (1, 1, 1)),
    ),
    (Beads("set.long", "set.short", "flare", 200, 2),),
    unit="INCH",
)
PIPE_THROUGH = DrawnWeldment(
    "round tube through a plate",
    one_level(
        "sleeve",
        bent_plate("plate", ((-60, -50, 0), (60, -50, 0), (60, 50, 0), (-60, 50, 0)), (hole((0, 0), 43),), 8, (0, 0, 0), Z, Y),
        member("pipe", pipe(42.4, 3), 150, (0, 0, -60), Z, Y),
    ),
    # all round on both faces, along the edges of the hole: its play of 0.3 mm is bridged
    (Beads("plate", "pipe", "fillet", 43 * math.pi, 2, round=True),),
)


def _elbow() -> DrawnWeldment:
    """Two bars of 60 mm mitred to a right angle.

    At the angle p from the inside of the elbow (cosine c, sine s) the normals of the two are (0, c, s) and (c, 0, s): s**2 is the
    cosine of the angle between them, the air is 180 degrees less that angle inside and more outside. It is a butt where that is less
    than 20 degrees. Of the 48 sides a bar is drawn with, turned so that two meet inside the elbow, these are the four whose middles
    are at 78.75 to 101.25 degrees, on either side; 20 inside are fillets, 20 outside corners. On the mitre's plane a side is longer by
    the square root of 1 + s**2.
    """
    side = 60 * math.tan(math.pi / 48)
    tilt = math.radians(3.75)

    def run(*numbers: int) -> float:
        return sum(side * math.sqrt(1 + math.sin(tilt + math.radians(7.5 * k)) ** 2) for k in numbers)

    return DrawnWeldment(
        "elbow of round bar",
        one_level(
            "elbow",
            member("foot", rod(60), 200, (-170, 0, 0), X, (0, math.sin(tilt), math.cos(tilt)), [plane((0, 0, 0), (1, 1, 0))]),
            member("post", rod(60), 200, (0, -30, 0), Y, (math.sin(tilt), 0, math.cos(tilt)), [plane((0, 0, 0), (-1, -1, 0))]),
        ),
        (
            Beads("foot", "post", "fillet", run(*range(-10, 10)), round=True),
            Beads("foot", "post", "corner", run(*range(-10, 10)), round=True),
            Beads("foot", "post", "butt", run(10, 11, 12, 13), 2, round=True),
        ),
    )


def _leaning_pipe() -> DrawnWeldment:
    """A round tube that leans by 30 degrees on a plate; its foot is an ellipse (length by Ramanujan's second formula)."""
    lean, radius = (math.sin(math.pi / 6), 0, math.cos(math.pi / 6)), 24.15
    below = radius * math.tan(math.pi / 6)
    long, wide = radius / math.cos(math.pi / 6), radius
    h = ((long - wide) / (long + wide)) ** 2
    around = math.pi * (long + wide) * (1 + 3 * h / (10 + math.sqrt(4 - 3 * h)))
    at = (-below * lean[0], 0, 10 - below * lean[2])
    return DrawnWeldment(
        "leaning round tube",
        one_level(
            "leaning pipe",
            box_plate("plate", (-100, -100, 0), (100, 100, 10)),
            member("pipe", pipe(48.3, 3), 250 + below, at, lean, Y, [plane((0, 0, 10), (0, 0, -1))]),
        ),
        (Beads("plate", "pipe", "fillet", around, round=True),),
        "AP203",
        "M",
    )


def _pins() -> DrawnWeldment:
    """Four pins on a plate, one drawn and placed four times."""
    pin = Product("pin Ø12", (member("pin", rod(12), 40, (0, 0, 0), Z, Y),))
    places = ((20, 20), (140, 20), (140, 80), (20, 80))
    pins = tuple(Placed(f"pin {k}", pin, place((x, y, 6), 30 * k)) for k, (x, y) in enumerate(places, 1))
    plate = Product("carrier", (box_plate("plate", (0, 0, 0), (160, 100, 6)),))
    return DrawnWeldment(
        "four pins on a plate",
        Product("pin plate", (), (Placed("carrier", plate, place()), *pins)),
        tuple(Beads("carrier.plate", f"pin {k}.pin", "fillet", 12 * math.pi, round=True) for k in range(1, 5)),
        "AP242DIS",
        "M",
    )


ROUNDS = (ROD_ON_PLATE, PIPE_ACROSS, TWO_RODS, PIPE_THROUGH, _elbow(), _leaning_pipe(), _pins())
