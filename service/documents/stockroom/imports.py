"""What a stock list changed, or would change, on the wire."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer

from service.documents.answers.answer import Answer
from service.documents.stockroom.hits import HitDocument


class NumberChange(Answer):
    """A number before and after."""

    before: Annotated[int | None, Field(alias="from")]
    after: Annotated[int, Field(alias="to")]


class TextChange(Answer):
    """A text before and after."""

    before: Annotated[str | None, Field(alias="from")]
    after: Annotated[str, Field(alias="to")]


class RowChangeDocument(Answer):
    """What one row changes, or would change; a field that stays is not there."""

    row: Annotated[int, Field(description="number of the row, as a spreadsheet counts them")]
    item: str
    count: NumberChange | None = None
    out_of_service: NumberChange | None = None
    bin: TextChange | None = None
    price_cents: NumberChange | None = None
    day_rate_cents: NumberChange | None = None

    @model_serializer(mode="wrap")
    def _only_what_changes(self, write: SerializerFunctionWrapHandler):  # type: ignore[no-untyped-def]
        # Without a declared type of what is returned, the schema stays the fields'.
        return {name: value for name, value in write(self).items() if value is not None}


class ImportReportDocument(Answer):
    """What a stock list changed, or would change, and whom that hits."""

    rows: Annotated[int, Field(description="rows read")]
    written: Annotated[bool, Field(description="false of a dry run")]
    changes: list[RowChangeDocument]
    hits: Annotated[list[HitDocument], Field(description="whom it leaves short; nobody yet, on a dry run")]


def row_document(row: int, item: str, fields: Mapping[str, tuple[Any, Any]]) -> dict[str, Any]:
    """Return what one row of a stock list changes, or would change: field by field, before and after."""
    changed = {field: {"from": before, "to": after} for field, (before, after) in fields.items()}
    return RowChangeDocument.model_validate({"row": row, "item": item, **changed}).plain()
