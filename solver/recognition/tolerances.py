"""How exactly a drawn solid must be what it is taken for: every distance and angle of recognition."""

import math

SAME = 0.01
"""Points, planes and radii that differ by no more, mm, are the same."""
PARALLEL = 1e-5
"""Sine of the largest angle at which directions are parallel: 0.01 mm in 1 m."""
BREAK = 1e-4
"""Drawn edges shorter than this, mm, are none."""
FULL_TURN = 2 * math.pi - 1e-4
"""An arc of more than this, rad, goes all round."""
FACETS = 24
"""A circle drawn by facets has at least so many of them all round: what turns by more at a corner is meant as a corner."""
