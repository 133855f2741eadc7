"""Every demo job goes the long way: its weldment as a STEP file, read back, welds and tolerances put on again, costs the same."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache

import pytest

from service.demo import job_document, job_names, stock_document
from service.documents import read_request, read_stock
from service.documents.weldment import read_weldment, weldment_document
from service.drawings.weldment.weldment_step import weldment_step
from service.exchange.weldments.readers import READERS
from service.exchange.weldments.weldment_reading import ReadingOptions
from service.planning_jobs.single_solve import Question, watched
from solver.plans import Plan
from solver.request import Request
from solver.weldment import Weldment
from tests.drawn_weldments.drawn_weldment import DrawnPart, DrawnWeldment, Product
from tests.drawn_weldments.same_body import differences
from tests.drawn_weldments.step_files import step_file

SHOP = read_stock(stock_document())


@cache
def asked(name: str) -> Request:
    return read_request(job_document(name), SHOP)[0]


def read_again(weldment: Weldment, content: bytes) -> Weldment:
    """Return a weldment with the parts of its STEP file; what such a file does not say is the weldment's own."""
    reading = READERS["step"].read(content, "nameless", ReadingOptions())
    read = {part.id: part for part in reading.parts}
    assert set(read) == {part.id for part in weldment.parts}
    return replace(
        weldment, parts=tuple(replace(read[part.id], name=part.name, material=part.material) for part in weldment.parts)
    )


def bodies_are_the_same(weldment: Weldment, read: Weldment) -> None:
    for one, part in zip(weldment.parts, read.parts, strict=True):
        assert differences(DrawnPart(one.id, one), part) == []


@cache
def by_step(name: str) -> Weldment:
    weldment = asked(name).weldment
    return read_again(weldment, weldment_step(weldment))


PUT_OTHERWISE = ("braced-frame", "gable", "mitred-frame", "shut-pocket")
"""Jobs with a part that is read as the same body, its section put another way: from its other end, as a flat bar, cut shorter."""


@pytest.mark.parametrize("name", job_names())
def test_a_job_comes_back_from_its_step_file_word_for_word_or_body_for_body(name: str) -> None:
    if name in PUT_OTHERWISE:
        assert by_step(name) != asked(name).weldment
        bodies_are_the_same(asked(name).weldment, by_step(name))
    else:  # the same request has the same plan, and price
        assert by_step(name) == asked(name).weldment


@pytest.mark.slow
@pytest.mark.parametrize("name", job_names())
def test_another_program_s_file_of_a_job_holds_the_same_bodies(name: str) -> None:
    weldment = asked(name).weldment
    drawn = tuple(DrawnPart(part.id, part) for part in weldment.parts)
    bodies_are_the_same(weldment, read_again(weldment, step_file(DrawnWeldment(name, Product(name, drawn)))))


def planned(request: Request) -> Plan:
    return watched(lambda: Question(request, SHOP), lambda event: None)


@pytest.mark.slow
@pytest.mark.parametrize("name", PUT_OTHERWISE)
def test_a_job_costs_the_same_from_its_step_file(name: str) -> None:
    request = replace(asked(name), alternatives=1, time_limit_s=600.0)
    first, second = planned(request), planned(replace(request, weldment=by_step(name)))
    assert (first.status, first.stopped_by) == (second.status, second.stopped_by)
    assert [found.cost.total_cents for found in first.alternatives] == [found.cost.total_cents for found in second.alternatives]


def test_what_is_read_is_a_weldment_that_its_document_keeps() -> None:
    weldment = asked(job_names()[0]).weldment
    read = READERS["step"].read(weldment_step(weldment), "gate", ReadingOptions()).weldment
    assert read is not None
    assert read_weldment(json.dumps(weldment_document(read)).encode()).parts == read.parts
