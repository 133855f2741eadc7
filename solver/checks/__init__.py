"""The independent checker: recomputes a plan from request, stock and plan document alone.

Shares no arithmetic with the model, the candidates or their geometry, so that a mistake there is seen here.
"""

from solver.checks.checker import check, check_alternative
from solver.checks.report import Report

__all__ = ["Report", "check", "check_alternative"]
