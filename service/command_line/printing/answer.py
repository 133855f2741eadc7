"""An answer in a terminal: alternatives as drawings and lists, then all of them ranked, or why there is none.

Drawings are imported when there is something to draw: what plans begins without them.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from io import TextIOWrapper
from typing import TYPE_CHECKING

from service.command_line.printing.console import line_width
from service.command_line.printing.summary import print_plan

if TYPE_CHECKING:
    from inventory.stock import StockSnapshot
    from service.drawings.subject import Subject
    from solver.plans import Plan
    from solver.request import Request
    from solver.weldment import LengthUnit


def print_best(plan: Plan, request: Request, stock: StockSnapshot, currency: str) -> None:
    """Print the cheapest alternative as drawing and lists, then the whole plan in words."""
    drawn: list[Subject] = []
    if plan.alternatives:
        from service.drawings.subject import Subject

        drawn.append(Subject(plan.alternatives[0], request, stock, currency=currency))
    print_answer(plan, drawn, currency, request.weldment.units)


def print_answer(plan: Plan, drawn: Sequence[Subject], currency: str, units: LengthUnit) -> None:
    """Print these alternatives of a plan as drawings and lists, then the whole plan in words.

    What the terminal's encoding has no character for is escaped.
    """
    if isinstance(sys.stdout, TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    if drawn:
        from rich.console import Console

        from service.drawings.terminal import PAGE, print_setup

        console = Console(width=line_width() or PAGE)
        for one in drawn:
            print_setup(one, console)
            console.print()
    print_plan(plan, currency, units, {one.alternative.rank for one in drawn})
