"""What routes say of themselves for the reference: the bodies they take, the answers they give, the problems that may arise.

A route names only what is its own: the model, the headers and the kinds of problems of its use case. What follows from its
shape - a body, an `If-Match`, the store - is added by `implied.py`.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

from pydantic import BaseModel

from service.demo import MAIN_JOB, job_document
from service.documents import SCHEMAS
from service.http.guard.body import CSV, JSON, MULTIPART
from service.http.reference.answer_headers import header_objects
from service.http.reference.problem_kinds import KINDS

PROBLEMS = "x-problems"
"""Where an answer's kinds of problems stand, by name."""
EVENTS = "text/event-stream"
REFERENCE = "#/components/schemas/{model}"

_SAYS = {
    200: "the answer",
    201: "made; `Location` leads to it where it has an address of its own",
    202: "taken in; the answer will be at `Location`",
    204: "done; there is nothing to be said",
    304: "what `If-None-Match` names is still what there is",
    307: "it is somewhere else",
    503: "not now; the answer says why",
}

CUT_LIST = "part,designation,length\npost,SHS 50x50x3,600\n"
"""The example of a file."""

Answers = dict[int | str, dict[str, Any]]


def answers(
    *statuses: int,
    model: type[BaseModel] | None = None,
    problems: Iterable[str] = (),
    headers: Iterable[str] = (),
    media: str = JSON,
) -> Answers:
    """Return what a route answers, for its `responses`.

    Parameters
    ----------
    statuses : int
        Of its answers; one from 400 on stands for the first kind of problem that has it.
    model : type, optional
        Of the body those below 300 carry.
    problems : iterable of str
        Names of the kinds of problems that its use case refuses with.
    headers : iterable of str
        Headers of its answers below 300, of those that `answer_headers.py` knows.
    media : str
        Media type of the body.
    """
    shown: Answers = {}
    refused = [*problems]
    for status in statuses:
        if status >= 400:
            refused.append(next(kind.name for kind in KINDS.values() if kind.status == status))
            continue
        shown[status] = {"description": _SAYS[status]}
        if status < 300 and headers:
            shown[status]["headers"] = header_objects(headers)
        if status < 300 and status != 204:
            shown[status] |= {"model": model} if model is not None and media == JSON else {"content": _content(media, model)}
    for name in refused:
        shown.setdefault(KINDS[name].status, {"description": "", PROBLEMS: []})[PROBLEMS].append(name)
    return shown


def not_now(model: type[BaseModel]) -> Answers:
    """Return the 503 of a route that answers with its own model then, not with a problem."""
    return {503: {"description": _SAYS[503], "model": model}}


def parameter(where: str, name: str, says: str, accepted: Iterable[str]) -> dict[str, Any]:
    """Return a parameter that may be left out (``query`` or ``header``): what it says, and its values if they can be listed."""
    listed = list(accepted)
    schema = {"type": "string", "enum": listed} if listed else {"type": "string"}
    return {"in": where, "name": name, "required": False, "description": says, "schema": schema}


def accepts(name: str, **changes: Any) -> dict[str, Any]:
    """Return the request body of a route that takes a document with a schema of its own, by the document's name.

    The example is the document's own, with `changes` where it would not work on the demo shop.
    """
    model = SCHEMAS[name]
    if name == "request":
        return takes(model, json.loads(job_document(MAIN_JOB)))
    return takes(model, {**model.model_json_schema()["examples"][0], **changes})


def takes(model: type[BaseModel], example: dict[str, Any], *, required: bool = True) -> dict[str, Any]:
    """Return the request body of a route that takes a body of its own, from its model; the example works on the demo shop."""
    schema = model.model_json_schema(by_alias=True, ref_template=REFERENCE)
    return _body({JSON: {"schema": schema, "example": example}}, required)


def takes_csv(example: str) -> dict[str, Any]:
    """Return the request body of a route that takes a list from a spreadsheet, which may be declared as mere bytes too."""
    text = {"schema": {"type": "string"}, "example": example}
    return _body({CSV: text, "application/octet-stream": {"schema": {"type": "string", "format": "binary"}, "example": example}})


def takes_file(words: Mapping[str, str]) -> dict[str, Any]:
    """Return the request body of a route that takes a file: a form with the file and words on it, or the file itself."""
    parts: dict[str, Any] = {"file": {"type": "string", "format": "binary", "description": "the file, with its name"}}
    parts |= {word: {"type": "string", "description": says} for word, says in words.items()}
    form = {"schema": {"type": "object", "required": ["file"], "properties": parts}, "example": {"file": CUT_LIST}}
    content: dict[str, Any] = {MULTIPART: form}
    content["application/octet-stream"] = {"schema": {"type": "string", "format": "binary"}, "example": CUT_LIST}
    return _body({**content, CSV: {"schema": {"type": "string"}, "example": CUT_LIST}})


def _body(content: dict[str, Any], required: bool = True) -> dict[str, Any]:
    return {"requestBody": {"required": required, "content": content}}


def _content(media: str, model: type[BaseModel] | None) -> dict[str, Any]:
    if media == EVENTS:
        return {media: {}}  # OpenAPI 3.1 has no words for the schema of one event
    if model is None:
        return {media: {"schema": {"type": "string"}}}
    return {media: {"schema": model.model_json_schema(by_alias=True, ref_template=REFERENCE)}}
