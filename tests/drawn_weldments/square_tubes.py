"""Weldments of square and rectangular tubes, with their beads listed by hand.

A tube's flats end where its corners begin: 2 x wall from its edge if it is cold-formed (EN 10219-2, walls up to 6 mm). Where two
tubes of one width meet in a tee, the corner of the one falls away under the wall of the other: at the inner side of a wall of half
the radius by 0.13 x radius, which a flare bead bridges if it is no more than 2 mm.
"""

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
    box_plate,
    member,
    one_level,
    pipe,
    place,
    plane,
    rect,
    square,
)

ROOT2 = math.sqrt(2)
INCH = 25.4

TEE = DrawnWeldment(
    "tee of two square tubes",
    one_level(
        "tee",
        member("chord", square(60, 4), 400, (0, 0, 30), X, Z),
        member("branch", square(40, 3), 200, (200, 30, 30), Y, Z),
    ),
    # the branch's four flats, 40 - 2 x 6 = 28 long, all of them on the chord's flat of 44
    (Beads("chord", "branch", "fillet", 28, 4),),
)


def _mitred_corner() -> DrawnWeldment:
    """Two tubes of 2 x 2 x 1/8 inch, a foot long each, mitred to an L whose middle lines meet at the origin."""
    size, wall, length = 2 * INCH, INCH / 8, 12 * INCH
    flat, half = size - 4 * wall, size / 2
    foot = member("foot", square(size, wall), length, (half - length, 0, 0), X, Z, [plane((0, 0, 0), (1, 1, 0))])
    post = member("post", square(size, wall), length, (0, -half, 0), Y, Z, [plane((0, 0, 0), (-1, -1, 0))])
    return DrawnWeldment(
        "corner mitred at 45 degrees",
        one_level("corner", foot, post, at=place((100, -40, 25), 20, (1, 2, 3))),
        (
            # across the two flush sides, on the diagonal; inside the corner; round the outside of it
            Beads("set.foot", "set.post", "butt", flat * ROOT2, 2),
            Beads("set.foot", "set.post", "fillet", flat),
            Beads("set.foot", "set.post", "corner", flat),
        ),
        "AP203",
        "INCH",
    )


def _mitred_frame() -> DrawnWeldment:
    """A frame of 600 x 400 outside, rectangular tube 40 x 60 x 3 on edge, mitred at all corners."""
    across, tall = 40, 60
    section, half = rect(across, tall, 3), across / 2
    south = [plane((0, 0, 0), (-1, 1, 0)), plane((600, 0, 0), (1, 1, 0))]
    east = [plane((600, 0, 0), (-1, -1, 0)), plane((600, 400, 0), (-1, 1, 0))]
    north = [plane((600, 400, 0), (1, -1, 0)), plane((0, 400, 0), (-1, -1, 0))]
    west = [plane((0, 400, 0), (1, 1, 0)), plane((0, 0, 0), (1, -1, 0))]
    members = (
        member("south", section, 600, (0, half, 30), X, Z, south),
        member("east", section, 400, (600 - half, 0, 30), Y, Z, east),
        member("north", section, 600, (600, 400 - half, 30), (-1, 0, 0), Z, north),
        member("west", section, 400, (half, 400, 30), (0, -1, 0), Z, west),
    )
    beads = [
        bead
        for one, two in (("south", "east"), ("east", "north"), ("north", "west"), ("south", "west"))
        for bead in (
            Beads(one, two, "butt", (across - 12) * ROOT2, 2),  # over and under: the flat of the 40, on the diagonal
            Beads(one, two, "fillet", tall - 12),  # inside, along the flat of the 60
            Beads(one, two, "corner", tall - 12),  # outside
        )
    ]
    return DrawnWeldment("frame mitred at all corners", one_level("frame", *members), tuple(beads), "AP242DIS")


def _gable() -> DrawnWeldment:
    """Two rafters of square tube 40 x 3 that meet at 120 degrees, mitred, set up askew."""
    rise, half = math.radians(30), 20
    slope_left = (math.cos(rise), 0, math.sin(rise))
    slope_right = (-math.cos(rise), 0, math.sin(rise))
    # the middle lines meet at the origin; the mitre is the plane x = 0; each tube ends at its upper edge
    reach = half * math.tan(rise)
    start, length = 500, 500 + reach
    left = member(
        "left rafter",
        square(40, 3),
        length,
        (-start * slope_left[0], 0, -start * slope_left[2]),
        slope_left,
        Y,
        [plane((0, 0, 0), X)],
    )
    right = member(
        "right rafter", square(40, 3), length, (start * slope_left[0], 0, -start * slope_left[2]), slope_right, Y,
        [plane((0, 0, 0), (-1, 0, 0))],
    )  # fmt: skip
    return DrawnWeldment(
        "gable of 120 degrees",
        one_level("gable", left, right, at=place((1500, -700, 300), 77, (1, -2, 0.5))),
        (
            Beads("set.left rafter", "set.right rafter", "butt", 28 / math.cos(rise), 2),  # front and back
            Beads("set.left rafter", "set.right rafter", "fillet", 28),  # below: 120 degrees of air
            Beads("set.left rafter", "set.right rafter", "corner", 28),  # above: 240 degrees
        ),
        "AP242DIS",
        "M",
    )


