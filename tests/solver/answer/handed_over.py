"""Two alternatives, one made of the other by hand: the change list, and what the checker says of it."""

from __future__ import annotations

from dataclasses import replace

from inventory.stock import StockSnapshot
from solver.answer.changes.listing import change_list
from solver.answer.changes.same_pieces import kept_ids, new_ids
from solver.checks.rules.changes import check_changes
from solver.checks.scene.scene import set_scene
from solver.plans import Alternative, Finding
from solver.position.kept_plan import standing_by_id
from solver.request import Request


def handed_over(request: Request, stock: StockSnapshot, keep: Alternative, new: Alternative) -> Alternative:
    """Return an alternative as the re-plan of another: pieces that stay or move named as they are there, and the change list."""
    parts = {part.id for part in request.weldment.parts}
    fresh = new_ids(keep.placements, parts, "n")
    kept = kept_ids(keep, list(standing_by_id(new).values()), new.table)
    name = {placed.id: id or next(fresh) for placed, id in zip(new.placements, kept, strict=True)}
    placements = tuple(replace(one, id=name[one.id], stands_on=name.get(one.stands_on or "")) for one in new.placements)
    return replace(new, placements=placements, changes=change_list(request, stock, keep, new.table, placements))


def faults(request: Request, stock: StockSnapshot, keep: Alternative, again: Alternative) -> list[Finding]:
    """Return what the checker finds wrong with an alternative's change list."""
    asked = replace(request, keep=keep)
    return [finding for finding in check_changes([set_scene(asked, stock, request.rules, again)]) if not finding.ok]
