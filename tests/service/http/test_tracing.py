"""Spans of requests and jobs, as OpenTelemetry's own exporter in memory receives them."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from opentelemetry.sdk.trace import TracerProvider
from opentelemetry.sdk.trace.export import SimpleSpanProcessor
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter

from service.settings import Settings
from service.tracing import NAMED_BY, CollectedTracing, Tracing, tracing_of
from tests.service.http.conftest import opened

TRACE = "0af7651916cd43dd8448eb211c80319c"
"""The trace of the example in W3C Trace Context, 3.2."""


def test_a_job_is_linked_to_the_request_that_asked_for_it(tmp_path: Path) -> None:
    received, provider = InMemorySpanExporter(), TracerProvider()
    provider.add_span_processor(SimpleSpanProcessor(received))
    for house in opened(tmp_path, Settings(workers=1), CollectedTracing(provider)):
        id = house.ask("plain").json()["id"]
        house.until(id, "done")
        house.call("GET", f"/v1/plans/{id}", headers={"traceparent": f"00-{TRACE}-b7ad6b7169203331-01"})
        house.call("GET", "/v1/plans/none")
        house.call("X" * 100, "/nowhere")
    spans = {span.name: span for span in received.get_finished_spans()}
    assert {"POST /v1/plans", "GET /v1/plans/{id}", "other", "solve"} <= set(spans)
    asked, solved = spans["POST /v1/plans"], spans["solve"]
    assert asked.attributes is not None and asked.attributes["http.response.status_code"] == 202
    assert [link.context.span_id for link in solved.links] == [asked.context.span_id]
    assert solved.attributes is not None
    told = {name: solved.attributes[f"holdwright.{name}"] for name in ("job.id", "job.state", "plan.status", "plan.gap")}
    assert told == {"job.id": id, "job.state": "done", "plan.status": "optimal", "plan.gap": 0.0}
    reads = [span for span in received.get_finished_spans() if span.name == "GET /v1/plans/{id}"]
    assert any(f"{span.context.trace_id:032x}" == TRACE for span in reads)


@pytest.mark.parametrize(
    ("settings", "environment"), [({"traces": "http://127.0.0.1:4318"}, {}), ({}, {NAMED_BY[0]: "http://127.0.0.1:1"})]
)
def test_spans_are_sent_where_a_collector_is_named(settings: dict[str, str], environment: dict[str, str]) -> None:
    assert type(tracing_of(Settings.read({}), {})) is Tracing
    named = tracing_of(Settings.read({}, **settings), environment)
    assert isinstance(named, CollectedTracing)
    named.stop()


def test_without_a_collector_neither_its_sdk_nor_its_exporter_is_imported() -> None:
    code = "import sys, service.http.app; sys.exit(any(name.startswith(('opentelemetry.sdk', 'opentelemetry.exporter')) for name in sys.modules))"
    assert subprocess.run([sys.executable, "-c", code], check=False, cwd=Path(__file__).parents[3]).returncode == 0
