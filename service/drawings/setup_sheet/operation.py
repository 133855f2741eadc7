"""What the hands do once the fixture stands: parts in, tacks and welds with the torch's side, the weldment out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from inventory.shapes import Point3
from service.drawings.subject import Subject
from service.steps import way_words
from service.text import figure, length
from solver.plans import Station
from solver.weldment import Weld

_BEARINGS = ("right", "far right", "far side", "far left", "left", "near left", "near side", "near right")
_UPRIGHT = 75.0


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
        sides = list(dict.fromkeys(torch_words(direction) for _, direction in samples))
        torch = " then ".join(sides) if len(sides) <= 2 else f"{sides[0]}, following the bead to {sides[-1]}"
        yield WeldLine(weld.id, " to ".join(weld.parts), f"{_size(weld, subject)}, {length(long, units)} long", tack, then, torch)


def _every(long_mm: float, pitch_mm: float, subject: Subject) -> str:
    return f" and every {length(pitch_mm, subject.request.weldment.units)}" if long_mm > pitch_mm else ""


def _size(weld: Weld, subject: Subject) -> str:
    units = subject.request.weldment.units
    size = f" leg {figure(weld.leg, units)}" if weld.leg is not None else ""
    size = f" throat {figure(weld.throat, units)}" if weld.throat is not None else size
    return f"{weld.kind}{size}"


def torch_words(direction: Point3) -> str:
    """Return where a torch comes from, for someone at the table's front; `direction` runs from the nozzle towards the weld."""
    x, y, z = (-value for value in direction)
    rise = math.degrees(math.atan2(z, math.hypot(x, y)))
    if rise > _UPRIGHT:
        return "from above"
    if rise < -_UPRIGHT:
        return "from below"
    bearing = _BEARINGS[round(math.degrees(math.atan2(y, x)) / 45.0) % 8]
    level = f", {abs(rise):.0f}° {'up' if rise > 0 else 'down'}" if abs(rise) >= 2.5 else ", level"
    return f"from the {bearing}{level}"


def ways_out(subject: Subject) -> Iterator[OutLine]:
    """Yield the way out of every station."""
    for station in subject.alternative.stations:
        yield _way_out(station, subject)


def _way_out(station: Station, subject: Subject) -> OutLine:
    unload = station.unload
    name = "" if station.number is None else f"station {station.number}"
    way = way_words(unload.moves, subject.request.weldment.units)
    return OutLine(name, ", ".join(unload.open), ", ".join(unload.pull), way, _mass(unload.mass_kg, unload.heavy))