def _braced_post() -> DrawnWeldment:
    """A post on a sill, both 50 x 3, and a brace 30 x 2 under 45 degrees between them."""
    away, half = 200, 15
    way = (-1 / ROOT2, 0, 1 / ROOT2)
    foot = (125 + away + half / ROOT2, 0, 50 - half / ROOT2)  # where the middle line leaves the brace's uncut start
    brace = member(
        "brace",
        square(30, 2),
        away * ROOT2 + 2 * half,
        foot,
        way,
        Y,
        [plane((0, 0, 50), (0, 0, -1)), plane((125, 0, 0), (-1, 0, 0))],
    )
    footing = 22 * ROOT2  # the brace's flat of 30 - 8 = 22, cut across at 45 degrees
    return DrawnWeldment(
        "braced post",
        one_level(
            "braced post",
            member("sill", square(50, 3), 600, (0, 0, 25), X, Z),
            member("post", square(50, 3), 400, (100, 0, 50), Z, Y),
            brace,
        ),
        (
            Beads("sill", "post", "fillet", 38, 2),  # left and right
            Beads("sill", "post", "flare", 38, 2),  # near and far, where the sill's corner falls away under the post's wall
            Beads("sill", "brace", "fillet", 22, 2),  # under the brace, 45 degrees of air, and over it
            Beads("sill", "brace", "fillet", footing, 2),  # its two flanks
            Beads("post", "brace", "fillet", 22, 2),
            Beads("post", "brace", "fillet", footing, 2),
        ),
        "AP203",
    )


def _ladder() -> DrawnWeldment:
    """Two rails of rectangular tube and one rung, drawn once and placed three times."""
    rail = Product("rail", (member("profile", rect(30, 60, 3), 900, (0, 0, 0), X, Z),))
    rung = Product("rung", (member("tube", pipe(33.7, 2.6), 270, (0, -135, 0), Y, Z),))
    rungs = tuple(Placed(f"rung {k}", rung, place((150 + 300 * (k - 1), 0, 0), 45 * k, Y)) for k in (1, 2, 3))
    rails = (Placed("near rail", rail, place((0, -150, 0))), Placed("far rail", rail, place((900, 150, 0), 180)))
    return DrawnWeldment(
        "ladder",
        Product("ladder", (), (*rails, Placed("rungs", Product("rungs", (), rungs), place()))),
        tuple(
            Beads(f"{rail} rail.profile", f"rungs.rung {k}.tube", "fillet", 33.7 * math.pi, round=True)
            for rail in ("near", "far")
            for k in (1, 2, 3)
        ),
    )


RADII = DrawnWeldment(
    "hot finished tube with a sharp one on it",
    one_level(
        "radii",
        member("base", rect(100, 50, 4, 6), 300, (0, 0, 25), X, Z),
        member("stub", square(50, 4, 0), 120, (150, 0, 50), Z, X),
    ),
    (Beads("base", "stub", "fillet", 50, 4),),  # sharp all round, on a flat of 100 - 2 x 6 = 88
    "AP242DIS",
)
SPLICE = DrawnWeldment(
    "two lengths of square tube in one line",
    one_level(
        "splice",
        member("first", square(50, 3), 300, (0, 0, 0), (1, 1, 0), Z),
        member("second", square(50, 3), 200, (300 / ROOT2, 300 / ROOT2, 0), (1, 1, 0), Z),
    ),
    (Beads("first", "second", "butt", 38, 4),),
    unit="CM",
)


def _leg_beads(lean: tuple[float, float, float]) -> list[float]:
    """Return the lengths of a leaning leg's edges on the ground: each flat of 28 as it is cut by the ground.

    The edge runs along the level line in the flat; 28 is how wide the flat is across the leg.
    """
    size = math.sqrt(sum(value**2 for value in lean))
    w = [value / size for value in lean]
    # v: y made square to w; u = v x w
    v = [-w[1] * value for value in w]
    v[1] += 1
    norm = math.sqrt(sum(value**2 for value in v))
    v = [value / norm for value in v]
    u = [v[1] * w[2] - v[2] * w[1], v[2] * w[0] - v[0] * w[2], v[0] * w[1] - v[1] * w[0]]
    found = []
    for normal, across in ((u, v), (v, u)):
        level = [normal[1], -normal[0]]  # normal x z
        share = abs(level[0] * across[0] + level[1] * across[1]) / math.hypot(*level)
        found += [28 / share] * 2
    return found


def _splayed_legs() -> DrawnWeldment:
    """Two legs of square tube 40 x 3 that lean outwards and back, one the mirror image of the other, cut level on a plate."""
    parts, beads = [box_plate("base", (-200, -100, 0), (200, 150, 10))], []
    for id, side in (("left leg", -1), ("right leg", 1)):
        lean = (0.3 * side, 0.25, 1.0)
        size = math.sqrt(0.3**2 + 0.25**2 + 1)
        below = 20.0  # the uncut start lies so far below the ground, along the leg: deeper than any corner of it reaches
        at = (100 * side - below * lean[0] / size, -below * lean[1] / size, 10 - below / size)
        parts.append(member(id, square(40, 3), 300 + below, at, lean, Y, [plane((0, 0, 10), (0, 0, -1))]))
        beads += [Beads("base", id, "fillet", length) for length in _leg_beads(lean)]
    return DrawnWeldment("mirrored legs that splay two ways", one_level("splayed legs", *parts), tuple(beads), loose=True)


SQUARE_TUBES = (
    TEE, _mitred_corner(), _mitred_frame(), _gable(), _braced_post(), _ladder(), RADII, SPLICE, _splayed_legs(),
)  # fmt: skip
