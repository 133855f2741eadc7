"""The OpenAPI document, with every document's schema among its components."""

from __future__ import annotations

import json
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from service.documents import SCHEMAS, json_schema
from service.http.reference.routes import component
from service.http.reference.security import add_security


def openapi_of(app: FastAPI) -> dict[str, Any]:
    """Return the OpenAPI document of the application, with every document's schema among its components."""
    if app.openapi_schema is None:
        document = get_openapi(
            title=app.title, version=app.version, openapi_version="3.1.0", description=app.description, routes=app.routes,
            tags=app.openapi_tags,
        )  # fmt: skip
        components = document.setdefault("components", {}).setdefault("schemas", {})
        for name in SCHEMAS:
            _add(components, component(name), json_schema(name))
        for unused in ("HTTPValidationError", "ValidationError"):
            components.pop(unused, None)
        _drop_validation_answers(document)
        add_security(document)
        app.openapi_schema = document
    return app.openapi_schema


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
