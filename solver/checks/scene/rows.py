"""What locates a part: one row per locator contact, one per corner of a table or part contact."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from inventory.shapes import Array
from solver.checks.scene.rings import ring_of
from solver.checks.scene.scene import UP, Scene
from solver.checks.scene.table_contact import table_patch
from solver.checks.scene.tips import NAME
from solver.checks.tolerances import CARRIES, SQUARE


@dataclass(frozen=True)
class Row:
    """One unilateral contact row.

    `source` is the placement, the carrying part or `table`, as `kind` says; `roles` are a placement's declared ones for the part.
    `gap` is how far the contact is from touching along the normal, mm; `patch` the whole contact's corners.
    """

    source: str
    kind: str
    at: Array
    normal: Array
    patch: Array
    roles: tuple[str, ...] = ()
    gap: float = 0.0

    @property
    def supports(self) -> bool:
        """Whether it may count as support: declared, or (table, part) steep enough."""
        return "support" in self.roles if self.kind == "piece" else float(self.normal @ UP) > CARRIES


def rows_of(scene: Scene, id: str) -> tuple[Row, ...]:
    """Return a part's rows: locators first, then table, then carrying parts.

    A pad at a tip is an end point with a row at either end of the edge, for a part that is located together with its ring.
    """
    part = scene.parts[id]
    found: list[Row] = []
    together = ring_of(scene, id) is not None
    for piece in scene.pieces.values():
        if piece.clamping:
            continue
        roles = tuple(role for name, role in piece.placement.locates if name == id)
        for contact in piece.locating:
            if contact.part != id:
                continue
            at, normal = np.array(contact.at), np.array(contact.normal)
            gaps = [float((at - pad.centre) @ normal) for pad in piece.pads if float(pad.normal @ normal) > SQUARE]
            gap = min(map(abs, gaps), default=0.0)
            patch = np.array(contact.patch)
            if contact.face.startswith(NAME):
                own = ("end",) if "end" in roles else ()
                found += [Row(piece.id, "piece", end, normal, patch, own, gap) for end in patch if together]
            else:
                found.append(Row(piece.id, "piece", at, normal, patch, roles, gap))
    table = table_patch(scene, part)
    found += [Row("table", "table", corner, UP, table) for corner in table]
    for mate in scene.answer.part_contacts:
        if mate.part == id:
            patch = np.array(mate.patch)
            found += [Row(mate.on, "part", corner, np.array(mate.normal), patch) for corner in patch]
    return tuple(found)
