"""API keys on the wire: what a key is made from, keys as they are listed, and a key that was just made."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from service.documents.reading.fields import Document, Name
from service.documents.stockroom.days import Moment
from service.roles import KeyState, Role


class NewKeyBody(Document):
    """A key to be made."""

    name: Annotated[Name, Field(description="who or what will use it; signs for its changes")]
    role: Annotated[Role, Field(description="what it may do")]
    expires_at: Annotated[Moment | None, Field(description="when it expires, within ten years; absent = never")] = None


class KeyDocument(BaseModel):
    """An API key, without the key itself."""

    model_config = ConfigDict(from_attributes=True)

    id: str
    name: str
    role: Role
    prefix: str = Field(description="how the key begins", examples=["hw_5f0c91de"])
    state: KeyState
    made_at: datetime
    made_by: str = Field(description="the name of the key, or of the person at the command line, that made it")
    expires_at: datetime | None = None
    last_used_at: datetime | None = Field(default=None, description="right to about a minute")
    revoked_at: datetime | None = None


class MadeKeyDocument(KeyDocument):
    """A key that was just made."""

    key: str = Field(description="the key itself, shown this once; only its hash is kept")


class KeyPageDocument(BaseModel):
    """A page of keys, oldest first."""

    keys: list[KeyDocument]
    next: str | None = Field(description="cursor of the next page; null on the last one")
