"""The bodies of all requests together: how much of them may be held at a time, and how long a caller may pause in one."""

from __future__ import annotations

import asyncio

from starlette.types import Message, Receive

from service.http.problems import HttpProblem


class BodiesHeld:
    """How many bytes of bodies are held: what has arrived of every request that is not answered yet.

    Parameters
    ----------
    most : int
        Bytes that may be held.
    pause_s : float
        Longest pause in a body, seconds.
    """

    def __init__(self, most: int, pause_s: float) -> None:
        self.most, self.pause_s = most, pause_s
        self.held = 0


class BodyFlow:
    """The body of one request on its way in; its bytes are held until it is answered."""

    def __init__(self, together: BodiesHeld, receive: Receive) -> None:
        self._together, self._receive = together, receive
        self._mine = 0
        self._whole = self._answering = False
        self.waiting = False

    async def receive(self) -> Message:
        """Return what has come in.

        Raises
        ------
        Problem
            ``busy`` if too much is held already, ``slow-body`` after too long a pause; what is left of the body is not read.
        """
        if self._whole:
            return await self._receive()
        self.waiting = True
        try:
            async with asyncio.timeout(self._together.pause_s):
                message = await self._receive()
        except TimeoutError:
            self._whole = True
            if self._answering:
                return {"type": "http.disconnect"}
            raise self._unread("slow-body", f"nothing more of the body came for {self._together.pause_s:g} s") from None
        finally:
            self.waiting = False
        self._whole = message["type"] != "http.request" or not message.get("more_body", False)
        arrived = len(message.get("body", b""))
        if arrived and self._together.held + arrived > self._together.most:
            self._whole = True
            raise self._unread("busy", "bodies of other requests take all the room there is for them", retry_after="1")
        self._mine += arrived
        self._together.held += arrived
        return message

    def answer_begins(self) -> None:
        """From here on nobody waits for the rest of the body."""
        self._whole = self._answering = True

    def release(self) -> None:
        """The request is answered: its body is held no longer."""
        self._together.held -= self._mine
        self._mine = 0

    def _unread(self, kind: str, detail: str, retry_after: str | None = None) -> HttpProblem:
        headers = {"Connection": "close"} | ({} if retry_after is None else {"Retry-After": retry_after})
        return HttpProblem(kind, detail, headers=headers)
