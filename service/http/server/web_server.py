"""The web server: uvicorn's, with limits on connections, and an end that comes in time whatever is under way."""

from __future__ import annotations

import asyncio
import logging
import os
import signal
import socket
import threading
import time
from collections.abc import Callable
from types import FrameType
from typing import cast

import uvicorn
from fastapi import FastAPI
from uvicorn.config import Config

from service.http.server.limits import ConnectionLimits
from service.http.server.listener import WAITING
from service.http.server.protocol import Connections, LimitedConnection
from service.http.server.stop import Stop
from service.settings import Settings

log = logging.getLogger("holdwright.server")
_AT_A_STROKE = 16
"""Connections taken in before the first of them is looked at: what is refused must not have used up all files by then."""
_FOR_THE_REST_S = 0.8
"""Of the time to stop so much is kept for giving jobs back and ending workers, s; no more than half of it."""
_ANYWAY_S = 1.0
"""What has not stopped so long after the time to stop is left behind, s."""
_LOOK_S = 0.02


class WebServer(uvicorn.Server):
    """Serves an application until a signal; a second one ends the process at once.

    Parameters
    ----------
    stop_s : float
        What is under way when the first signal comes has so many seconds to end.
    leave : callable
        Called where that was not enough; leaves the process with exit code 0. What is left undone then is what a killed server
        leaves: jobs whose lease runs out.
    """

    def __init__(self, config: Config, connections: Connections, stop: Stop, stop_s: float, leave: Callable[[], None]) -> None:
        super().__init__(config)
        self._open, self._stop, self._stop_s, self._leave = connections, stop, stop_s, leave
        self._ends = 0.0

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Stop in order at the first signal; at the second end at once, by that signal."""
        if self.should_exit:
            signal.signal(sig, signal.SIG_DFL)
            os.kill(os.getpid(), sig)
            return
        self._ends = time.monotonic() + self._stop_s
        watch = threading.Timer(self._stop_s + _ANYWAY_S, self._leave)
        watch.daemon = True
        watch.start()
        super().handle_exit(sig, frame)

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Start; the event loop has one number for the queue and for what it takes in at a stroke, so the queue is set anew."""
        await super().startup(sockets)
        for each in sockets or []:
            each.listen(WAITING)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Let what is under way end, turn the rest away, end the application.

        New requests are told so meanwhile, rather than find nobody: a gateway learns from `/readyz` to send them elsewhere.
        """
        log.info("stopping: %d connections are open", self._open.open)
        self._stop.give()
        for connection in self._connections():
            connection.shutdown()
        until = self._ends - min(_FOR_THE_REST_S, self._stop_s / 2)
        while self.server_state.tasks and time.monotonic() < until:
            await asyncio.sleep(_LOOK_S)
        for server in self.servers:
            server.close()
        for each in sockets or []:
            each.close()
        await self._turn_away()
        await self.lifespan.shutdown()
        log.info("stopped")

    async def _turn_away(self) -> None:
        """End the requests that are still under way: those not answered yet are told that the server stops."""
        for connection in self._connections():
            if connection.cycle is not None and connection.cycle.response_started:
                connection.cut_off()
        tasks = list(self.server_state.tasks)
        if tasks:
            log.warning("%d requests are turned away unanswered", len(tasks))
        for task in tasks:
            task.cancel()
        if tasks:
            await asyncio.wait(tasks, timeout=self._stop_s / 10)
        for connection in self._connections():
            connection.transport.close()

    def _connections(self) -> list[LimitedConnection]:
        return [cast(LimitedConnection, connection) for connection in self.server_state.connections]


def web_server(app: FastAPI, settings: Settings, stop: Stop, leave: Callable[[], None]) -> WebServer:
    """Return a server of an application, by the settings."""
    connections = Connections(ConnectionLimits.of(settings))
    app.state.connections = connections
    config = Config(
        app,
        loop="asyncio",
        http=connections.protocol,  # type: ignore[arg-type]
        ws="none",
        lifespan="on",
        log_config=None,
        access_log=False,
        server_header=False,
        timeout_keep_alive=connections.limits.idle_s,  # type: ignore[arg-type]
        h11_max_incomplete_event_size=connections.limits.header_bytes,
        backlog=_AT_A_STROKE,
        workers=1,
    )
    return WebServer(config, connections, stop, settings.stop_time, leave)
