"""Several stations on one table: an alternative taken apart into one answer a station; the stations kept clear of each other."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations
from typing import Any

from solver.checks.arithmetic.blocks import Block
from solver.checks.report import fail, summary
from solver.checks.rules.bodies_apart import gap
from solver.checks.scene.reading import read_alternative
from solver.checks.scene.scene import Scene
from solver.checks.tolerances import CLEARANCE_SLACK
from solver.plans import Alternative, Finding
from solver.request import Request

SHARED = ("parts", "placements", "part_contacts", "welds", "load")


def read_stations(document: Any, pointer: str = "") -> tuple[Alternative, ...]:
    """Return the answers of an alternative, one a station.

    Raises
    ------
    InvalidDocument
        If a field the checks need is missing or of another kind.
    """
    stations = document.get("stations") if isinstance(document, Mapping) else None
    if not stations or not isinstance(stations, Sequence):
        return (read_alternative(document, pointer),)
    return tuple(read_alternative(_own(document, entry), pointer) for entry in stations)


def _own(document: Mapping[str, Any], entry: Any) -> dict[str, Any]:
    """Return the part of an alternative that belongs to one station."""
    own: dict[str, Any] = dict(document)
    if not isinstance(entry, Mapping):
        return own | {"lie": entry}
    number = entry.get("station")
    own |= {name: entry.get(name) for name in ("lie", "weldment_to_table")}
    for name in (*SHARED, "unload"):
        listed = document.get(name)
        if isinstance(listed, Sequence) and not isinstance(listed, str):
            own[name] = [one for one in listed if not isinstance(one, Mapping) or one.get("station") == number]
    ways = own.get("unload")
    own["unload"] = ways[0] if isinstance(ways, list) and len(ways) == 1 else None
    return own


def check_station_count(request: Request, document: Mapping[str, Any], answers: Sequence[Alternative]) -> Iterator[Finding]:
    """Yield whether there are as many stations as asked, nothing is left out of them, and placement ids stay unique."""
    if request.stations != "best" and len(answers) != request.stations:
        yield fail("stations.count", "plan", f"{len(answers)} stations, {request.stations} asked", len(answers), request.stations)
    for name in SHARED:
        listed, kept = document.get(name), sum(len(getattr(answer, name)) for answer in answers)
        if isinstance(listed, Sequence) and len(listed) != kept:
            yield fail("stations.count", name, f"{len(listed)} entries, {kept} of them at a station", len(listed), kept)
    for id, count in Counter(placement.id for answer in answers for placement in answer.placements).items():
        if count > 1 and len(answers) > 1:
            yield fail("document.ids", id, f"{count} placements share this id")


def surroundings(scene: Scene) -> dict[str, tuple[Block, ...]]:
    """Return a station's bodies as the others meet them: parts in place, clamps both shut and open."""
    bodies: dict[str, tuple[Block, ...]] = {part.id: (part.block,) for part in scene.parts.values()}
    for piece in scene.pieces.values():
        bodies[piece.id] = piece.shut if piece.opened is piece.shut else piece.shut + piece.opened
    return bodies


def check_between(scenes: Sequence[Scene]) -> Iterator[Finding]:
    """Yield every two bodies of different stations that are too near."""
    if len(scenes) > 1:
        yield from summary("clear.body", "stations", _between(scenes))


def _between(scenes: Sequence[Scene]) -> Iterator[Finding]:
    limit = scenes[0].rules["clear.body"]
    bodies = [surroundings(scene) for scene in scenes]
    for (k, ours), (n, theirs) in combinations(enumerate(bodies, 1), 2):
        for id, body in ours.items():
            for other, block in theirs.items():
                near = gap(body, block, limit)
                if near < limit - CLEARANCE_SLACK:
                    yield fail("clear.body", f"{id} ({k}) {other} ({n})", "bodies of two stations", near, limit, "mm")
