"""Ways: a way in for every part, a way out for the weldment, past pieces that are pulled first if need be.

In words: of the ways that the parts themselves leave, one at least stays free of pieces. On the way out what stands in it may be
pulled instead, if the catalogue allows it and nothing stands over it; pulling takes its seconds of every cycle.
Formula: sum_i x_i + z_w <= 1 for each clique of blockers i of way w (of which no two can stand);
x_i - pull_i + z_w <= 1 for what may be pulled (only on the way out);  sum_w z_w >= 1;  pull_i <= x_i;
pull_i + x_j <= 1 for each j that stands over i.
Source: the rule book's way.* rules.

Example:

```text
        up        lift, then slide                [clamp arm] over the part blocks "up":  x_clamp + z_up <= 1
        ^             +--->                       [stop] blocks the other, removable:     x_stop - pull_stop + z_slide <= 1
        |             |
     [ weldment ]  [ weldment ]                   one way at least:                       z_up + z_slide >= 1
```
"""

from __future__ import annotations

from collections.abc import Sequence

from solver.model.cliques import split
from solver.model.program import Program
from solver.model.variables import Variables
from solver.position.problem import Problem


def post(program: Program, variables: Variables, problem: Problem, mover: int) -> None:
    """Add the rows of one mover (an index of `problem.routes.movers`)."""
    routes = problem.routes
    family, about = ("way.out", "weldment") if mover == routes.out else ("way.in", problem.laid.parts[mover].id)
    options = routes.options(mover)
    blockers, loose = [option.blockers for option in options], [option.pullable for option in options]
    keep_one_open(program, variables, problem.neighbours, family, blockers, about, loose)
    plainest = options[0].blockers - options[0].pullable if options else frozenset()
    program.named[family, about] = tuple(sorted({problem.candidates[index].stack.top.id for index in plainest}))
    for index in sorted({index for option in options for index in option.pullable}):
        pull, over = variables.pull[index], sorted(routes.over_pullable[index])
        program.row(family, [(pull, 1), (variables.candidates[index], -1)], high=0, about=about)
        if over:
            program.row(family, [(pull, len(over)), *((variables.candidates[k], 1) for k in over)], high=len(over), about=about)


def stuck(problem: Problem, chosen: Sequence[int], pulled: frozenset[int] = frozenset()) -> list[int]:
    """Return the movers that find no way among these stands, those of `pulled` out of the way if they may be."""
    return [mover for mover in range(len(problem.routes.movers)) if problem.routes.open_route(mover, chosen, pulled) is None]


def keep_one_open(
    program: Program,
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
        program.row(family, [], low=1, about=about)
        return
    if any(not blockers for blockers in options):
        return
    if len(options) == 1 and not any(loose):
        for index in sorted(options[0]):
            program.row(family, [(variables.candidates[index], 1)], high=0, about=about)
        return
    opens = [program.variable() for _ in options]
    program.row(family, [(o, 1) for o in opens], low=1, about=about)
    for o, blockers, may_go in zip(opens, options, loose or [frozenset[int]()] * len(options), strict=True):
        for index in sorted(may_go):
            program.row(family, [(variables.candidates[index], 1), (variables.pull[index], -1), (o, 1)], high=1, about=about)
        for clique in split(blockers - may_go, neighbours):
            program.row(family, [(o, 1), *((variables.candidates[index], 1) for index in clique)], high=1, about=about)
