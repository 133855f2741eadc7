"""A planned week recomputed from the documents alone: tables and pieces never over-used, days kept, the price to the cent."""

from solver.checks.week.check_week import check_week

__all__ = ["check_week"]
