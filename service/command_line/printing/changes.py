"""A re-plan's change list: a step of the hands a line, in order."""

from __future__ import annotations

from collections.abc import Sequence

from service.command_line.printing.console import print_table
from service.text_table import Column
from solver.plans import Change

COLUMNS = (
    Column("step", right=True),
    *(Column(heading) for heading in ("do", "piece", "item", "from", "to")),
    *(Column(heading, right=True) for heading in ("turn", "set")),
    Column("why", wraps=True),
)
STANDS = "nothing to do: what stands on the table is the plan"


def print_changes(changes: Sequence[Change]) -> None:
    """Print the steps as a table, on standard output."""
    print_table(COLUMNS, change_rows(changes), STANDS)


def change_rows(changes: Sequence[Change]) -> list[list[str]]:
    """Return a row a step: number, what is done to which piece, where it stood and stands then, turn, setting, why."""
    return [
        [
            str(number), change.do.replace("_", " "), change.piece, change.item,
            _place(change.hole_before, change.stands_on_before, "shelf"), _place(change.hole, change.stands_on, "off"),
            "" if change.turn is None else f"{change.turn:g}", "" if change.setting_mm is None else f"{change.setting_mm:g} mm",
            change.why,
        ]
        for number, change in enumerate(changes, 1)
    ]  # fmt: skip


def _place(hole: str | None, stands_on: str | None, nowhere: str) -> str:
    """Return where a piece stands as a fitter reads it: a hole, or the piece under it; `nowhere` where it does not stand."""
    if hole is not None:
        return hole
    return nowhere if stands_on is None else f"on {stands_on}"
