"""Somebody at a browser without a window: opens screens, fills their forms in as they stand there, and sends them."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urlencode

import httpx

_FORM = {"Content-Type": "application/x-www-form-urlencoded", "Sec-Fetch-Site": "same-origin"}


@dataclass
class SeenForm:
    """A form that changes something as it stands on a screen: where it goes, and its fields as a browser would send them untouched."""

    action: str
    fields: dict[str, list[str]] = field(default_factory=dict)


class _Forms(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[SeenForm] = []
        self._inside: SeenForm | None = None
        self._named: str | None = None
        self._read = False
        """Whether text belongs to a field: in a text area, or in the chosen option where it has no value."""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "form" and given.get("method") == "post":
            self._inside = SeenForm(given.get("action") or "")
            self.found.append(self._inside)
        if self._inside is None:
            return
        name, kind = given.get("name"), given.get("type")
        if tag == "textarea":
            self._named, self._read = name, True
            self._add(name, "")
        elif tag == "select":
            self._named = name
        elif (tag == "option" and "selected" in given) or (
            tag == "input" and kind != "file" and (kind not in ("radio", "checkbox") or "checked" in given)
        ):
            self._add(name if tag == "input" else self._named, given.get("value") or "")
            self._read = tag == "option" and "value" not in given

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._inside = None
        if tag in ("textarea", "option"):
            self._read = False
        if tag in ("textarea", "select"):
            self._named = None

    def handle_data(self, data: str) -> None:
        if self._inside is not None and self._read and self._named in self._inside.fields and self.cdata_elem is None:
            self._inside.fields[self._named][-1] += data

    def _add(self, name: str | None, value: str) -> None:
        if self._inside is not None and name:
            self._inside.fields.setdefault(name, []).append(value)


@dataclass
class Seen:
    """A screen, or a part of one, as it came."""

    answer: httpx.Response

    @property
    def status(self) -> int:
        return self.answer.status_code

    @property
    def leads_to(self) -> str:
        """Where the browser is led on to; empty if nowhere."""
        return self.answer.headers.get("location") or self.answer.headers.get("hx-redirect") or ""

    @property
    def words(self) -> str:
        """What is to be read, blanks made one, without tags."""
        return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", self.answer.text)))

    def forms(self) -> dict[str, list[SeenForm]]:
        """Return the forms that change something by where they go."""
        reader = _Forms()
        reader.feed(self.answer.text)
        found: dict[str, list[SeenForm]] = {}
        for each in reader.found:
            found.setdefault(each.action, []).append(each)
        return found

    def faults(self) -> dict[str, str]:
        """Return what is wrong at which field, by the id of the field."""
        found = re.findall(r'<p class="fault" id="([\w-]+)-fault">(.*?)</p>', self.answer.text)
        return {name: html.unescape(words) for name, words in found}


class Visitor:
    """A browser that asks through `ask(method, path, headers=..., **more)`."""

    def __init__(self, ask: Callable[..., httpx.Response]) -> None:
        self._ask = ask

    def open(self, path: str, **headers: str) -> Seen:
        """Look at a screen."""
        return Seen(self._ask("GET", path, headers={"Accept": "text/html", **headers}))

    def send(self, screen: Seen, action: str, which: int = 0, part: bool = False, **typed: Any) -> Seen:
        """Send one of a screen's forms, with what was typed into it; `part`: as the page's script does."""
        form = screen.forms()[action][which]
        fields = {**form.fields, **{name: value if isinstance(value, list) else [str(value)] for name, value in typed.items()}}
        return self.post(action, [(name, value) for name, values in fields.items() for value in values], part)

    def post(self, action: str, pairs: list[tuple[str, str]], part: bool = False) -> Seen:
        """Send a form, whatever stands on the screen."""
        headers = {**_FORM, **({"HX-Request": "true"} if part else {"Accept": "text/html"})}
        return Seen(self._ask("POST", action, headers=headers, content=urlencode(pairs).encode()))

    def follow(self, seen: Seen) -> Seen:
        """Go where a form led to."""
        assert seen.leads_to, (seen.status, seen.words[:2000])
        return self.open(seen.leads_to)
