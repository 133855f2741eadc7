"""How much comes out of blocks when they are opened, counted before any is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from inventory.errors import Fault, InvalidDocument
from inventory.limits import shown

if TYPE_CHECKING:
    from ezdxf.document import Drawing

DEEPEST = 16
"""Blocks within blocks."""


@dataclass(frozen=True)
class BlockSizes:
    """How many entities each block holds, with all that the blocks in it hold, by its name in lower case."""

    counts: Mapping[str, int]

    def of(self, entity: Any) -> int:
        """Return how many entities come of one; a polyline counts a line for each of its vertices."""
        kind = entity.dxftype()
        if kind == "INSERT":
            return copies_of(entity) * (1 + self.counts.get(entity.dxf.get("name", "").casefold(), 0))
        if kind == "LWPOLYLINE":
            return max(1, len(entity))
        return max(1, len(entity.vertices)) if kind == "POLYLINE" else 1


def copies_of(insert: Any) -> int:
    """Return how many copies of its block a reference places: rows times columns."""
    rows, columns = int(insert.dxf.get("row_count", 1)), int(insert.dxf.get("column_count", 1))
    return max(1, rows) * max(1, columns)


def block_sizes(drawing: Drawing) -> BlockSizes:
    """Return the sizes of a drawing's blocks; raises InvalidDocument if one holds itself, or they are nested too deep."""
    blocks = {block.name.casefold(): block for block in drawing.blocks}
    counts: dict[str, int] = {}
    depths: dict[str, int] = {}
    sizes = BlockSizes(counts)

    def measured(name: str, above: tuple[str, ...]) -> None:
        if name in above:
            wrong = f"block {shown(blocks[name].name)} holds itself"
            raise InvalidDocument([Fault(f"/blocks/{name}", wrong, "blocks that do not hold themselves")])
        if len(above) + depths.get(name, 1) > DEEPEST:
            wrong = f"blocks within blocks, more than {DEEPEST} deep"
            raise InvalidDocument([Fault(f"/blocks/{name}", wrong, f"at most {DEEPEST}")])
        if name in counts or name not in blocks:
            return
        inside = list(blocks[name])
        held = {entity.dxf.get("name", "").casefold() for entity in inside if entity.dxftype() == "INSERT"}
        for each in sorted(held):
            measured(each, (*above, name))
        depths[name] = 1 + max((depths.get(each, 0) for each in held), default=0)
        counts[name] = sum(sizes.of(entity) for entity in inside)

    for name in blocks:
        measured(name, ())
    return sizes
