"""Which stored weldment a document means: by name, to be looked up, or as what a document in full says it is."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import Field

from inventory import limits
from inventory.errors import Fault
from inventory.limits import ID_LENGTH, escaped, shown
from service.documents.reading.fields import Document, Id, Whole, Within
from solver.weldment import StoredVersion

VERSIONS = limits.Limit(1, 1_000_000, "versions", whole=True)
Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]


class WeldmentNameDocument(Document):
    """A stored weldment by its id, in the place of a weldment document."""

    id: Annotated[Id, Field(description="id of a stored weldment")]
    version: Annotated[Whole | None, Within(VERSIONS), Field(description="which of its versions; absent = the newest")] = None


class StoredVersionDocument(Document):
    """The stored weldment that a document is, word for word."""

    id: Annotated[Id, Field(description="id of the stored weldment")]
    version: Annotated[Whole, Within(VERSIONS), Field(description="its version")]
    fingerprint: Annotated[Sha256, Field(description="SHA-256 of what that version says, in hexadecimal")]

    def to_domain(self) -> StoredVersion:
        """Return it as a value."""
        return StoredVersion(self.id, self.version, self.fingerprint)


@dataclass(frozen=True, slots=True)
class WeldmentReference:
    """A place in a document where a stored weldment is meant.

    Parameters
    ----------
    at : str
        JSON pointer to the weldment's place.
    id, version : str, int or None
        Which one; None: its newest version.
    fingerprint : str or None
        What a document in full says the version says; None: the weldment is only named, and belongs in that place.
    """

    at: str
    id: str
    version: int | None
    fingerprint: str | None = None


FoundWeldments = Mapping[tuple[str, int | None], Mapping[str, Any]]
"""Documents of stored weldments, with their `stored`, by the id and the version they were asked for by."""


def is_name(value: Any) -> bool:
    """Whether something in a weldment's place names a stored one."""
    return isinstance(value, Mapping) and "id" in value and "parts" not in value


def weldments_named(values: Any) -> list[WeldmentReference]:
    """Return the stored weldments that a document means, as far as they can be read.

    Parameters
    ----------
    values : Any
        Plain values of a request, or of a question with requests in it: for advice, for a week, for quotes.
    """
    return [
        found
        for at, request in _requests(values)
        for place, weldment in _weldments(at, request)
        if (found := _reference(place, weldment)) is not None
    ]


def in_full(values: Any, found: FoundWeldments) -> Any:
    """Return a document with those in full that it only names; what was not found stays as it is."""
    if not isinstance(values, Mapping):
        return values
    document: Any = dict(values)
    if "weldment" in document:
        return _request_in_full(document, found)
    requests = document.get("requests")
    if isinstance(requests, Mapping):
        document["requests"] = {name: _request_in_full(each, found) for name, each in requests.items()}
    for name in ("requests", "jobs", "lines"):
        if isinstance(document.get(name), list):
            document[name] = [_entry_in_full(each, found) for each in document[name]]
    return document


def weldment_as_planned(request: Any, plan: Any) -> Any:
    """Return a request that names a stored weldment without a version as its plan was made for it: with the plan's version."""
    weldment = request.get("weldment") if isinstance(request, Mapping) else None
    made_for = plan.get("weldment") if isinstance(plan, Mapping) else None
    if not isinstance(weldment, Mapping) or not is_name(weldment) or not isinstance(made_for, Mapping):
        return request
    version = made_for.get("version")
    if weldment.get("version") is not None or made_for.get("id") != weldment["id"] or not isinstance(version, int):
        return request
    return {**request, "weldment": {**weldment, "version": version}}


def nowhere_to_look(faults: Iterable[Fault], at: str, name: str) -> Iterator[Fault]:
    """Yield the fault of a named weldment where no store is there to look it up in, unless the name itself is at fault."""
    if not any(fault.pointer.startswith(f"{at}/") for fault in faults):
        wrong = f"weldment {shown(name)} is named, and there is no store here to look it up in"
        yield Fault(at, wrong, "a weldment document in full, or --db with the store that keeps it")


def _requests(values: Any) -> Iterator[tuple[str, Any]]:
    """Yield the requests of a document, each with its pointer."""
    if not isinstance(values, Mapping):
        return
    if "weldment" in values:
        yield "", values
        return
    requests = values.get("requests")
    if isinstance(requests, Mapping):
        yield from ((f"/requests/{escaped(str(name))}", each) for name, each in requests.items())
    for name in ("requests", "jobs", "lines"):
        entries = values.get(name)
        for k, entry in enumerate(entries if isinstance(entries, list) else ()):
            if isinstance(entry, Mapping):
                yield f"/{name}/{k}/request", entry.get("request")


def _weldments(at: str, request: Any) -> Iterator[tuple[str, Any]]:
    if not isinstance(request, Mapping):
        return
    yield f"{at}/weldment", request.get("weldment")
    variants = request.get("variants")
    for k, variant in enumerate(variants if isinstance(variants, list) else ()):
        if isinstance(variant, Mapping):
            yield f"{at}/variants/{k}/weldment", variant.get("weldment")


def _reference(at: str, weldment: Any) -> WeldmentReference | None:
    if is_name(weldment):
        key = _key(weldment)
        return None if key is None else WeldmentReference(at, *key)
    stored = weldment.get("stored") if isinstance(weldment, Mapping) else None
    key = _key(stored) if isinstance(stored, Mapping) else None
    said = stored.get("fingerprint") if isinstance(stored, Mapping) else None
    if key is None or key[1] is None or not isinstance(said, str):
        return None
    return WeldmentReference(at, *key, said)


def _key(named: Mapping[str, Any]) -> tuple[str, int | None] | None:
    """Return id and version of a name that is sound; None of one that is not, whose faults are told where it is read."""
    id, version = named.get("id"), named.get("version")
    if not isinstance(id, str) or not 1 <= len(id) <= ID_LENGTH or limits.unprintable(id) is not None:
        return None
    if version is None:
        return id, None
    if isinstance(version, bool) or not isinstance(version, int | float) or list(VERSIONS.faults("", version)):
        return None
    return id, int(version)


def _request_in_full(request: Any, found: FoundWeldments) -> Any:
    if not isinstance(request, Mapping):
        return request
    whole = {**request, "weldment": _in_full(request.get("weldment"), found)} if "weldment" in request else dict(request)
    variants = request.get("variants")
    if isinstance(variants, list):
        whole["variants"] = [
            {**each, "weldment": _in_full(each["weldment"], found)} if isinstance(each, Mapping) and "weldment" in each else each
            for each in variants
        ]
    return whole


def _entry_in_full(entry: Any, found: FoundWeldments) -> Any:
    if not isinstance(entry, Mapping) or not isinstance(entry.get("request"), Mapping):
        return entry
    return {**entry, "request": _request_in_full(entry["request"], found)}


def _in_full(weldment: Any, found: FoundWeldments) -> Any:
    key = _key(weldment) if is_name(weldment) and set(weldment) <= {"id", "version"} else None
    return weldment if key is None or key not in found else dict(found[key])
