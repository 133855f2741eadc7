"""The OpenAPI document: every operation with its answers, every document once among the components."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi
from fastapi.routing import APIRoute, RouteContext, iter_route_contexts
from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from service.documents import SCHEMAS
from service.documents.problem import ProblemDocument
from service.http.guard.body import JSON
from service.http.problems import BASE, MEDIA_TYPE
from service.http.reference.answer_headers import header_objects
from service.http.reference.implied import REQUIRED, implied
from service.http.reference.problem_kinds import KINDS
from service.http.reference.routes import PROBLEMS, REFERENCE
from service.http.reference.security import add_security

Schemas = dict[str, dict[str, Any]]


def openapi_of(app: FastAPI) -> dict[str, Any]:
    """Return the OpenAPI document of the application, made once."""
    if app.openapi_schema is None:
        document = get_openapi(
            title=app.title, version=app.version, openapi_version="3.1.0", description=app.description, routes=app.routes,
            tags=app.openapi_tags, separate_input_output_schemas=False,
        )  # fmt: skip
        routes = [route for route in iter_route_contexts(app.routes) if _listed(route)]
        components = _components(routes)
        for route in routes:
            for method in route.methods or ():
                _describe(document["paths"][route.path_format][method.lower()], method, route, components)
        schemas = {name: _with_words_listed(components[name]) for name in sorted(components)}
        document["components"] = {**document.get("components", {}), "schemas": schemas}
        add_security(document)
        app.openapi_schema = document
    return app.openapi_schema


def _listed(route: RouteContext) -> bool:
    return isinstance(route.original_route, APIRoute) and route.include_in_schema


def _components(routes: Iterable[RouteContext]) -> Schemas:
    """Return the schemas of all documents and answers, each once, by the name of its model."""
    answered = {answer["model"] for route in routes for answer in route.responses.values() if answer.get("model") is not None}
    models: dict[str, type[BaseModel]] = {model.__name__: model for model in (*SCHEMAS.values(), *answered, ProblemDocument)}
    _, schemas = models_json_schema([(model, "validation") for model in models.values()], by_alias=True, ref_template=REFERENCE)
    found: Schemas = schemas["$defs"]
    return found


def _describe(operation: dict[str, Any], method: str, route: RouteContext, components: Schemas) -> None:
    """Write down what the framework does not know of an operation, in the place of what it takes for granted."""
    for parameter in operation.get("parameters", ()):
        parameter["schema"] = _given(parameter["schema"])
        parameter["required"] = parameter["required"] or parameter["name"] in REQUIRED
    extra = route.openapi_extra or {}
    if "requestBody" in extra:
        contents = extra["requestBody"]["content"]
        taken = {media: _lifted_in(one, components) for media, one in contents.items()}
        operation["requestBody"] = {**extra["requestBody"], "content": taken}
    refused = [name for answer in route.responses.values() for name in answer.get(PROBLEMS, ())]
    kinds = {*refused, *implied(operation, method, route.dependant)}
    told = {
        **{str(status): _answer(answer, components) for status, answer in route.responses.items() if PROBLEMS not in answer},
        **_refusals([name for name in KINDS if name in kinds], _own(route)),
    }
    operation["responses"] = dict(sorted(told.items()))


def _own(route: RouteContext) -> set[str]:
    """Return the statuses of refusals that a route tells in a document of its own."""
    return {str(status) for status, answer in route.responses.items() if int(status) >= 400 and PROBLEMS not in answer}


def _answer(answer: Mapping[str, Any], components: Schemas) -> dict[str, Any]:
    told = {key: value for key, value in answer.items() if key != "model"}
    if answer.get("model") is not None:
        told["content"] = {JSON: {"schema": {"$ref": REFERENCE.format(model=answer["model"].__name__)}}}
    elif "content" in answer:
        told["content"] = {media: _lifted_in(one, components) for media, one in answer["content"].items()}
    return told


def _refusals(names: Iterable[str], taken: set[str]) -> dict[str, dict[str, Any]]:
    """Return an answer for each status of these kinds of problems, but for statuses that carry something else."""
    found: dict[str, dict[str, Any]] = {}
    for name in names:
        kind = KINDS[name]
        if str(kind.status) in taken:
            continue
        example = {"type": BASE + name, "title": kind.title, "status": kind.status, "detail": kind.meaning}
        answer = found.setdefault(
            str(kind.status),
            {
                "description": "",
                "content": {MEDIA_TYPE: {"schema": {"$ref": REFERENCE.format(model=ProblemDocument.__name__)}, "examples": {}}},
                PROBLEMS: [],
            },
        )
        answer[PROBLEMS].append(name)
        answer["content"][MEDIA_TYPE]["examples"][name] = {"summary": kind.title, "value": example}
        answer["description"] = "; ".join(f"`{each}`: {KINDS[each].title}" for each in answer[PROBLEMS])
        if name in ("busy", "too-many"):
            answer["headers"] = header_objects(["Retry-After"])
    return found


def _given(schema: Mapping[str, Any]) -> dict[str, Any]:
    """Return the schema of a parameter that is left out rather than null: there is no null in an address or a header."""
    choices = [choice for choice in schema.get("anyOf", ()) if choice.get("type") != "null"]
    rest = {key: value for key, value in schema.items() if key not in ("anyOf", "title", "default")}
    if schema.get("default") is not None:
        rest["default"] = schema["default"]
    return {**rest, **choices[0]} if len(choices) == 1 else {**rest, "anyOf": choices} if choices else rest


def _with_words_listed(schema: Any) -> Any:
    """Return a schema in which a word among other choices is a list of one word, which generators take for a choice."""
    if isinstance(schema, list):
        return [_with_words_listed(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    told = {key: _with_words_listed(value) for key, value in schema.items()}
    for choices in ("anyOf", "oneOf"):
        for choice in told.get(choices, ()):
            if "const" in choice:
                choice["enum"] = [choice.pop("const")]
    return told


def _lifted_in(content: Mapping[str, Any], components: Schemas) -> dict[str, Any]:
    return {**content, "schema": _lifted(content["schema"], components)} if "schema" in content else dict(content)


def _lifted(schema: Mapping[str, Any], components: Schemas) -> dict[str, Any]:
    """Put the schema of a model and what it refers to among the components; return the reference to it."""
    if "title" not in schema and "$ref" not in schema:
        return dict(schema)
    whole = {key: value for key, value in schema.items() if key != "$defs"}
    for name, part in schema.get("$defs", {}).items():
        components.setdefault(name, part)
    if "$ref" in whole:
        return whole
    components.setdefault(whole["title"], whole)
    return {"$ref": REFERENCE.format(model=whole["title"])}
