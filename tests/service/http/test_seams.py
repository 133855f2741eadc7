"""Seams over HTTP."""

from __future__ import annotations

from typing import Any

from service.documents import weldment_document
from tests import builders as b
from tests.service.http.conftest import House


def test_seams_are_proposed_and_those_that_are_chosen_are_welded(house: House) -> None:
    weldment = weldment_document(b.tab_on_tube())
    seams = house.call("POST", "/v1/weldments/seams", json=weldment)
    assert seams.status_code == 200 and seams.json()["format"] == "holdwright.seams/1"
    document = seams.json()
    document["seams"][0]["chosen"] = True
    for choice in ({"seams": document}, {"choose": ["s1"]}):
        made = house.call("POST", "/v1/weldments/seams", json={"weldment": weldment, **choice})
        assert made.status_code == 200 and [weld["id"] for weld in made.json()["welds"]] == ["w1", "w2", "s1"]


def test_a_choice_that_does_not_fit_is_422_with_its_place(house: House) -> None:
    weldment = weldment_document(b.tab_on_tube())
    refused = house.call("POST", "/v1/weldments/seams", json={"weldment": weldment, "choose": ["all", "s99"]})
    assert refused.status_code == 422 and [fault["pointer"] for fault in refused.json()["faults"]] == ["/choose/1"]
    bodies: list[Any] = [{}, {"weldment": None}, {"weldment": []}, {"weldment": weldment, "seams": 3}, [], "text"]
    for body in bodies:
        assert house.call("POST", "/v1/weldments/seams", json=body).status_code == 422
