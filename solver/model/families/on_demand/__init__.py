"""Constraint families asked of a choice once it is there, in this order.

What breaks those in front is not shown to the others. The first are asked at once, and the position solved again: that costs
next to nothing. The second need only the choice's existence, and write all their rows down at once: distances between all
candidates are worth finding only where the first rows leave the position in the running.
"""

from solver.model.families import OnDemand
from solver.model.families.on_demand.accurate import Accurate
from solver.model.families.on_demand.apart import Apart
from solver.model.families.on_demand.arranged import Arranged
from solver.model.families.on_demand.held import Held
from solver.model.families.on_demand.known_motions import KnownMotions
from solver.model.families.on_demand.reachable import Reachable
from solver.model.families.on_demand.ring_joints import JointsPressed
from solver.model.families.on_demand.tipping import Tipping
from solver.model.families.on_demand.ways import Ways

ON_DEMAND: tuple[tuple[type[OnDemand], ...], ...] = (
    (KnownMotions,),
    (Apart, Reachable),
    (Tipping, Ways, Accurate, JointsPressed, Held),
    (Arranged,),
)
