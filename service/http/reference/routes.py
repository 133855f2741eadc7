"""What routes say of themselves for the reference: the bodies they take, the answers they give."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from pydantic import BaseModel

from service.demo import MAIN_JOB, job_document
from service.documents import SCHEMAS, json_schema
from service.documents.problem import ProblemDocument
from service.http.problems import MEDIA_TYPE

_SAYS = {
    200: "the answer",
    201: "made",
    202: "taken in; the answer will be at `Location`",
    204: "done",
    304: "what `If-None-Match` names is still what there is",
    404: "there is no such thing here",
    406: "nothing that `Accept` names can be had; `faults` lists what can",
    409: "the job is not in a state that allows this",
    422: "a parameter is not valid; `faults` says what would be accepted",
}
_PROBLEM = {
    "type": "/v1/problems/invalid",
    "title": "The document is not valid",
    "status": 422,
    "detail": "1 fault found",
    "faults": [{"pointer": "/quantity", "wrong": "0 is out of range", "accepted": "a whole number from 1 to 10000000"}],
}


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


def parameter(where: str, name: str, says: str, accepted: Iterable[str]) -> dict[str, Any]:
    """Return a parameter that may be left out (``query`` or ``header``): what it says, and its values if they can be listed."""
    listed = list(accepted)
    schema = {"type": "string", "enum": listed} if listed else {"type": "string"}
    return {"in": where, "name": name, "required": False, "description": says, "schema": schema}


def accepts(name: str) -> dict[str, Any]:
    """Return the request body of a route that takes a document with a schema of its own, by the document's name."""
    if name == "request":
        return _body({"$ref": f"#/components/schemas/{component(name)}"}, json.loads(job_document(MAIN_JOB)))
    return _body({"$ref": f"#/components/schemas/{component(name)}"}, json_schema(name)["examples"][0])


def takes(model: type[BaseModel], example: dict[str, Any], *, required: bool = True) -> dict[str, Any]:
    """Return the request body of a route that takes a body of its own, from its model."""
    schema = model.model_json_schema(ref_template="#/components/schemas/{model}")
    inner = schema.pop("$defs", {})
    return _body(_resolved(schema, inner), example, required)


def component(name: str) -> str:
    """Return what a document's schema is called among the components."""
    return ProblemDocument.__name__ if SCHEMAS[name] is ProblemDocument else f"holdwright.{name}"


def _body(schema: dict[str, Any], example: dict[str, Any], required: bool = True) -> dict[str, Any]:
    return {"requestBody": {"required": required, "content": {"application/json": {"schema": schema, "example": example}}}}


def _resolved(schema: Any, inner: dict[str, Any]) -> Any:
    """Write what a schema refers to into it: these bodies are small, and stand in one place each."""
    if isinstance(schema, list):
        return [_resolved(each, inner) for each in schema]
    if not isinstance(schema, dict):
        return schema
    if "$ref" in schema:
        return _resolved(inner[schema["$ref"].rpartition("/")[2]], inner)
    return {key: _resolved(value, inner) for key, value in schema.items()}
