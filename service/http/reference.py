"""The interface's reference: OpenAPI 3.1 with examples, and the same as a page that loads nothing from anywhere."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from pydantic import BaseModel

from service.demo import MAIN_JOB, job_document
from service.documents import SCHEMAS, json_schema
from service.documents.jobs import CheckBody, ProblemDocument, ReplanBody
from service.http.problems import MEDIA_TYPE
from service.http.reference_page import written_page

_SAYS = {
    200: "the answer",
    202: "taken in; the answer will be at `Location`",
    404: "there is no such thing here",
    409: "the job is not in a state that allows this",
}
_BODIES: dict[str, type[BaseModel]] = {"check": CheckBody, "replan": ReplanBody}


def answers(*statuses: int, model: type[BaseModel] | None = None) -> dict[int | str, dict[str, Any]]:
    """Return the responses of a route: its own statuses, and a problem document for everything else."""
    shown: dict[int | str, dict[str, Any]] = {}
    for status in statuses:
        shown[status] = {"description": _SAYS[status]}
        if status < 400 and model is not None:
            shown[status]["model"] = model
        elif status >= 400:
            shown[status]["content"] = {MEDIA_TYPE: {"schema": {"$ref": "#/components/schemas/ProblemDocument"}}}
    problem = {"schema": {"$ref": "#/components/schemas/ProblemDocument"}, "example": _PROBLEM}
    return {**shown, "default": {"description": "a problem (RFC 9457), with every fault found", "content": {MEDIA_TYPE: problem}}}


def accepts(name: str) -> dict[str, Any]:
    """Return the request body of a route, by the name of its document, with an example where one is at hand."""
    content: dict[str, Any] = {"schema": {"$ref": f"#/components/schemas/{_component(name)}"}}
    if name == "request":
        content["example"] = json.loads(job_document(MAIN_JOB))
    elif name == "replan":
        content["example"] = {"rank": 1, "without": {"items": {"stop-60": 1}, "holes": ["C7"]}}
    elif name == "check":
        content["example"] = {
            "request": json.loads(job_document(MAIN_JOB)),
            "plan": {"format": "holdwright.plan/1", "alternatives": []},
        }
    elif name in SCHEMAS and (examples := json_schema(name).get("examples")):
        content["example"] = examples[0]
    return {"requestBody": {"required": name != "replan", "content": {"application/json": content}}}


def openapi_of(app: FastAPI) -> dict[str, Any]:
    """Return the OpenAPI document of the application, with every document's schema among its components."""
    if app.openapi_schema is None:
        document = get_openapi(
            title=app.title, version=app.version, openapi_version="3.1.0", description=app.description, routes=app.routes,
            tags=app.openapi_tags,
        )  # fmt: skip
        components = document.setdefault("components", {}).setdefault("schemas", {})
        for name in SCHEMAS:
            _add(components, _component(name), json_schema(name))
        bodies: dict[str, type[BaseModel]] = {**_BODIES, "problem": ProblemDocument}
        for name, model in bodies.items():
            _add(components, _component(name), model.model_json_schema())
        for unused in ("HTTPValidationError", "ValidationError"):
            components.pop(unused, None)
        _drop_validation_answers(document)
        app.openapi_schema = document
    return app.openapi_schema


@cache
def _component(name: str) -> str:
    models: dict[str, type[BaseModel]] = {"problem": ProblemDocument, **_BODIES}
    return models[name].__name__ if name in models else f"holdwright.{name}"


def _add(components: dict[str, Any], name: str, schema: dict[str, Any]) -> None:
    """Put a schema and what it refers to among the components; references are turned to point there."""
    turned = json.loads(json.dumps(schema).replace('"#/$defs/', '"#/components/schemas/'))
    for inner, part in turned.pop("$defs", {}).items():
        components.setdefault(inner, part)
    turned.pop("$schema", None)
    turned.pop("$id", None)
    components[name] = turned


def _drop_validation_answers(document: dict[str, Any]) -> None:
    """Take the framework's own 422 away: this interface answers problems, described under `default`."""
    for path in document["paths"].values():
        for operation in path.values():
            found = operation.get("responses", {}).get("422", {})
            if "HTTPValidationError" in json.dumps(found):
                del operation["responses"]["422"]


def page(openapi: dict[str, Any]) -> str:
    """Return the reference as one HTML page."""
    return written_page(openapi)


_PROBLEM = {
    "type": "/v1/problems/invalid",
    "title": "The document breaks its contract",
    "status": 422,
    "detail": "1 fault found",
    "faults": [{"pointer": "/quantity", "wrong": "0 is out of range", "accepted": "a whole number from 1 to 10000000"}],
}
