"""Traces for OpenTelemetry: a span for each request and for each job, linked to the request that asked for it.

Only where a collector is named, by `HOLDWRIGHT_TRACES` or the variables of OpenTelemetry itself; its libraries come with the
extra `tracing` and are imported then alone.
"""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from typing import Any

from service.errors import NotInstalled
from service.release import release
from service.settings import Settings

NAMED_BY = ("OTEL_EXPORTER_OTLP_ENDPOINT", "OTEL_EXPORTER_OTLP_TRACES_ENDPOINT")
_MOST_LINKS = 10_000


class RequestSpan:
    """The span of one request, to be told what became of it; without a collector nobody listens."""

    def ended(self, method: str, route: str | None, status: int, job: str | None = None) -> None:
        """Say how the request was answered; `route` is None for an address that does not exist."""


class Tracing:
    """What is told of requests and jobs; this one tells nobody."""

    @contextmanager
    def request(self, headers: Mapping[str, str]) -> Iterator[RequestSpan]:
        """Have a span for the time a request is answered, within the caller's own if its headers name one (`traceparent`)."""
        yield RequestSpan()

    def asked(self, job: str) -> None:
        """Remember which request asked for a job."""

    def job_ended(
        self, job: str, began: datetime, ended: datetime, state: str, status: str | None, gap: float | None, fault: str | None
    ) -> None:
        """Tell of a job that has ended."""

    def stop(self) -> None:
        """Send what was not sent yet."""


class CollectedTracing(Tracing):
    """Tells an OpenTelemetry tracer.

    Parameters
    ----------
    provider : TracerProvider
        Of opentelemetry.sdk.trace.
    """

    def __init__(self, provider: Any) -> None:
        from opentelemetry import trace
        from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

        self._trace, self._provider = trace, provider
        self._tracer = provider.get_tracer("holdwright", release())
        self._reads = TraceContextTextMapPropagator()
        self._asked: OrderedDict[str, Any] = OrderedDict()

    @contextmanager
    def request(self, headers: Mapping[str, str]) -> Iterator[RequestSpan]:
        """See Tracing."""
        within = self._reads.extract({name: headers[name] for name in ("traceparent", "tracestate") if name in headers})
        server = self._trace.SpanKind.SERVER
        with self._tracer.start_as_current_span("request", within, server, record_exception=False) as span:
            yield _Told(span, self._trace)

    def asked(self, job: str) -> None:
        """See Tracing."""
        self._asked[job] = self._trace.get_current_span().get_span_context()
        while len(self._asked) > _MOST_LINKS:
            self._asked.popitem(last=False)

    def job_ended(
        self, job: str, began: datetime, ended: datetime, state: str, status: str | None, gap: float | None, fault: str | None
    ) -> None:
        """See Tracing."""
        asked = self._asked.pop(job, None)
        links = [self._trace.Link(asked)] if asked is not None and asked.is_valid else []
        known = {"status": status, "gap": gap, "failure": fault}
        attributes = {"holdwright.job.id": job, "holdwright.job.state": state}
        attributes |= {f"holdwright.plan.{name}": value for name, value in known.items() if value is not None}  # type: ignore[misc]
        span = self._tracer.start_span("solve", attributes=attributes, links=links, start_time=_nanoseconds(began))
        if fault is not None:
            span.set_status(self._trace.StatusCode.ERROR, fault)
        span.end(_nanoseconds(ended))

    def stop(self) -> None:
        """See Tracing."""
        self._provider.shutdown()


class _Told(RequestSpan):
    def __init__(self, span: Any, trace: Any) -> None:
        self._span, self._trace = span, trace

    def ended(self, method: str, route: str | None, status: int, job: str | None = None) -> None:
        # Names as OpenTelemetry's semantic conventions for HTTP servers have them.
        self._span.update_name(f"{method} {route}" if route else method)
        self._span.set_attribute("http.request.method", method)
        self._span.set_attribute("http.response.status_code", status)
        if route:
            self._span.set_attribute("http.route", route)
        if status >= 500:
            self._span.set_status(self._trace.StatusCode.ERROR)


def tracing_of(settings: Settings, environment: Mapping[str, str] = os.environ) -> Tracing:
    """Return where spans go, as settings and environment say.

    Raises
    ------
    NotInstalled
        A collector is named and the extra `tracing` is not installed.
    """
    if not settings.traces and not any(environment.get(name) for name in NAMED_BY):
        return Tracing()
    try:
        from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
        from opentelemetry.sdk.resources import Resource
        from opentelemetry.sdk.trace import TracerProvider
        from opentelemetry.sdk.trace.export import BatchSpanProcessor
    except ImportError:
        raise NotInstalled("traces", "tracing") from None
    exporter = OTLPSpanExporter(f"{settings.traces.rstrip('/')}/v1/traces" if settings.traces else None)
    name = environment.get("OTEL_SERVICE_NAME", "holdwright")
    provider = TracerProvider(resource=Resource.create({"service.name": name, "service.version": release()}))
    provider.add_span_processor(BatchSpanProcessor(exporter))
    return CollectedTracing(provider)


def _nanoseconds(moment: datetime) -> int:
    return int(moment.timestamp() * 1_000_000_000)
