"""The OpenAPI document as one plain HTML page: no script, no font, no address outside the page."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from html import escape
from string import Template
from typing import Any

from service.palette import COLOURS

_STYLE = Template("""
body{font:16px/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;color:$ink;background:$paper}
code,pre{font:14px/1.45 ui-monospace,monospace}code,td a{overflow-wrap:anywhere}
pre{background:$chalk;padding:.8rem;overflow:auto;max-height:24rem}
h2{margin-top:2.4rem;border-bottom:1px solid $slate}h3 code{font-size:1.05rem}table{border-collapse:collapse;width:100%}
td,th{text-align:left;vertical-align:top;padding:.25rem .8rem .25rem 0;border-bottom:1px solid $mist}summary{cursor:pointer}
a{color:$petrol}
@media(prefers-color-scheme:dark){body{color:$ash;background:$night}pre{background:$coal}h2,td,th{border-color:$slate}a{color:$sky}}
""").substitute(COLOURS)


def head_of(title: str) -> str:
    """Return a page up to its body, in the look of the reference."""
    meta = '<meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">'
    return f'<!doctype html><html lang="en"><head>{meta}<title>{escape(title)}</title><style>{_STYLE}</style></head>'


def prose(text: str) -> str:
    """Return words as HTML, what stands between backticks as code."""
    return re.sub("`([^`]+)`", r"<code>\1</code>", escape(text))


def paragraphs(text: str) -> str:
    """Return words as paragraphs of HTML, parted where a line is empty."""
    return "".join(f"<p>{prose(part)}</p>" for part in text.split("\n\n"))


def written_page(openapi: dict[str, Any]) -> str:
    """Return the page."""
    info = openapi["info"]
    body = "".join(
        (
            f"<h1>{escape(info['title'])} {escape(info['version'])}</h1>{paragraphs(info.get('description', ''))}",
            '<p>The same for programs: <a href="openapi.json">openapi.json</a>, OpenAPI 3.1.</p>',
            *_contents(openapi),
            *_operations(openapi),
            *_schemas(openapi),
        )
    )
    return f"{head_of(info['title'])}<body><main>{body}</main></body></html>"


def _of_tag(openapi: dict[str, Any], tag: str) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in openapi["paths"].items():
        for method, operation in methods.items():
            if tag in operation["tags"]:
                yield path, method.upper(), operation


def _contents(openapi: dict[str, Any]) -> Iterator[str]:
    yield "<nav>"
    for tag in openapi["tags"]:
        yield f'<p><a href="#{escape(tag["name"])}"><b>{escape(tag["name"])}</b></a> {prose(tag["description"])}</p><ul>'
        for path, method, operation in _of_tag(openapi, tag["name"]):
            summary = prose(operation.get("summary", ""))
            yield f'<li><a href="#{_anchor(method, path)}"><code>{method} {escape(path)}</code></a> {summary}</li>'
        yield "</ul>"
    yield '<p><a href="#documents"><b>documents</b></a> The schemas of what is sent and answered.</p></nav>'


def _operations(openapi: dict[str, Any]) -> Iterator[str]:
    for tag in openapi["tags"]:
        yield f'<h2 id="{escape(tag["name"])}">{escape(tag["name"]).capitalize()}</h2><p>{prose(tag["description"])}</p>'
        yield from _operations_of(openapi, tag["name"])


def _operations_of(openapi: dict[str, Any], tag: str) -> Iterator[str]:
    for path, method, operation in _of_tag(openapi, tag):
        yield f'<section id="{_anchor(method, path)}"><h3><code>{method} {escape(path)}</code></h3>'
        yield paragraphs(operation.get("description", operation.get("summary", "")))
        yield f"<p>{_who_may(operation)}</p>"
        if parameters := operation.get("parameters"):
            yield "<table><tr><th>parameter</th><th>where</th><th>meaning</th></tr>"
            for one in parameters:
                meaning = prose(one.get("description", ""))
                yield f"<tr><td><code>{escape(one['name'])}</code></td><td>{one['in']}</td><td>{meaning}</td></tr>"
            yield "</table>"
        for media, content in operation.get("requestBody", {}).get("content", {}).items():
            yield f"<p>Body: <code>{escape(media)}</code> {_named(content.get('schema', {}))}</p>"
            yield _own_schema(content.get("schema", {})) + _example(content)
        yield "<table><tr><th>answer</th><th>meaning</th><th>headers</th><th>content</th></tr>"
        for status, answer in operation.get("responses", {}).items():
            contents = ", ".join(
                f"<code>{escape(m)}</code> {_named(c.get('schema', {}))}" for m, c in answer.get("content", {}).items()
            )
            headers = ", ".join(f"<code>{escape(name)}</code>" for name in answer.get("headers", {}))
            yield f"<tr><td>{escape(str(status))}</td><td>{_meaning(answer)}</td><td>{headers}</td><td>{contents}</td></tr>"
        yield "</table></section>"


def _who_may(operation: dict[str, Any]) -> str:
    roles = operation.get("x-roles", [])
    return f"Needs a key: {escape(', '.join(roles))}." if operation.get("security") else "Needs no key."


def _meaning(answer: dict[str, Any]) -> str:
    """Return what an answer means; kinds of problems lead to their own pages."""
    kinds = answer.get("x-problems")
    if kinds is None:
        return prose(answer.get("description", ""))
    return ", ".join(f'<a href="/v1/problems/{escape(name)}"><code>{escape(name)}</code></a>' for name in kinds)


def _schemas(openapi: dict[str, Any]) -> Iterator[str]:
    yield '<h2 id="documents">Documents</h2>'
    for name, schema in sorted(openapi.get("components", {}).get("schemas", {}).items()):
        text = escape(json.dumps(schema, ensure_ascii=False, indent=1))
        said = prose(schema.get("description", ""))
        yield f'<details id="schema-{escape(name)}"><summary><code>{escape(name)}</code> {said}</summary>'
        yield f"<pre>{text}</pre></details>"


def _named(schema: dict[str, Any]) -> str:
    if "$ref" not in schema:
        return ""
    name = escape(schema["$ref"].rsplit("/", 1)[1])
    return f'<a href="#schema-{name}">{name}</a>'


def _own_schema(schema: dict[str, Any]) -> str:
    """Return the schema of a body that stands nowhere else."""
    return "" if "$ref" in schema else _details("schema", schema)


def _example(content: dict[str, Any]) -> str:
    if "example" not in content:
        return ""
    return _details("example", content["example"])


def _details(summary: str, value: Any) -> str:
    text = escape(json.dumps(value, ensure_ascii=False, indent=1))
    return f"<details><summary>{summary}</summary><pre>{text}</pre></details>"


def _anchor(method: str, path: str) -> str:
    return escape(f"{method.lower()}{path.replace('/', '-').replace('{', '').replace('}', '')}")
