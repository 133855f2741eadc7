"""The journal of writes on the wire."""

from __future__ import annotations

from datetime import datetime

from pydantic import BaseModel, ConfigDict, Field


class WriteDocument(BaseModel):
    """One write: which key did what, where and when."""

    model_config = ConfigDict(from_attributes=True)

    id: int
    at: datetime
    key: str | None = Field(description="the key's id; null where none was needed, and at the command line")
    name: str | None = Field(description="the key's name")
    operation: str = Field(description="the operation's id in the reference", examples=["record_entry"])
    address: str = Field(description="the address it was asked at, or the command")
    status: int = Field(description="the HTTP status it was answered with")
    request_id: str = Field(description="what the server's log knows the request by")


class WritePageDocument(BaseModel):
    """A page of the journal of writes, newest first."""

    writes: list[WriteDocument]
    next: str | None = Field(description="cursor of the next page; null on the last one")
