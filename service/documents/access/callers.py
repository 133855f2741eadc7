"""Who is asking, on the wire: signing in, and what a caller may know of itself."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from service.documents.reading.fields import Document
from service.roles import Role


class SignInBody(Document):
    """A key to sign in by."""

    key: Annotated[str, Field(description="the API key")]


class CallerDocument(BaseModel):
    """Who is asking."""

    model_config = ConfigDict(from_attributes=True)

    key: str | None = Field(description="the key's id; null on a machine where no key was ever made")
    name: str
    role: Role
    way: Literal["key", "sign-in", "machine"] = Field(
        description="by a key, by a sign-in's cookie, or on this machine while no key was ever made"
    )
    expires_at: datetime | None = None
