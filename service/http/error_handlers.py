"""Errors on their way out: each becomes a problem, what nobody meant to raise one that is logged under its own id."""

from __future__ import annotations

import logging
import secrets

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response

from inventory.errors import HoldwrightError, InvalidDocument
from service.http.guard.methods import methods_at
from service.http.guard.queries import faults_of, in_query
from service.http.problems import HttpProblem, invalid, problem_of

log = logging.getLogger("holdwright")


def add_error_handlers(app: FastAPI) -> None:
    """Let an application answer every error it means to raise with a problem."""
    app.add_exception_handler(HoldwrightError, _error)
    app.add_exception_handler(HTTPException, _framework_refusal)
    app.add_exception_handler(RequestValidationError, _parameter_faults)


def mistake(request: Request, error: Exception) -> Response:
    """Return the answer to an error nobody meant to raise, which is logged under the id the answer names."""
    id = secrets.token_hex(8)
    log.error("mistake %s at %s %s", id, request.method, request.url.path, exc_info=error)
    return HttpProblem("internal", "the server's log has the details under this id").response(f"urn:holdwright:mistake:{id}")


async def _error(request: Request, error: Exception) -> Response:
    assert isinstance(error, HoldwrightError)
    if isinstance(error, InvalidDocument) and request.method == "GET":
        error = InvalidDocument(in_query(error.faults, request.query_params))
    problem = problem_of(error)
    return mistake(request, error) if problem is None else problem.response()


async def _framework_refusal(request: Request, refusal: Exception) -> Response:
    assert isinstance(refusal, HTTPException)
    headers = dict(refusal.headers or {})
    if refusal.status_code == 405:
        headers["Allow"] = ", ".join(methods_at(request.app, request.scope["path"]))
        if request.method == "OPTIONS":
            return Response(status_code=204, headers=headers)
    kind = {404: "not-found", 405: "method"}.get(refusal.status_code, "bad-header")
    return HttpProblem(kind, f"{request.method} {request.url.path}"[:300], headers=headers).response()


async def _parameter_faults(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    return invalid(faults_of(error)).response()
