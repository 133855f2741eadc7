"""What is told of stored weldments and their versions."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import Field

from service.documents.answers.answer import Answer
from service.documents.answers.catalogue import Next


class SourceFileDocument(Answer):
    """The file a weldment was read from."""

    name: Annotated[str, Field(description="what the file was called")]
    kind: Annotated[str, Field(description="what sort of file it was, such as step; empty if it was not said")]
    fingerprint: Annotated[str, Field(description="SHA-256 of its bytes, in hexadecimal; empty if it was not said")]


class StoredWeldmentDocument(Answer):
    """A version of a stored weldment, without its document."""

    id: Annotated[str, Field(description="what requests name it by")]
    version: Annotated[int, Field(description="grows with every change; its ETag")]
    name: Annotated[str, Field(description="what its document calls it")]
    parts: Annotated[int, Field(description="how many parts it has")]
    welds: Annotated[int, Field(description="how many welds it has")]
    fingerprint: Annotated[str, Field(description="SHA-256 of what it says, the same in mm and inch, in hexadecimal")]
    source: Annotated[SourceFileDocument | None, Field(description="the file it was read from; null if it was not said")]
    by: Annotated[str, Field(description="who stored it")]
    at: Annotated[datetime, Field(description="when, UTC")]
    why: Annotated[str, Field(description="for what reason, empty if none was given")]


class StoredWeldmentPageDocument(Answer):
    """A page of stored weldments by id, each as its newest version has it."""

    weldments: list[StoredWeldmentDocument]
    next: Next


class WeldmentVersionPageDocument(Answer):
    """A page of a stored weldment's versions, newest first."""

    versions: list[StoredWeldmentDocument]
    next: Next
