"""How near is touching, how square is square: the planner's distances and angles, each in one place.

Distances in mm. Where one of them keeps a fixture from failing the independent checks, it is on the safe side of the check's
own figure, which is written down again in `solver.checks.tolerances`.
"""

from __future__ import annotations

import numpy as np

TOUCH = 0.05
"""Faces no farther apart than this touch."""
SNUG = 0.04
"""A pad that comes this near to a face touches it: `TOUCH` less room for rounding in documents."""
ONE_PLANE = 0.1
"""Faces of one direction whose planes are no farther apart are in one plane for a pad or a tip, mm."""
ROUND_TOUCH = 0.003
"""Round faces are polygons: allow this share of the diameter where they touch."""
RUNS_INTO = 0.02
"""Bodies that come nearer than this run into each other."""
HARDWARE_EASE = 0.06
"""Hardware is taken this far off the part it touches before asking whether the two run into each other."""
PART_EASE = 0.15
"""Parts that touch are taken this much slimmer before asking whether one can slide past the other."""
ONE_FACE = 0.05
"""Faces that look the same way and are no farther apart than this lie in one plane."""
ON_TABLE = 0.02
"""A face or a part no higher than this lies on the table."""
ROUNDING = 1e-6
"""Bodies that come nearer than this meet: no reader's rounding finds them apart."""
EQUAL = -1e-6
"""Equal is far enough: what is added to a clearance, so that rounding does not find it short; the checker lets 1e-4 pass."""
FLOOR_SLACK = 1e-3
"""What a floor asks is less by so much than what is asked of a fixture: equal is enough there."""
SPACING_SLACK = 2e-4
"""Equal is wide enough: so little may lack of a spacing for rounding's sake; the checker lets 1e-3 pass."""
FACE_SLACK = 2e-4
"""Equal is long enough: so little may lack of a face's length for rounding's sake; the checker lets 1e-3 pass."""
BEARING_SLACK = 2e-4
"""Equal is bearing enough: so little of a patch may lack for rounding's sake, mm; the checker lets 1e-3 pass."""
SAME_PLACE = 5e-4
"""Ends of contacts that differ by no more than rounding are at one place."""
MARGIN_SLACK = 5e-4
"""Equal is inside: so little may lack of a margin for rounding's sake; the checker lets 1e-3 pass."""

PARALLEL = 1e-6
"""Unit vectors whose product is this near to 0, 1 or -1 are square, parallel or opposite."""
LEVEL = 1e-6
"""A unit vector that rises or falls by less than this is level."""
SLOPING = 0.3
"""A normal whose level part is longer than this locates sideways."""
CROSS = 0.9
"""Level directions whose product is at most this are two directions: the one locates where the other does not."""
FACING = -0.9
"""Normals whose product is below this face each other; a little above it, they are taken to."""
AGAINST = 0.906
"""A contact whose normal is within 25 degrees of a push, just about, hands it on: the product of the two is above this."""
CARRIES = 0.5
"""A contact whose normal points up by more than this carries."""

UP = np.array([0.0, 0.0, 1.0])
