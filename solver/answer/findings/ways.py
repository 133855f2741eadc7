"""Findings on ways: how a part goes in that is not simply lowered, how the weldment leaves, what is pulled first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from solver.answer.findings.source import FindingSource
from solver.answer.way_words import route
from solver.plans import Finding, Move


def ways(source: FindingSource) -> Iterator[Finding]:
    """Yield the way in of every part that is not lowered straight, the pieces to pull with their seconds, and the way out."""
    for step in source.alternative.load:
        if len(step.moves) > 1:
            yield _way("way.in", step.part, "goes in", step.moves)
    unload = source.alternative.unload
    items = {placement.id: source.fixture.problem.stock.items[placement.item] for placement in source.alternative.placements}
    for id in unload.pull:
        text = f"draw {items[id].id} up before the weldment leaves, put it back before the next is loaded; paid in every cycle"
        yield Finding("unload.pull", id, items[id].pull_s, None, "s", True, text)
    without = f", with {', '.join(unload.pull)} pulled" if unload.pull else ""
    yield _way("way.out", "weldment", "leaves" + without, unload.moves)


def _way(rule: str, subject: str, how: str, moves: Sequence[Move]) -> Finding:
    return Finding(rule, subject, round(sum(move.distance for move in moves), 6), None, "mm", True, f"{how}: {route(moves)}")
