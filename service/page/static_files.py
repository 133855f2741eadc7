"""What pages load besides themselves: scripts, style sheets, fonts; read once, kept by browsers while they stay the same."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from fastapi import APIRouter
from fastapi.responses import Response

from service.http.problems import HttpProblem
from service.page.theme import theme_css

router = APIRouter(include_in_schema=False)
_MEDIA = {
    "css": "text/css; charset=utf-8",
    "js": "text/javascript; charset=utf-8",
    "ttf": "font/ttf",
    "txt": "text/plain; charset=utf-8",
    "svg": "image/svg+xml",
}
_FOR_EVER = "public, max-age=31536000, immutable"


@dataclass(frozen=True, slots=True)
class StaticFiles:
    """Every file by its name, such as ``vendor/htmx.js``, and the fingerprint of all, which is part of their addresses."""

    contents: Mapping[str, bytes]
    digest: str

    def address(self, name: str) -> str:
        """Return where a file is had; raises KeyError if there is none of that name."""
        self.contents[name]
        return f"/static/{self.digest}/{name}"


@cache
def static_files() -> StaticFiles:
    """Return the files that lie beside the page, and the style sheet that is made of the palette."""
    here = files("service.page") / "static"
    contents = {"theme.css": theme_css().encode(), **_below(here, "")}
    digest = hashlib.sha256()
    for name, content in sorted(contents.items()):
        digest.update(name.encode() + b"\0" + content)
    return StaticFiles(contents, digest.hexdigest()[:12])


def _below(folder: Traversable, prefix: str) -> dict[str, bytes]:
    found: dict[str, bytes] = {}
    for each in folder.iterdir():
        name = prefix + each.name
        if each.is_dir():
            found |= _below(each, f"{name}/")
        elif name.rpartition(".")[2] in _MEDIA:
            found[name] = each.read_bytes()
    return found


@router.get("/static/{digest}/{name:path}")
async def read_static(digest: str, name: str) -> Response:
    """Return one file; an address with an old fingerprint gives the present file, which is not kept."""
    known = static_files()
    content = known.contents.get(name)
    if content is None:
        raise HttpProblem("not-found", f"there is no file {name!r}"[:300])
    kept = _FOR_EVER if digest == known.digest else "no-store"
    return Response(content, media_type=_MEDIA[name.rpartition(".")[2]], headers={"Cache-Control": kept})
