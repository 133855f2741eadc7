"""An answer in a terminal: its alternatives as drawings and lists, then all of them ranked, or why there is none.

Drawings are imported when there is something to draw: what plans begins without them.
"""

from __future__ import annotations

import sys
from collections.abc import Collection
from io import TextIOWrapper
from typing import TYPE_CHECKING

from service.command_line.printing.console import line_width
from service.command_line.printing.summary import print_plan

if TYPE_CHECKING:
    from inventory.stock import StockSnapshot
    from solver.plans import Plan
    from solver.request import Request


def print_answer(plan: Plan, request: Request, stock: StockSnapshot, currency: str, ranks: Collection[int] = (1,)) -> None:
    """Print the alternatives of these ranks as drawings and lists, then the whole plan in words.

    What the terminal's encoding has no character for is escaped.

    Raises
    ------
    KeyError
        If an alternative names a table or an item the stock does not have.
    """
    if isinstance(sys.stdout, TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")
    drawn = [one for one in plan.alternatives if one.rank in ranks]
    if drawn:
        from rich.console import Console

        from service.drawings.subject import Subject
        from service.drawings.terminal import PAGE, print_setup

        console = Console(width=line_width() or PAGE)
        for one in drawn:
            print_setup(Subject(one, request, stock, currency=currency), console)
            console.print()
    print_plan(plan, currency, request.weldment.units, ranks)
