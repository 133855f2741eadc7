"""The view in space plays the ways the plan has, with the bodies that are there at that moment."""

from __future__ import annotations

from dataclasses import replace

from service.drawings.models.bodies import bodies
from service.drawings.models.ways import way_documents
from tests.service.drawings.example import subject
from tests.service.drawings.kept import kept


def test_parts_go_in_one_by_one_and_the_weldment_goes_out() -> None:
    ways = way_documents(kept("gable"))
    assert [way["label"] for way in ways] == ["left goes in", "right goes in", "the weldment goes out"]
    assert [way["ends"] for way in ways] == ["in place", "in place", "away"]
    assert [way["bodies"] for way in ways] == [["left"], ["right"], ["left", "right", "w1", "w2"]]


def test_what_comes_later_is_not_there_yet_and_its_clamps_are_open() -> None:
    first, second, out = way_documents(kept("gable"))
    assert (first["absent"], first["open"], first["close"]) == (["right", "w1", "w2"], ["p4", "p7"], ["p4"])
    assert (second["absent"], second["open"], second["close"]) == (["w1", "w2"], ["p7"], ["p7"])
    assert (out["open"], out["pull"]) == (["p4", "p7"], [])


def test_moves_are_those_of_the_plan_with_their_words() -> None:
    way = way_documents(kept("gable"))[0]
    assert way["moves"] == [{"direction": [0, 0, -1], "distance": 150, "words": "down 150 mm"}]
    assert way_documents(kept("gable"), "inch")[0]["moves"][0]["words"] == "down 5.906 in"


def test_each_station_has_its_own_bodies() -> None:
    one = kept("gable")
    first = replace(one.alternative.stations[0], number=1)
    both = {
        name: tuple(replace(each, station=number) for number in (1, 2) for each in getattr(one.alternative, name))
        for name in ("parts", "load")
    }
    drawn = replace(one, alternative=replace(one.alternative, stations=(first, replace(first, number=2)), **both))  # type: ignore[arg-type]
    ways = way_documents(drawn)
    assert [way["label"] for way in ways][2:4] == ["the weldment goes out at station 1", "left goes in at station 2"]
    assert ways[3]["absent"] == ["right / 2", "w1 / 2", "w2 / 2"]
    named = {body.name for body in bodies(drawn)}
    assert all(set(way["bodies"]) <= named and set(way.get("absent", ())) <= named for way in ways)


def test_a_way_without_moves_is_none() -> None:
    assert way_documents(subject()) == []
