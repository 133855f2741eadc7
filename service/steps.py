"""What the hands do, in words, the same on every view: a re-plan's changes, the parts' ways in, the weldment's way out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from service.text import length
from service.text_table import Column
from solver.plans import Alternative, Change, LoadStep, Move, Unload

if TYPE_CHECKING:
    from solver.weldment import LengthUnit

CHANGE_COLUMNS = (
    Column("step", right=True),
    *(Column(heading) for heading in ("do", "piece", "item", "from", "to")),
    *(Column(heading, right=True) for heading in ("turn", "set")),
    Column("why", wraps=True),
)
STANDS = "nothing to change: what stands on the table is the plan"
_WAYS = (("right", "left"), ("away", "towards you"), ("up", "down"))
"""What a move along x, y or z is to someone who stands at the table's front, y = 0: onwards, and back."""
_STILL_MM = 0.005


def change_rows(changes: Sequence[Change], units: LengthUnit = "mm") -> list[list[str]]:
    """Return a row a step: number, what is done to which piece, where it stood and stands then, turn, setting, why."""
    return [
        [
            str(number), change.do.replace("_", " "), change.piece, change.item,
            _place(change.hole_before, change.stands_on_before, "shelf"), _place(change.hole, change.stands_on, "off"),
            "" if change.turn is None else f"{change.turn:g}",
            "" if change.setting_mm is None else length(change.setting_mm, units), change.why,
        ]
        for number, change in enumerate(changes, 1)
    ]  # fmt: skip


def _place(hole: str | None, stands_on: str | None, nowhere: str) -> str:
    """Return where a piece stands as a fitter reads it: a hole, or the piece under it; `nowhere` where it does not stand."""
    if hole is not None:
        return hole
    return nowhere if stands_on is None else f"on {stands_on}"


def load_lines(alternative: Alternative, units: LengthUnit | None = None) -> list[str]:
    """Return a line a load step, and one for the way out of each station: what is lifted, shut, held by hand.

    Given `units`, the lines say the ways too: ``right 40 mm, then down 150 mm``.
    """
    load = [f"{number}  in: {_step(step, units)}" for number, step in enumerate(alternative.load, 1)]
    return load + [f"   out: {_out(station.unload, units)}" for station in alternative.stations]


def cautions(alternative: Alternative) -> Iterator[str]:
    """Yield what a hand must hold, and what is more than one person lifts, each with the part it is about."""
    for step in alternative.load:
        if step.hold_by_hand is not None:
            yield f"{step.part}: unstable, hold by hand {step.hold_by_hand}"
        if step.heavy:
            yield f"{step.part}: heavy, {step.mass_kg:.1f} kg: lift it with help"
    for unload in {station.unload.mass_kg: station.unload for station in alternative.stations}.values():
        if unload.heavy:
            yield f"weldment: heavy, {unload.mass_kg:.1f} kg: lift it with help"


def _step(step: LoadStep, units: LengthUnit | None) -> str:
    said = [_lifted(step.part if step.station is None else f"{step.part} / {step.station}", step.mass_kg, step.heavy)]
    said += _way(step.moves, units)
    if step.hold_by_hand is not None:
        said.append(f"UNSTABLE, hold by hand {step.hold_by_hand}")
    if step.then_close:
        said.append(f"shut {', '.join(step.then_close)}")
    return "; ".join(said)


def _out(unload: Unload, units: LengthUnit | None) -> str:
    said = [f"open {', '.join(unload.open)}"] if unload.open else []
    said += [f"pull {', '.join(unload.pull)}"] if unload.pull else []
    return "; ".join([*said, _lifted("weldment", unload.mass_kg, unload.heavy), *_way(unload.moves, units)])


def way_words(moves: Sequence[Move], units: LengthUnit) -> str:
    """Return straight moves as someone at the table's front makes them: ``right 40 mm, then down 150 mm``."""
    return ", then ".join(_straight(move, units) for move in moves)


def _way(moves: Sequence[Move], units: LengthUnit | None) -> list[str]:
    return [way_words(moves, units)] if units and moves else []


def _straight(move: Move, units: LengthUnit) -> str:
    """Return one straight move by its shares along x, y and z: ``left 10 mm and up 150 mm``."""
    shares = [(share * move.distance, ways) for share, ways in zip(move.direction, _WAYS, strict=True)]
    return " and ".join(f"{ways[mm < 0]} {length(abs(mm), units)}" for mm, ways in shares if abs(mm) > _STILL_MM)


def _lifted(what: str, mass_kg: float | None, heavy: bool | None) -> str:
    mass = "" if mass_kg is None else f", {mass_kg:.1f} kg"
    return f"{what}{mass}{', HEAVY: lift it with help' if heavy else ''}"
