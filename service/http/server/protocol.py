"""One connection: uvicorn's protocol, with limits on the time for a header and for an answer to be taken, and on their number."""

from __future__ import annotations

import asyncio
import logging
import sys
from typing import Any

import h11
from uvicorn.config import Config
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.server import ServerState

from service.http.problems import HttpProblem
from service.http.server.limits import LINGERING, ConnectionLimits
from service.http.server.refusal import refusal_bytes

log = logging.getLogger("holdwright.server")
_LINGER_S = 0.5
"""So long a connection that was refused may read why; closing it at once would reset it, and the refusal be lost."""


class Connections:
    """The connections that are open: those that wait for a request, in the order they began to, and those that were refused."""

    def __init__(self, limits: ConnectionLimits) -> None:
        self.limits = limits
        self.waiting: dict[LimitedConnection, None] = {}
        self.lingering = 0
        self.open = 0

    def make_room(self) -> bool:
        """Return whether there is room for one more connection, after closing the one that has waited longest if need be."""
        while self.open >= self.limits.most:
            longest = next(iter(self.waiting), None)
            if longest is None:
                return False
            longest.cut_off()
        return True

    def protocol(
        self, config: Config, server_state: ServerState, app_state: dict[str, Any], _loop: asyncio.AbstractEventLoop | None = None
    ) -> LimitedConnection:
        """Return the protocol of a new connection, as the server asks for it."""
        return LimitedConnection(self, config, server_state, app_state, _loop)


class LimitedConnection(H11Protocol):
    """A connection that is closed if it takes too long over a header or an answer, or if there are too many."""

    def __init__(
        self,
        others: Connections,
        config: Config,
        server_state: ServerState,
        app_state: dict[str, Any],
        loop: asyncio.AbstractEventLoop | None,
    ) -> None:
        super().__init__(config, server_state, app_state, loop)
        self._others, self._limits = others, others.limits
        self._refused = self._counted = False
        self._header_timer: asyncio.TimerHandle | None = None
        self._answer_timer: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take the connection in, or say that there are too many."""
        if not self._others.make_room():
            self._refuse_connection(transport)
            return
        self._others.open += 1
        self._counted = True
        super().connection_made(transport)
        self._look_at_header()

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the connection."""
        self._set_header_timer(None)
        self._set_answer_timer(None)
        self._others.waiting.pop(self, None)
        if self._counted:
            self._counted = False
            self._others.open -= 1
        if self._refused and self.transport is None:
            self._others.lingering -= 1
            return
        super().connection_lost(exc)
        self._unset_keepalive_if_required()

    def data_received(self, data: bytes) -> None:
        """Read on, unless nothing more is wanted from this connection."""
        if self._refused:
            return
        super().data_received(data)
        self._look_at_header()

    def on_response_complete(self) -> None:
        """Wait for the next request."""
        super().on_response_complete()
        self._look_at_header()

    def pause_writing(self) -> None:
        """Give whoever does not take the answer only so long."""
        super().pause_writing()
        self._set_answer_timer(self.loop.call_later(self._limits.stall_s, self.cut_off))

    def resume_writing(self) -> None:
        """The answer is being taken again."""
        self._set_answer_timer(None)
        super().resume_writing()

    def send_400_response(self, msg: str) -> None:
        """Refuse what is not HTTP, or whose header is too large, with a problem."""
        error = sys.exc_info()[1]
        if isinstance(error, h11.RemoteProtocolError) and error.error_status_hint == 431:
            problem = HttpProblem("large-header", f"accepted: at most {self._limits.header_bytes:,} bytes")
        else:
            problem = HttpProblem("not-http", str(error or msg)[:200])
        if self.cycle is not None and not self.cycle.response_complete:
            self.cut_off()  # a body that breaks off in disorder: its request is being answered, and nothing can come in between
        else:
            self._refuse(problem)

    def cut_off(self) -> None:
        """End the connection at once."""
        self._refused = True
        self._others.waiting.pop(self, None)
        if self._counted:  # what is cut off makes room now, not when the event loop comes round to it
            self._counted = False
            self._others.open -= 1
        self.transport.abort()

    @property
    def answering(self) -> bool:
        """Whether a request of this connection is not answered yet."""
        return self.cycle is not None and not self.cycle.response_complete

    def _look_at_header(self) -> None:
        """Start or stop waiting for a header: only what a request is being answered on has all the time it takes."""
        if self._refused or self.transport.is_closing():
            return
        if self.answering:
            self._others.waiting.pop(self, None)
            self._set_header_timer(None)
            return
        self._others.waiting.setdefault(self)
        idle = self.cycle is not None and self.conn.their_state is h11.IDLE and not self.conn.trailing_data[0]
        if not idle and self._header_timer is None:
            self._set_header_timer(self.loop.call_later(self._limits.header_s, self._header_is_late))

    def _header_is_late(self) -> None:
        self._header_timer = None
        if self.conn.their_state is h11.IDLE and self.conn.trailing_data[0]:
            self._refuse(HttpProblem("slow-header", f"no more than {self._limits.header_s:g} s are waited for a header"))
        elif not self.transport.is_closing():
            self.cut_off()

    def _refuse(self, problem: HttpProblem) -> None:
        self._refused = True
        self._set_header_timer(None)
        if not self.transport.is_closing():
            self.transport.write(refusal_bytes(problem))
            self._linger(self.transport)

    def _refuse_connection(self, transport: asyncio.Transport) -> None:
        self._refused = True
        log.warning("a connection was refused: as many as may be are being answered")
        if self._others.lingering >= LINGERING:
            self._others.lingering += 1
            transport.abort()
            return
        self._others.lingering += 1
        words = f"{self._limits.most} connections are being answered already"
        transport.write(refusal_bytes(HttpProblem("busy", words, headers={"Retry-After": "1"})))
        self._linger(transport)

    def _linger(self, transport: asyncio.Transport) -> None:
        """Close after whoever asks has had the time to read why."""
        if transport.can_write_eof():
            transport.write_eof()
        self.loop.call_later(_LINGER_S, transport.abort)

    def _set_header_timer(self, timer: asyncio.TimerHandle | None) -> None:
        if self._header_timer is not None:
            self._header_timer.cancel()
        self._header_timer = timer

    def _set_answer_timer(self, timer: asyncio.TimerHandle | None) -> None:
        if self._answer_timer is not None:
            self._answer_timer.cancel()
        self._answer_timer = timer

    def _unsupported_upgrade_warning(self) -> None:
        """Say nothing: another protocol is offered by the client, and declined by going on with this one (RFC 9110, 7.8)."""
