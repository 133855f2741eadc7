"""What a draft's weldment comes from: a stored one, a file. It stands beside the request in the making, and is no part of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from inventory.errors import InvalidDocument
from service.documents import read_weldment
from service.documents.weldment import weldment_fingerprint
from service.records.stored_weldment import SourceFile
from solver.weldment import StoredVersion

_ORIGIN = "origin"


@dataclass(frozen=True, slots=True)
class Origin:
    """Which stored weldment a draft was started from or kept as last, and the file it was read from, if any."""

    stored: StoredVersion | None = None
    file: SourceFile | None = None


def origin_of(draft: Mapping[str, Any]) -> Origin:
    """Return what a draft's weldment comes from."""
    said = draft.get(_ORIGIN) or {}
    stored, file = said.get("stored"), said.get("file")
    return Origin(None if stored is None else StoredVersion(**stored), None if file is None else SourceFile(**file))


def with_origin(draft: Mapping[str, Any], origin: Origin) -> dict[str, Any]:
    """Return a draft's document whose weldment comes from somewhere."""
    return {**draft, _ORIGIN: {name: None if each is None else asdict(each) for name, each in (
        ("stored", origin.stored), ("file", origin.file),
    )}}  # fmt: skip


def as_draft(request: Mapping[str, Any]) -> dict[str, Any]:
    """Return a request as a draft has it: edits change its weldment, so which stored one it is stands beside it."""
    weldment = request.get("weldment")
    if not isinstance(weldment, Mapping) or "stored" not in weldment:
        return dict(request)
    stored = weldment["stored"]
    draft = {**request, "weldment": {name: value for name, value in weldment.items() if name != "stored"}}
    sound = isinstance(stored, Mapping) and set(stored) == set(StoredVersion.__dataclass_fields__)
    return with_origin(draft, Origin(StoredVersion(**stored))) if sound else draft


def as_request(draft: Mapping[str, Any]) -> dict[str, Any]:
    """Return the request of a draft: its weldment says which stored one it is while it still says the same, word for word."""
    request = {name: value for name, value in draft.items() if name != _ORIGIN}
    stored = origin_of(draft).stored
    if stored is None:
        return request
    try:
        says = weldment_fingerprint(read_weldment(dict(request["weldment"])))
    except InvalidDocument:  # told where the request is read
        return request
    return request if says != stored.fingerprint else {**request, "weldment": {**request["weldment"], "stored": asdict(stored)}}
