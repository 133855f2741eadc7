"""Constraint families written down before anything is solved, in this order."""

from solver.model.families import FromStart
from solver.model.families.from_start import asked_pieces, clamped, counted, located, long_face, opposed, spread, together

FROM_START: tuple[FromStart, ...] = (located, spread, long_face, opposed, together, clamped, counted, asked_pieces)
