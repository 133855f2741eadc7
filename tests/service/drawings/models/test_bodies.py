"""A model's bodies are the plan's, each under a name of its own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from service.drawings.models.bodies import ROD_MM, ModelBody, bodies, open_clamps, rods, slab, weld_paths
from service.drawings.subject import Subject
from tests.builders import table
from tests.service.drawings.example import alternative, question, subject, with_open_clamp


def named(subject: Subject) -> dict[str, ModelBody]:
    """Return the bodies by name; no two share one."""
    found = list(bodies(subject))
    names = {body.name: body for body in found}
    assert len(names) == len(found)
    return names


def two_stations() -> Subject:
    one = alternative()
    first = replace(one.stations[0], number=1)
    parts = tuple(replace(part, station=number) for number in (1, 2) for part in one.parts)
    return subject(replace(one, stations=(first, replace(first, number=2)), parts=parts))


def test_table_parts_pieces_and_welds_are_bodies() -> None:
    found = named(subject())
    assert list(found) == ["table", "bar-1", "bar-2", "p1", "p2", "p3", "p4", "p5", "p10", "w1"]
    kinds = {name: body.material for name, body in found.items()}
    assert (kinds["bar-1"], kinds["p1"], kinds["p4"], kinds["p5"], kinds["w1"]) == ("part", "locator", "clamp", "carrier", "weld")
    assert found["p10"].solids == alternative().placements[-1].solids
    assert found["p10"].facts == {"id": "p10", "item": "stop", "item_name": "stop", "stands_on": "p5", "turn": 90.0}


def test_the_slab_is_solid_from_its_thickness_below_to_the_top() -> None:
    found = slab(table(thickness=14))
    assert (found.start, found.end, found.outline[2]) == (-14, 0, (1000, 680))


def test_the_slab_tells_where_its_holes_are() -> None:
    found = named(subject())["table"].facts
    assert (found["first"], found["pitch"], found["columns"], found["rows"]) == ([40.0, 40.0], 40.0, 24, 16)
    assert (found["hole_diameter"], found["blocked_holes"]) == (14.0, ["B3"])


def test_a_clamp_that_looks_otherwise_when_open_is_a_body_apart() -> None:
    drawn = with_open_clamp()
    assert named(drawn)["p4"].facts.get("open") is None
    (found,) = open_clamps(drawn, named(drawn))
    assert (found.name, found.material, found.facts["id"], found.facts["open"]) == ("p4 open", "clamp", "p4", True)
    assert found.solids == drawn.alternative.placements[3].open_solids
    assert [body.name for body in open_clamps(drawn, ["p4 open"])] == ["p4 open (2)"]
    assert list(open_clamps(subject())) == []


def test_stations_are_told_apart() -> None:
    found = named(two_stations())
    assert {"bar-1 / 1", "bar-1 / 2", "w1 / 1", "w1 / 2"} <= set(found)
    assert found["bar-1 / 2"].facts == {"id": "bar-1", "station": 2}


def test_a_name_that_is_taken_is_numbered() -> None:
    """A weld may be called as a part is, and a piece ``table``."""
    asked = question()
    welds = tuple(replace(weld, id="bar-1") for weld in asked.weldment.welds)
    placements = tuple(replace(piece, id="table" if piece.id == "p1" else piece.id) for piece in alternative().placements)
    changed = subject(
        replace(alternative(), placements=placements), replace(asked, weldment=replace(asked.weldment, welds=welds))
    )
    found = named(changed)
    assert (found["table"].material, found["table (2)"].material) == ("table", "locator")
    assert (found["bar-1"].material, found["bar-1 (2)"].material) == ("part", "weld")
    assert found["bar-1 (2)"].facts["id"] == "bar-1"


def test_welds_lie_where_the_weldment_lies() -> None:
    assert list(weld_paths(subject())) == [("w1", None, ((335, 180, 10), (335, 220, 10)))]


def test_a_rod_runs_along_each_leg() -> None:
    first, second = rods(((0, 0, 0), (30, 40, 0), (30, 40, 0), (30, 40, 25)))
    for rod, start, end in ((first, (0, 0, 0), (30, 40, 0)), (second, (30, 40, 0), (30, 40, 25))):
        frame = np.array(rod.frame)
        assert frame @ (0, 0, rod.start, 1) == pytest.approx((*start, 1))
        assert frame @ (0, 0, rod.end, 1) == pytest.approx((*end, 1))
        assert {round(2 * float(np.hypot(u, v)), 9) for u, v in rod.outline} == {ROD_MM}


def test_an_item_the_stock_does_not_know_is_refused() -> None:
    first, *others = alternative().placements
    with pytest.raises(KeyError, match="unheard-of"):
        list(bodies(subject(replace(alternative(), placements=(replace(first, item="unheard-of"), *others)))))
