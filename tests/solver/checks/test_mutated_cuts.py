"""Plans of mitred parts, spoilt: the checker names what is wrong, and nothing a document holds makes it raise."""

from __future__ import annotations

import copy
from typing import Any

import pytest

from service.documents import plan_document
from solver.checks import check
from solver.checks.report import Report
from solver.deadline import Deadline
from solver.planning import plan
from tests import builders as b
from tests.outside.corners import corner

REQUEST, STOCK = b.request(corner(90), alternatives=1), b.plain_shelf()


@pytest.fixture(scope="module")
def sound() -> dict[str, Any]:
    document = plan_document(plan(REQUEST, STOCK, deadline=Deadline(lambda: 60.0)))
    assert check(REQUEST, STOCK, document).ok
    return document


def report(document: dict[str, Any]) -> Report:
    return check(REQUEST, STOCK, document)


def failed(document: dict[str, Any]) -> set[str]:
    return {finding.rule for finding in report(document).findings if not finding.ok}


def alternative(document: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = document["alternatives"][0]
    return found


def cut(document: dict[str, Any]) -> dict[str, Any]:
    found: dict[str, Any] = alternative(document)["parts"][0]["solids"][0]["cuts"][0]
    return found


def test_a_part_listed_without_its_cut_is_not_the_one_asked_for(sound: dict[str, Any]) -> None:
    spoilt = copy.deepcopy(sound)
    del alternative(spoilt)["parts"][0]["solids"][0]["cuts"]
    assert "solids.request" in failed(spoilt)


@pytest.mark.parametrize("by", [0.2, -0.2, 40.0])
def test_a_cut_listed_elsewhere_is_not_the_one_asked_for(sound: dict[str, Any], by: float) -> None:
    spoilt = copy.deepcopy(sound)
    cut(spoilt)["point"][2] += by
    assert "solids.request" in failed(spoilt)


def test_a_cut_listed_by_another_point_of_its_plane_is_the_same(sound: dict[str, Any]) -> None:
    same = copy.deepcopy(sound)
    (u, v, w), (nu, nv, nw) = cut(same)["point"], cut(same)["normal"]
    cut(same)["point"] = [u + nw, v, w - nu]
    cut(same)["normal"] = [2 * nu, 2 * nv, 2 * nw]
    assert report(same).ok


def test_a_mate_that_lies_off_the_mitre_is_seen(sound: dict[str, Any]) -> None:
    spoilt = copy.deepcopy(sound)
    for corner_of_patch in alternative(spoilt)["part_contacts"][0]["patch"]:
        corner_of_patch[0] += 1.0
    assert "contacts.mates" in failed(spoilt)


def test_a_pad_on_an_end_that_is_cut_off_touches_nothing(sound: dict[str, Any]) -> None:
    spoilt = copy.deepcopy(sound)
    contact = next(piece["contacts"][0] for piece in alternative(spoilt)["placements"] if piece["locates"])
    contact["face"] = "end"
    assert failed(spoilt)


@pytest.mark.parametrize(
    "odd",
    [
        None,
        0,
        "",
        [],
        {},
        [{}],
        [None],
        [{"point": [0, 0, 0], "normal": [0, 0, 0]}],
        [{"point": [1e300, 0, 0], "normal": [0, 0, 1]}],
    ],
)
def test_nothing_in_a_list_of_cuts_makes_the_checker_raise(sound: dict[str, Any], odd: Any) -> None:
    spoilt = copy.deepcopy(sound)
    alternative(spoilt)["parts"][0]["solids"][0]["cuts"] = odd
    assert not report(spoilt).ok


def test_cuts_that_leave_nothing_make_a_document_unsound(sound: dict[str, Any]) -> None:
    spoilt = copy.deepcopy(sound)
    cut(spoilt)["point"] = [0, 0, -500]
    assert not report(spoilt).ok
