"""The interface describes itself: schemas, OpenAPI, the reference page, problems, health and figures."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import escape
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families
from schemathesis.specs.openapi.definitions import OPENAPI_31_VALIDATOR

from inventory.store.errors import Unreachable
from service.documents import SCHEMAS, json_schema
from service.http.reference.problem_kinds import KINDS
from tests.service.http.conftest import House

METHODS = {"get", "post", "put", "patch", "delete"}


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_document_has_its_schema(house: House, name: str) -> None:
    answer = house.call("GET", f"/v1/schemas/{name}")
    assert (answer.status_code, answer.headers["content-type"]) == (200, "application/schema+json")
    assert answer.json() == json_schema(name)
    assert name in house.call("GET", "/v1/schemas").json()["schemas"]


def test_the_openapi_document_leads_nowhere_outside_itself(house: House) -> None:
    document = house.call("GET", "/openapi.json").json()
    assert document["openapi"].startswith("3.1")
    references = list(_references(document))
    assert references
    for reference in references:
        here: Any = document
        for step in reference.removeprefix("#/").split("/"):
            here = here[step.replace("~1", "/").replace("~0", "~")]


def test_every_address_is_described_and_every_body_has_an_example(house: House) -> None:
    document = house.call("GET", "/openapi.json").json()
    described = {(method, path) for path, methods in document["paths"].items() for method in methods if method in METHODS}
    for address in ("/v1/plans", "/v1/plans/{id}/replan", "/v1/checks"):
        assert ("post", address) in described
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            assert operation["summary"] and operation["description"], (method, path)
            for content in operation.get("requestBody", {}).get("content", {}).values():
                assert "example" in content, (method, path)
            assert "HTTPValidationError" not in json.dumps(operation)


def test_the_description_is_openapi_3_1(house: House) -> None:
    """The schema of OpenAPI 3.1 documents itself, spec.openapis.org/oas/3.1/schema/2022-10-07, as schemathesis carries it."""
    document = house.call("GET", "/openapi.json").json()
    OPENAPI_31_VALIDATOR.validate(document)
    with pytest.raises(Exception, match="required"):
        OPENAPI_31_VALIDATOR.validate({**document, "info": {}})


def test_documents_stand_there_once_and_are_referred_to(house: House) -> None:
    document = house.call("GET", "/openapi.json").json()
    schemas = document["components"]["schemas"]
    assert {model.__name__ for model in SCHEMAS.values()} <= set(schemas)
    for name, schema in schemas.items():
        assert re.fullmatch(r"[A-Za-z]+", name) and schema["title"] == name
    used = {reference.rpartition("/")[2] for reference in _references(document)}
    assert set(schemas) - used <= {"StockDocument", "RulesDocument", "WeldmentDocument"}, "only documents of files stand alone"
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            for status, answer in operation["responses"].items():
                for media, content in answer.get("content", {}).items():
                    assert content.get("schema") or media == "text/event-stream", (method, path, status)


def test_every_refusal_is_a_problem_of_named_kinds(house: House) -> None:
    document = house.call("GET", "/openapi.json").json()
    for path, methods in document["paths"].items():
        for operation in methods.values():
            for status, answer in operation["responses"].items():
                if int(status) >= 400 and path != "/readyz":
                    assert list(answer["content"]) == ["application/problem+json"]
                    assert {KINDS[name].status for name in answer["x-problems"]} == {int(status)}
    kinds = document["paths"]["/v1/reservations/{number}/move"]["post"]["responses"]
    assert kinds["409"]["x-problems"] == ["short", "step"]
    assert "409" not in document["paths"]["/v1/reservations/{number}"]["get"]["responses"]


def test_tags_are_described(house: House) -> None:
    document = house.call("GET", "/openapi.json").json()
    used = {tag for methods in document["paths"].values() for operation in methods.values() for tag in operation["tags"]}
    assert {tag["name"] for tag in document["tags"] if tag["description"]} == used


def test_the_page_loads_nothing_from_anywhere(house: House) -> None:
    page = house.call("GET", "/docs")
    assert page.status_code == 200
    assert "default-src 'none'" in page.headers["content-security-policy"]
    assert not re.search(r"(src|href)\s*=\s*[\"'](https?:)?//", page.text)
    assert "<script" not in page.text
    assert "POST /v1/plans" in page.text
    anchors = set(re.findall(r'href="#([^"]+)"', page.text))
    assert anchors <= set(re.findall(r'id="([^"]+)"', page.text))
    described = house.call("GET", "/openapi.json").json()["paths"]
    operations = [f"{method.upper()} {path}" for path, methods in described.items() for method in methods]
    assert sorted(re.findall(r"<h3><code>([^<]+)</code>", page.text)) == sorted(operations)
    assert "`" not in re.sub(r"<pre>.*?</pre>", "", page.text, flags=re.DOTALL)


BROWSER = {"Accept": "text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8"}


@pytest.mark.parametrize("name", KINDS)
def test_the_type_of_a_problem_can_be_opened(house: House, name: str) -> None:
    entry = house.call("GET", f"/v1/problems/{name}").json()
    assert (entry["type"], entry["status"]) == (f"/v1/problems/{name}", KINDS[name].status)
    assert entry["meaning"].endswith(".") and entry["remedy"].endswith(".")
    page = house.call("GET", f"/v1/problems/{name}", headers=BROWSER)
    assert page.headers["content-type"].startswith("text/html") and page.headers["vary"] == "Accept"
    assert "default-src 'none'" in page.headers["content-security-policy"] and "<script" not in page.text
    for said in (entry["title"], entry["meaning"], entry["remedy"]):
        assert escape(said.replace("`", "")) in re.sub("</?code>", "", page.text)


def test_all_kinds_of_problems_are_listed(house: House) -> None:
    listed = house.call("GET", "/v1/problems").json()["problems"]
    assert [each["type"].rpartition("/")[2] for each in listed] == list(KINDS)
    page = house.call("GET", "/v1/problems", headers=BROWSER).text
    assert all(f'id="{name}"' in page for name in KINDS)


def test_the_page_leads_to_the_reference_and_is_not_part_of_it(house: House) -> None:
    assert 'href="/docs"' in house.call("GET", "/").text
    assert not any(path.startswith(("/static", "/settings")) for path in house.call("GET", "/openapi.json").json()["paths"])


def test_alive_and_ready(house: House) -> None:
    assert house.call("GET", "/healthz").json() == {"status": "ok"}
    ready = house.call("GET", "/readyz")
    assert (ready.status_code, ready.json()["checks"]) == (200, {"store": "ok", "stock": "ok", "workers": "ok"})


def test_without_stock_the_server_lives_but_is_not_ready(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(span: Any = None) -> None:
        raise Unreachable("the database does not answer (connection to server at 10.1.2.3, port 5432 failed)")

    monkeypatch.setattr(house.stock, "snapshot", gone)
    assert house.call("GET", "/healthz").status_code == 200
    ready = house.call("GET", "/readyz")
    assert (ready.status_code, ready.json()["checks"]["stock"]) == (503, "the store cannot be reached")
    asked = house.ask()
    assert (asked.status_code, asked.json()["type"]) == (503, "/v1/problems/store")
    assert "10.1.2.3" not in ready.text + asked.text, "where the database is, is for whoever runs the server"


def test_the_figures_can_be_read_and_count(house: House) -> None:
    before = figures(house)
    house.ask(wait=20)
    after = figures(house)
    for one_more in (
        'holdwright_requests_total{method="POST",route="/v1/plans",status="200"}',
        'holdwright_jobs_ended_total{state="done",status="optimal"}',
        'holdwright_solve_seconds_count{parts="1-2",status="optimal"}',
        'holdwright_plan_gap_bucket{le="0.0",parts="1-2"}',
    ):
        assert after[one_more] == before.get(one_more, 0) + 1, one_more
    assert after['holdwright_jobs{state="done"}'] >= 1
    assert after["holdwright_store_up"] == 1
    assert after["holdwright_checks_failed_total"] == 0


def test_no_caller_can_make_up_labels(house: House) -> None:
    before = house.call("GET", "/metrics").text.count("holdwright_requests_total{")
    for number in range(20):
        house.call("X" * 1000 + chr(65 + number), "/v1/plans")
        house.call("GET", f"/v1/nothing-{number}")
        house.call("GET", f"/v1/plans/{number}")
    text = house.call("GET", "/metrics").text
    assert text.count("holdwright_requests_total{") - before <= 4
    assert "XXX" not in text and "nothing-1" not in text


def figures(house: House) -> dict[str, float]:
    """Return every figure under its name and labels, as the reader of Prometheus's own library finds them."""
    answer = house.call("GET", "/metrics")
    assert answer.headers["content-type"].startswith("text/plain; version=0.0.4")
    found = {}
    for family in text_string_to_metric_families(answer.text):
        for sample in family.samples:
            labels = ",".join(f'{name}="{text}"' for name, text in sorted(sample.labels.items()))
            found[f"{sample.name}{{{labels}}}" if labels else sample.name] = sample.value
    return found


def _references(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("$ref"), str):
            yield value["$ref"]
        for entry in value.values():
            yield from _references(entry)
    elif isinstance(value, list):
        for entry in value:
            yield from _references(entry)
