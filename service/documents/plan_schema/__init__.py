"""The schema of the plan document: the models it is read by, each of which makes its value of `solver.plans`."""
