"""Weldments of angles and channels, with their beads listed by hand.

What is made of sheet lies on other sheet with a lap; everything else with air of up to 160 degrees beside it is a fillet. Beads
shorter than 5 mm are nobody's.
"""

from __future__ import annotations

import math

from tests.drawn_weldments.drawn_weldment import (
    Beads,
    DrawnWeldment,
    X,
    Y,
    Z,
    angle,
    box_plate,
    channel,
    flat,
    member,
    one_level,
    place,
    plane,
    square,
)

ROOT2 = math.sqrt(2)

ANGLE_ON_PLATE = DrawnWeldment(
    "angle on a plate",
    one_level(
        "angle on plate",
        box_plate("plate", (0, 0, 0), (200, 150, 8)),
        member("angle", angle(60, 40, 5), 100, (50, 40, 8), X, Z),
    ),
    (
        Beads("plate", "angle", "lap", 100, 2),  # at the heel and at the toe of the leg that lies
        Beads("plate", "angle", "lap", 60, 2),  # across its two ends
    ),
    "AP203",
)
ANGLE_CORNER = DrawnWeldment(
    "corner of an angle frame, mitred",
    one_level(
        "angle corner",
        member("along x", angle(50, 50, 6), 250, (0, 0, 0), X, Z, [plane((250, 0, 0), (1, 1, 0))]),
        member("along y", angle(50, 50, 6), 250, (250, 0, 0), Y, Z, [plane((250, 0, 0), (-1, -1, 0))]),
        at=place((30, 40, 50), 125, (3, -1, 1)),
    ),
    (
        Beads("set.along x", "set.along y", "butt", 50 * ROOT2),  # underside of the level legs
        Beads("set.along x", "set.along y", "butt", 44 * ROOT2),  # top of the level legs, less the upright ones' 6
        Beads("set.along x", "set.along y", "butt", 6 * ROOT2),  # top of the upright legs
        Beads("set.along x", "set.along y", "corner", 50),  # outside, up the heel
        Beads("set.along x", "set.along y", "fillet", 44),  # inside, up the upright legs
        Beads("set.along x", "set.along y", "fillet", 6),  # at the toes of the level legs
    ),
    "AP242DIS",
    "INCH",
)
CHANNEL_AND_PLATE = DrawnWeldment(
    "channel with an end plate",
    one_level(
        "channel post",
        box_plate("foot", (-40, -80, 0), (80, 80, 10)),
        member("channel", channel(100, 50, 6, 8), 300, (0, 0, 10), Z, Y),
    ),
    (
        Beads("foot", "channel", "fillet", 100),  # back of the web
        Beads("foot", "channel", "fillet", 84),  # inside of the web
        Beads("foot", "channel", "fillet", 50, 2),  # outsides of the flanges
        Beads("foot", "channel", "fillet", 44, 2),  # insides of the flanges
        Beads("foot", "channel", "fillet", 8, 2),  # tips of the flanges
    ),
    unit="M",
)
BACK_TO_BACK = DrawnWeldment(
    "two channels back to back",
    one_level(
        "double channel",
        member("front", channel(80, 40, 5, 7), 300, (0, 0, 0), X, Z),
        member("back", channel(80, 40, 5, 7), 300, (300, 0, 0), (-1, 0, 0), Z),
    ),
    (
        Beads("front", "back", "butt", 300, 2),  # over and under, where the flanges are flush
        Beads("front", "back", "butt", 80, 2),  # up the webs at both ends
    ),
    "AP203",
    "FT",
)
SHELF_ANGLE = DrawnWeldment(
    "shelf angle on a square tube",
    one_level(
        "shelf",
        member("rail", square(80, 5), 500, (0, 0, 0), X, Z),
        member("angle", angle(50, 40, 5), 300, (100, 40, -20), X, Z),
    ),
    (
        Beads("rail", "angle", "fillet", 300, 2),  # at the heel and at the toe
        Beads("rail", "angle", "fillet", 40, 2),  # up its two ends
    ),
    "AP242DIS",
    loose=True,
)
CLEATS = DrawnWeldment(
    "mirrored pair of cleats on a flat bar",
    one_level(
        "cleats",
        member("bar", flat(80, 10), 500, (0, 0, 0), X, Y),
        member("left", angle(60, 40, 5), 70, (100, 5, -35), Z, Y, name="cleat, left hand"),
        member("right", angle(60, 40, 5), 70, (100, -5, 35), (0, 0, -1), (0, -1, 0), name="cleat, right hand"),
    ),
    tuple(Beads("bar", cleat, "lap", length, 2) for cleat in ("left", "right") for length in (70, 60)),
)
OPEN_PROFILES = (ANGLE_ON_PLATE, ANGLE_CORNER, CHANNEL_AND_PLATE, BACK_TO_BACK, SHELF_ANGLE, CLEATS)
