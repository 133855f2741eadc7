"""The constraint families, one a file, of one shape: ``post(program, variables, problem)``.

`FIRST` is what a fixture is; it costs little to write down and bounds the price. `THEN` needs the distances between all
candidates, and is written down only for poses that the first rows leave in the running. Ways in and out are asked for
one mover at a time, when a choice leaves it stuck.
"""

from solver.model.families.from_start import clamped, counted, located, opposed, spread
from solver.model.families.on_demand import apart, reachable

FIRST = (located, spread, opposed, clamped, counted)
THEN = (apart, reachable)
