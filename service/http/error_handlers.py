"""Errors on their way out: each becomes a problem, what nobody meant to raise one that is logged under its own id."""

from __future__ import annotations

import logging
import secrets

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import Response

from inventory.errors import Fault, HoldwrightError
from service.http.problems import HttpProblem, invalid, problem_of

log = logging.getLogger("holdwright")


def add_error_handlers(app: FastAPI) -> None:
    """Let an application answer every error with a problem."""
    app.add_exception_handler(HoldwrightError, _error)
    app.add_exception_handler(HTTPException, _framework_refusal)
    app.add_exception_handler(RequestValidationError, _parameter_faults)


async def _error(request: Request, error: Exception) -> Response:
    assert isinstance(error, HoldwrightError)
    problem = problem_of(error)
    return mistake(request, error) if problem is None else problem.response()


async def _framework_refusal(request: Request, refusal: Exception) -> Response:
    assert isinstance(refusal, HTTPException)
    kind = {404: "not-found", 405: "method"}.get(refusal.status_code, "bad-header")
    return HttpProblem(kind, f"{request.method} {request.url.path}"[:300], headers=dict(refusal.headers or {})).response()


async def _parameter_faults(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)
    faults = [Fault("/" + "/".join(str(step) for step in one["loc"]), one["msg"], "see /docs") for one in error.errors()]
    return invalid(faults).response()


def mistake(request: Request, error: Exception) -> Response:
    """Return the answer to a request at which we made a mistake, logged under an id of its own."""
    id = secrets.token_hex(8)
    log.error("mistake %s at %s %s", id, request.method, request.url.path, exc_info=error)
    return HttpProblem("internal", "the server's log has the details under this id").response(f"urn:holdwright:mistake:{id}")
