"""Kinds of problems as a page to read: no script, no font, no address outside the page's own server."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from service.http.reference.page import head_of, prose
from service.http.reference.problem_kinds import ProblemKind


def problem_page(kinds: Sequence[ProblemKind]) -> str:
    """Return the page of one kind, or of several with their contents."""
    alone = len(kinds) == 1
    title = kinds[0].title if alone else "Kinds of problems"
    contents = "" if alone else f"<nav><ul>{''.join(map(_entry, kinds))}</ul></nav>"
    above = f"<h1>{escape(title)}</h1>" if not alone else ""
    more = '<p><a href="/v1/problems">All kinds of problems</a>, <a href="/docs">the reference</a></p>'
    return (
        f"{head_of(title)}<body><main>{above}{contents}{''.join(_told(kind, alone) for kind in kinds)}{more}</main></body></html>"
    )


def _entry(kind: ProblemKind) -> str:
    return f'<li><a href="#{escape(kind.name)}"><code>{escape(kind.name)}</code></a> {escape(kind.title)}</li>'


def _told(kind: ProblemKind, alone: bool) -> str:
    level = "h1" if alone else "h2"
    return (
        f'<section id="{escape(kind.name)}"><{level}>{escape(kind.title)}</{level}>'
        f"<p><code>{escape(kind.name)}</code>, HTTP status {kind.status}</p>"
        f"<p>{prose(kind.meaning)}</p><p><b>What to do.</b> {prose(kind.remedy)}</p></section>"
    )
