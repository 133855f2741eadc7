"""A lattice position of a tiny pair of parts, with both orders of loading: what each asks alone, and all at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from solver.deadline import Deadline
from solver.hardware.sites import Sites
from solver.laying.order_choices import OrderChoices
from solver.model import objective
from solver.model.any_order.orders_model import OrdersModel
from solver.model.families.from_start import FROM_START
from solver.model.program import Program
from solver.model.variables import declare
from solver.position.problem import Problem
from solver.position.problem_of import problem_of
from solver.search.orientation import Orientation, in_orders
from solver.search.position_batches import usable_sites
from tests.solver.position.surveyed import opened, places

ORDERS = ((0, 1), (1, 0))
DEADLINE = Deadline(lambda: 1000.0)


@dataclass(frozen=True)
class Place:
    """One lattice of an orientation with several orders of loading, and what can stand there."""

    orientation: Orientation
    sites: Sites
    choices: OrderChoices
    seed: int

    def problem(self, number: int | None = None) -> Problem:
        """Return the problem of one order, or of any."""
        search = opened(self.seed, True)
        laid = self.orientation.laid if number is None else self.choices.laids[number]
        return problem_of(search.request, search.stock, laid, self.sites, self.orientation.torch, self.orientation.times)

    def alone(self, number: int) -> Program:
        """Return the first rows of one order with the objective."""
        program, problem = Program(), self.problem(number)
        variables = declare(program, problem)
        for family in FROM_START:
            family.post(program, variables, problem)
        objective.post(program, variables, problem)
        return program

    def at_once(self, *numbers: int) -> OrdersModel:
        """Return the model of some orders, without any floors."""
        floors = np.zeros(len(self.choices.cases)).tolist()
        return OrdersModel(self.problem(), self.choices, dict.fromkeys(numbers, 0), floors)


def places_in_orders(seed: int, most: int) -> Iterator[Place]:
    """Yield some lattices of a tiny pair's orientations at which anything can stand."""
    for orientation, lattices in places(seed, True, most):
        several = in_orders(replace(orientation), ORDERS)
        for lattice in lattices[:most]:
            sites = usable_sites(several, lattice, Counter())
            if len(sites):
                yield Place(several, sites, several.bounds.choices, seed)
