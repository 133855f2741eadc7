"""What every answer's model has: it is written as it is declared, and kept documents pass through it untouched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ConfigDict, GetCoreSchemaHandler
from pydantic_core import CoreSchema, core_schema


class Answer(BaseModel):
    """Base of the documents that are only ever sent back; fields are named as the model names them."""

    model_config = ConfigDict(frozen=True, validate_by_name=True, validate_by_alias=True)

    def plain(self) -> dict[str, Any]:
        """Return the document as plain JSON values."""
        return self.model_dump(mode="json", by_alias=True)


@dataclass(frozen=True)
class Kept:
    """A document that is sent back as it is kept, neither read nor written anew; its model only describes it.

    Plans have hundreds of kilobytes, and one that was kept before a field was added does not have it.
    """

    model: type[BaseModel]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        # Only the branch for JSON text is looked at when the schema is written down, and only the other one is ever read.
        return core_schema.json_or_python_schema(
            json_schema=handler.generate_schema(self.model),
            python_schema=handler(source),
            serialization=core_schema.plain_serializer_function_ser_schema(_as_it_is),
        )


def _as_it_is(document: Any) -> Any:
    return document
