"""The ways in and out of an alternative as the view in space plays them: the loading, part by part, then the way out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from service.drawings.models.bodies import bodies
from service.drawings.subject import Subject
from service.steps import way_words
from solver.plans import LoadStep, Move, Station
from solver.weldment import LengthUnit


def way_documents(subject: Subject, units: LengthUnit | None = None) -> list[dict[str, Any]]:
    """Return every way of an alternative that has moves as JSON, in the order of the hands, station after station.

    Bodies have the names they have in the model; lengths are mm, directions of unit length in the table frame. ``ends`` says
    whether what moves comes to its place (``in place``) or leaves it (``away``); ``absent`` are bodies that are not there yet,
    ``open`` clamps that stand open, ``close`` those that are shut at the end, ``pull`` pieces that are pulled out before.

    Parameters
    ----------
    units : {"mm", "inch"}, optional
        What the words of a move say its length in; the weldment's own by default.
    """
    units = units or subject.request.weldment.units
    found = (way for station in subject.alternative.stations for way in _of_station(subject, station, units))
    return [way for way in found if way["moves"]]


def _of_station(subject: Subject, station: Station, units: LengthUnit) -> Iterator[dict[str, Any]]:
    known = [
        body for body in bodies(subject) if body.material in ("part", "weld") and body.facts.get("station") == station.number
    ]
    parts = {body.facts["id"]: body.name for body in known if body.material == "part"}
    welds = [body.name for body in known if body.material == "weld"]
    steps = [step for step in subject.alternative.load if step.station == station.number]
    where = "" if station.number is None else f" at station {station.number}"
    for number, step in enumerate(steps):
        later = [parts[each.part] for each in steps[number + 1 :]]
        yield {
            "label": f"{step.part} goes in{where}",
            "ends": "in place",
            "moves": _moves(step.moves, units),
            "bodies": [parts[step.part]],
            "absent": [*later, *welds],
            "open": _shut_by(steps[number:]),
            "close": list(step.then_close),
        }
    out = station.unload
    yield {
        "label": f"the weldment goes out{where}",
        "ends": "away",
        "moves": _moves(out.moves, units),
        "bodies": [*parts.values(), *welds],
        "pull": list(out.pull),
        "open": list(out.open),
    }


def _shut_by(steps: Sequence[LoadStep]) -> list[str]:
    return [clamp for step in steps for clamp in step.then_close]


def _moves(moves: Sequence[Move], units: LengthUnit) -> list[dict[str, Any]]:
    return [{"direction": list(each.direction), "distance": each.distance, "words": way_words([each], units)} for each in moves]
