"""What the hands do once the fixture stands: parts in, tacks and welds with the torch's side, the weldment out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from inventory.shapes import Point3
from service.drawings.subject import Subject
from service.steps import way_words
from service.text import figure, length
from solver.plans import Station
from solver.weldment import Weld

_BEARINGS = ("right", "far right", "far side", "far left", "left", "near left", "near side", "near right")
_STEEP = 75.0
_UPRIGHT = ("above", "below")


@dataclass(frozen=True, slots=True)
class LoadLine:
    """One part that goes in: its way, what is shut then, what a hand must hold until then."""

    part: str
    way: str
    shut: str
    hold: str
    mass: str


@dataclass(frozen=True, slots=True)
class WeldLine:
    """One weld: its parts and size, how much of it is made in the fixture, where the torch comes from."""

    weld: str
    joins: str
    what: str
    tack: str
    then: str
    torch: str


@dataclass(frozen=True, slots=True)
class OutLine:
    """The way out of one station's weldment: what is opened, what is pulled, how it leaves."""

    station: str
    open: str
    pull: str
    way: str
    mass: str


def load_steps(subject: Subject) -> Iterator[LoadLine]:
    """Yield the parts in the order they go in."""
    units = subject.request.weldment.units
    for step in subject.alternative.load:
        part = step.part if step.station is None else f"{step.part} / {step.station}"
        hold = "" if step.hold_by_hand is None else f"UNSTABLE, hold by hand {step.hold_by_hand}"
        yield LoadLine(part, way_words(step.moves, units), ", ".join(step.then_close), hold, _mass(step.mass_kg, step.heavy))


def _mass(mass_kg: float | None, heavy: bool | None) -> str:
    if mass_kg is None:
        return ""
    return f"{mass_kg:.1f} kg" + (", HEAVY: lift it with help" if heavy else "")


def weld_lines(subject: Subject) -> Iterator[WeldLine]:
    """Yield the welds in the order of the request, each as it is made in the fixture; of several stations the first."""
    units = subject.request.weldment.units
    torches = {(weld.id, weld.station): weld.samples for weld in subject.alternative.welds}
    first = subject.alternative.stations[0].number
    pitch = subject.request.rules["tack.pitch"]
    for weld in subject.request.weldment.welds:
        samples = torches.get((weld.id, first), ())
        long = sum(math.dist(a, b) for a, b in zip(weld.path, weld.path[1:], strict=False))
        tack = {
            "none": "not in the fixture",
            "tack": f"tack at both ends{_every(long, pitch, subject)}",
            "full": f"tack at both ends{_every(long, pitch, subject)}",
        }[weld.in_fixture]
        then = {"none": "weld outside", "tack": "weld the rest outside", "full": "weld its whole length"}[weld.in_fixture]
        torch = torch_words([direction for _, direction in samples])
        yield WeldLine(weld.id, " to ".join(weld.parts), f"{_size(weld, subject)}, {length(long, units)} long", tack, then, torch)


def _every(long_mm: float, pitch_mm: float, subject: Subject) -> str:
    return f" and every {length(pitch_mm, subject.request.weldment.units)}" if long_mm > pitch_mm else ""


def _size(weld: Weld, subject: Subject) -> str:
    units = subject.request.weldment.units
    size = f" leg {figure(weld.leg, units)}" if weld.leg is not None else ""
    size = f" throat {figure(weld.throat, units)}" if weld.throat is not None else size
    return f"{weld.kind}{size}"


def torch_words(directions: Sequence[Point3]) -> str:
    """Return where a torch comes from along a weld, for someone at the table's front: ``from the left, 30 to 45° up``.

    Parameters
    ----------
    directions : sequence of Point3
        From the nozzle towards the weld, at one sample after the other.
    """
    from_where = [_from_where(direction) for direction in directions]
    sides = list(dict.fromkeys(side for side, _ in from_where))
    if len(sides) != 1:
        return f"from {sides[0]}, following the bead to {sides[-1]}" if sides else ""
    low, high = (round(pick(rise for _, rise in from_where)) for pick in (min, max))
    if sides[0] in _UPRIGHT:
        return f"from {sides[0]}"
    if low < 0 < high:
        return f"from {sides[0]}, {-low}° down to {high}° up"
    angles = f"{abs(low)}°" if low == high else f"{min(abs(low), abs(high))} to {max(abs(low), abs(high))}°"
    return f"from {sides[0]}, level" if low == high == 0 else f"from {sides[0]}, {angles} {'up' if high > 0 else 'down'}"


def _from_where(direction: Point3) -> tuple[str, float]:
    """Return the side a torch comes from in words, and how many degrees above level."""
    x, y, z = (-value for value in direction)
    rise = math.degrees(math.atan2(z, math.hypot(x, y)))
    if abs(rise) > _STEEP:
        return _UPRIGHT[rise < 0], rise
    return f"the {_BEARINGS[round(math.degrees(math.atan2(y, x)) / 45.0) % 8]}", rise


def ways_out(subject: Subject) -> Iterator[OutLine]:
    """Yield the way out of every station."""
    for station in subject.alternative.stations:
        yield _way_out(station, subject)


def _way_out(station: Station, subject: Subject) -> OutLine:
    unload = station.unload
    name = "" if station.number is None else f"station {station.number}"
    way = way_words(unload.moves, subject.request.weldment.units)
    return OutLine(name, ", ".join(unload.open), ", ".join(unload.pull), way, _mass(unload.mass_kg, unload.heavy))
