"""Constraint families written down before anything is solved, in this order."""

from solver.model.families import FromStart
from solver.model.families.from_start import clamped, counted, located, opposed, spread

FROM_START: tuple[FromStart, ...] = (located, spread, opposed, clamped, counted)
