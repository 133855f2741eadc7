"""Stored weldments as the documents that tell of them."""

from __future__ import annotations

from service.documents.stored_weldments.answers import SourceFileDocument, StoredWeldmentDocument
from service.records.stored_weldment import WeldmentVersion


def version_head(version: WeldmentVersion) -> StoredWeldmentDocument:
    """Return a version without its document."""
    source = version.source
    return StoredWeldmentDocument(
        id=version.weldment,
        version=version.number,
        name=version.name,
        parts=version.parts,
        welds=version.welds,
        fingerprint=version.fingerprint,
        source=None if source is None else SourceFileDocument(name=source.name, kind=source.kind, fingerprint=source.fingerprint),
        by=version.by,
        at=version.at,
        why=version.why,
    )
