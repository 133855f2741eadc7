"""Whether stored weldments still say what they said when they were stored."""

from __future__ import annotations

from inventory.errors import InvalidDocument
from inventory.store import Connection
from service.records import stored_weldments as kept
from service.records.stored_weldment import WeldmentVersion
from service.stored_weldments.reading import read_to_store


def altered_weldments(connection: Connection) -> tuple[int, list[str]]:
    """Return how many versions there are, and those, as ``ID@NUMBER``, that say something else than their fingerprint is of."""
    count, altered = 0, []
    for id in kept.weldment_ids(connection):
        for listed in reversed(kept.weldment_versions(connection, id)):
            count += 1
            version = kept.weldment_version(connection, id, listed.number)
            altered += [] if _whole(version) else [f"{id}@{version.number}"]
    return count, altered


def _whole(version: WeldmentVersion) -> bool:
    try:
        return read_to_store(version.text).fingerprint == version.fingerprint
    except InvalidDocument:
        return False
