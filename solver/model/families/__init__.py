"""The constraint families, one a file, all of one shape: ``post(program, variables, problem)``."""

from solver.model.families import apart, clamped, counted, located, reachable, spread, ways

FAMILIES = (located, spread, clamped, apart, counted, reachable, ways)
