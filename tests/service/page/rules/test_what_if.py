"""What changed rules would do, on the page: a form, what is wrong with it, the plans that something changes for."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from service.documents import request_document
from service.settings import Settings
from tests.service.hand_made import hand_made
from tests.service.http.conftest import House, opened
from tests.service.page.visitor import Visitor
from tests.solver.checks import tab_job


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A server with one plan."""
    for house in opened(tmp_path_factory.mktemp("page"), Settings(workers=1), shelf=tab_job.stock(), solves=hand_made):
        document = request_document(tab_job.request())
        answer = house.call("POST", "/v1/plans", json=document, headers={"Prefer": "wait=30"})
        assert answer.json()["state"] == "done", answer.text
        yield house


def test_what_changed_rules_do_is_shown(floor: House) -> None:
    visitor = Visitor(floor.call)
    words = visitor.open("/rules/what-if?change=rate.labour_cents_per_hour+%3D+6100%2C+clear.body%3D50").words
    assert "1 plan: 1 with another price" in words and "No alternative of it would be allowed" in words
    assert "Nothing changes" in visitor.open("/rules/what-if?change=clear.body%3D0.5").words
    assert "Must be checked: hold.friction" in visitor.open("/rules/what-if?change=hold.friction%3D0.1").words


def test_what_is_wrong_with_the_words_is_said(floor: House) -> None:
    visitor = Visitor(floor.call)
    assert "such as clear.weld = 20" in visitor.open("/rules/what-if?change=clear.weld").words
    assert "clear.weld" in visitor.open("/rules/what-if?change=clear.wled%3D3").words
    assert "0 to 200" in visitor.open("/rules/what-if?change=clear.weld%3D900").words
    assert "before" not in visitor.open("/rules/what-if").words.split("such as")[1]


def test_the_pages_script_gets_the_effects_alone(floor: House) -> None:
    part = Visitor(floor.call).open("/rules/what-if?change=clear.body%3D50", **{"HX-Request": "true"})
    assert part.answer.text.lstrip().startswith('<div id="effects"')
