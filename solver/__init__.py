"""The cheapest feasible fixture, as a pure function of request, stock and rules."""
