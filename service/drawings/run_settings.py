"""What pieces are set to for each weldment that runs on a set-up, as tables to read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from service.text import length
from solver.plans import Alternative, Placement

if TYPE_CHECKING:
    from solver.weldment import LengthUnit

HEADING = "settings by variant"
BESIDE = 4
"""So many variants at most stand beside each other in one table."""
SHELF, STAYS = "shelf", "stays"


@dataclass(frozen=True, slots=True)
class SettingTable:
    """Settings of some of the weldments of a run: column headings, and a row a piece, then the times."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def setting_tables(alternative: Alternative, first: str, units: LengthUnit = "mm", quantity: int = 0) -> list[SettingTable]:
    """Return the tables of an alternative with variants; none of one without.

    A row is a piece that is set for some weldment, or that does not stand in the same place for all; then the times.

    Parameters
    ----------
    first : str
        What the request's own weldment is called.
    quantity : int
        How many of it.
    """
    runs = [_Run.of(variant.name, variant.quantity, variant.placements, variant.reset_s, variant.cycle_s)
            for variant in alternative.variants]  # fmt: skip
    own = _Run.of(first, quantity, alternative.placements, 0, alternative.cycle_s)
    pieces = [id for id in dict.fromkeys(id for run in (own, *runs) for id in run.pieces) if _told(id, [own, *runs])]
    return [_table([own, *runs[k : k + BESIDE]], own, pieces, units) for k in range(0, len(runs), BESIDE)]


@dataclass(frozen=True)
class _Run:
    name: str
    quantity: int
    pieces: dict[str, Placement]
    reset_s: int
    cycle_s: int

    @staticmethod
    def of(name: str, quantity: int, placements: Sequence[Placement], reset_s: int, cycle_s: int) -> _Run:
        return _Run(name, quantity, {placement.id: placement for placement in placements}, reset_s, cycle_s)


def _told(id: str, runs: Sequence[_Run]) -> bool:
    standing = [run.pieces.get(id) for run in runs]
    if any(placement is not None and placement.setting_mm is not None for placement in standing):
        return True
    return len({None if placement is None else _place(placement) for placement in standing}) > 1


def _table(shown: Sequence[_Run], own: _Run, pieces: Sequence[str], units: LengthUnit) -> SettingTable:
    rows = [("off", "", "", *(str(run.quantity) if run.quantity else "" for run in shown))]
    for id in pieces:
        standing = [run.pieces.get(id) for run in shown]
        known = next((placement for placement in standing if placement is not None), None)
        if known is not None:
            usual = own.pieces.get(id, known)
            cells = [_cell(placement, usual, units) for placement in standing]
            cells = ["" if cell == STAYS and run is own else cell for cell, run in zip(cells, shown, strict=True)]
            rows.append((id, known.item, " ".join(_place(usual)), *cells))
    rows.append(("to set", "", "", *("" if run is own else f"{run.reset_s / 60:.1f} min" for run in shown)))
    rows.append(("cycle", "", "", *(f"{run.cycle_s} s" for run in shown)))
    return SettingTable(("piece", "item", "where", *(run.name for run in shown)), tuple(rows))


def _cell(placement: Placement | None, usual: Placement, units: LengthUnit) -> str:
    if placement is None:
        return SHELF
    moved = () if _place(placement) == _place(usual) else _place(placement)
    setting = () if placement.setting_mm is None else (length(placement.setting_mm, units),)
    return " ".join((*moved, *setting)) or STAYS


def _place(placement: Placement) -> tuple[str, ...]:
    """Return where a piece stands and how it is turned, as a fitter reads it."""
    return (placement.hole or f"on {placement.stands_on}", f"{placement.turn:g}°")
