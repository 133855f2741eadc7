"""The format answered is the one that Accept likes best, by RFC 9110, 12.5.1; what cannot be read is passed over."""

from __future__ import annotations

import pytest

from service.drawings.formats import Format
from service.http.sheets.negotiation import chosen, media_ranges

OFFERED = {
    name: Format(name, media, f".{name}", lambda subject: "")
    for name, media in {
        "svg": "image/svg+xml",
        "txt": "text/plain; charset=utf-8",
        "html": "text/html; charset=utf-8",
        "pdf": "application/pdf",
        "glb": "model/gltf-binary",
    }.items()
}
BROWSER = "text/html,application/xhtml+xml,application/xml;q=0.9,image/avif,*/*;q=0.8"


@pytest.mark.parametrize(
    ("accept", "name"),
    [
        (None, "pdf"),
        ("", "pdf"),
        ("*/*", "pdf"),
        ("image/svg+xml", "svg"),
        ("IMAGE/SVG+XML", "svg"),
        ("image/*", "svg"),
        ("text/*", "txt"),
        ("text/*;q=0.5, image/*;q=0.4", "txt"),
        ("text/plain;q=0.1, text/*;q=0.2", "html"),
        ("model/*, application/pdf;q=0.9", "glb"),
        ("*/*;q=0.1, application/pdf;q=0", "svg"),
        ("text/plain;charset=UTF-8", "txt"),
        ('text/plain; charset="utf-8"; q=0.3, text/html;q=0.2', "txt"),
        (BROWSER, "html"),
        ("image/webp", None),
        ("text/plain;charset=latin-1", None),
        ("*/*;q=0", None),
        ("application/pdf;q=0.000", None),
        ("nonsense", "pdf"),
        ("image/svg+xml;q=2, text/html", "html"),
        ("nonsense, ;;, text/html;q=0.1", "html"),
        ("text/html;q=0.5,text/html", "html"),
    ],
)
def test_the_format_liked_best_is_answered(accept: str | None, name: str | None) -> None:
    found = chosen(accept, OFFERED)
    assert (found and found.name) == name


def test_without_the_preferred_format_the_first_one_is_answered() -> None:
    assert chosen(None, {name: each for name, each in OFFERED.items() if name != "pdf"}) == OFFERED["svg"]
    assert chosen(None, {}) is None


def test_entries_are_read_with_their_parameters() -> None:
    (one,) = media_ranges("text/plain; charset=utf-8; q=0.25")
    assert (one.media, one.parameters, one.quality) == ("text/plain", frozenset({("charset", "utf-8")}), 0.25)
