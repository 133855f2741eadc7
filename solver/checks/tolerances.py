"""How near is touching, how square is square: the checker's distances and angles, each in one place.

Written down for the checker alone: a checker that shared the planner's figures would share its mistakes. Distances in mm.
"""

from __future__ import annotations

TOUCH = 0.05
"""Bodies no farther apart, and no deeper in each other, than this touch; listed solids may be as far off their own."""
ROUND_TOUCH = 0.003
"""Circles are polygons: this share of the diameter is allowed besides."""
FINE_RING = 24
"""A ring of at least this many equal sides stands for a circle."""
SAME_CORNER = 0.02
"""A listed solid whose corners are all this near to the wanted ones is the same."""
CLEARANCE_SLACK = 1e-4
"""A clearance may be short by this much, and a setting off its step, for rounding's sake."""
TORCH_SLACK = 0.01
"""A torch may come nearer by this much (mm), and lean farther (degrees)."""
ON_PATH = 0.05
"""A torch's point this near to its weld's path is on it."""
ON_TABLE = 0.01
"""A corner no higher than this stands on the table."""
DEVIATION_SLACK = 0.01
"""An error of locating may be this much larger than allowed."""

OUTERMOST = 1e-3
"""Contacts that reach this near to the outermost end of a group are outermost too."""

SQUARE = 1 - 1e-4
"""Unit vectors whose product is above this point the same way."""
LEVEL = 1e-4
"""A unit vector that rises or falls by less than this is level."""
SAME_SIDE = 1 - 1e-3
"""Normals whose product is above this belong to one side of a part."""
CARRIES = 0.5
"""A contact whose normal points up by more than this carries."""
PUSHES_OFF = 0.087
"""A clamp whose push has more than this along a locator's normal (5 degrees) pushes the part off it, or against it."""
PRESSES_DOWN = -0.7
"""A clamp of any kind whose push points down by more than this presses down."""
FACING = -0.9
"""Two locators whose normals' product is below this face each other."""
HANDS_ON_DEG = 25.0
"""A contact whose normal is within this of a push hands it on to the next part (degrees)."""
SAME_PLACE = 1e-3
"""A piece this near to where it would be at another station stands as it does there."""
SAME_DIRECTION = 1e-6
"""Turns (degrees) and directions that differ by less are the same."""
