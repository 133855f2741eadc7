"""Of several ways one at least stays open: rows that torch directions and ways in and out share."""

from __future__ import annotations

from collections.abc import Sequence

from solver.deadline import look
from solver.model.cliques import split
from solver.model.program import Rows
from solver.model.variables import Variables


def keep_one_open(
    rows: Rows,
    variables: Variables,
    neighbours: list[int],
    family: str,
    options: Sequence[frozenset[int]],
    about: str = "",
    loose: Sequence[frozenset[int]] = (),
) -> None:
    """Ask that of several options, each shut by some candidates, at least one stays open; of those `loose` ones may be pulled.

    `neighbours` says of each candidate which others it cannot stand with.
    """
    if not options:
        rows.row(family, [], low=1, about=about)
        return
    if any(not blockers for blockers in options):
        return
    if len(options) == 1 and not any(loose):
        for index in sorted(options[0]):
            rows.row(family, [(variables.candidates[index], 1)], high=0, about=about)
        return
    look()
    opens = [rows.variable() for _ in options]
    rows.row(family, [(o, 1) for o in opens], low=1, about=about)
    for o, blockers, may_go in zip(opens, options, loose or [frozenset[int]()] * len(options), strict=True):
        for index in sorted(may_go):
            rows.row(family, [(variables.candidates[index], 1), (variables.pull[index], -1), (o, 1)], high=1, about=about)
        for clique in split(blockers - may_go, neighbours):
            rows.row(family, [(o, 1), *((variables.candidates[index], 1) for index in clique)], high=1, about=about)
