"""Lists of items and of tables: each document with its version."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import Field

from service.documents.answers.answer import Answer, Kept
from service.documents.items import ItemDocument
from service.documents.tables import TableDocument

Version = Annotated[int, Field(description="grows with every change; its ETag")]
Next = Annotated[str | None, Field(description="`cursor` of the next page, null on the last one")]


class StoredItemDocument(Answer):
    """An item of the catalogue, and its version."""

    version: Version
    document: Annotated[dict[str, Any], Kept(ItemDocument)]


class StoredTableDocument(Answer):
    """A table, and its version."""

    version: Version
    document: Annotated[dict[str, Any], Kept(TableDocument)]


class ItemPageDocument(Answer):
    """A page of the catalogue, by id."""

    items: list[StoredItemDocument]
    next: Next


class TablePageDocument(Answer):
    """A page of tables, by id."""

    tables: list[StoredTableDocument]
    next: Next
