"""Work done for a client only as long as it waits for it."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from typing import Any, TypeVar

from starlette.requests import ClientDisconnect, Request

T = TypeVar("T")


async def while_here(request: Request, work: Coroutine[Any, Any, T]) -> T:
    """Return what the work comes to; a client that leaves ends it.

    The request's body must have been read.

    Raises
    ------
    ClientDisconnect
        The client has left, and nobody waits for an answer.
    """
    working, leaving = asyncio.ensure_future(work), asyncio.ensure_future(_left(request))
    try:
        await asyncio.wait({working, leaving}, return_when=asyncio.FIRST_COMPLETED)
        if not working.done():
            raise ClientDisconnect
        return working.result()
    finally:
        leaving.cancel()
        working.cancel()


async def _left(request: Request) -> None:
    while (await request.receive())["type"] != "http.disconnect":
        pass
