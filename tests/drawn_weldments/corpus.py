"""Thirty weldments, drawn: all sections, mitres and slopes, places, units and ways to keep them in a file."""

from __future__ import annotations

from tests.drawn_weldments.drawn_weldment import DrawnWeldment
from tests.drawn_weldments.open_profiles import OPEN_PROFILES
from tests.drawn_weldments.plates import PLATES
from tests.drawn_weldments.rounds import ROUNDS
from tests.drawn_weldments.square_tubes import SQUARE_TUBES

CORPUS: tuple[DrawnWeldment, ...] = (*SQUARE_TUBES, *OPEN_PROFILES, *ROUNDS, *PLATES)
