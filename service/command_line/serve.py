"""`holdwright serve`: settings, store, demo shop if asked, then the HTTP interface until it is told to stop."""

from __future__ import annotations

import logging
import signal
import socket
from typing import TYPE_CHECKING

from inventory.errors import HoldwrightError, InvalidDocument
from service.command_line.console import complain, note
from service.planning_jobs.planner import PLANNER
from service.settings import KNOBS, Settings

if TYPE_CHECKING:
    import uvicorn

_SHUTDOWN_S = 5


def run_serve(host: str | None, port: int | None, db: str | None, demo: bool, list_settings: bool) -> int:
    """Serve until interrupted; return the exit code."""
    if list_settings:
        return _list()
    try:
        settings = Settings.read(host=host, port=port, db=db)
    except InvalidDocument as bad:
        return complain("settings", bad.faults)
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    for chatty in ("alembic", "uvicorn.error"):
        logging.getLogger(chatty).setLevel(logging.WARNING)
    try:
        return serve(settings, demo)
    except HoldwrightError as error:
        note(f"{settings.db}: {error}")
        return 2


def serve(settings: Settings, demo: bool, planner: str = PLANNER) -> int:
    """Open the store, listen, and answer until told to stop; `planner` is what the solving processes import."""
    import secrets

    import uvicorn

    from service.http.app import create_app
    from service.planning_jobs.records import JobRecords
    from service.stockroom.stock_source import StoreStock, opened

    try:
        door = _listening(settings)
    except OSError as error:
        where = f"{settings.host}:{settings.port}"
        note(f"cannot listen on {where}: {error.strerror or error}; accepted: another --port, 0 takes a free one")
        return 2
    with door:
        store = opened(settings.db)
        if demo:
            from service.demo import stock_document
            from service.stockroom.seeding import fill_if_empty

            filled = fill_if_empty(store, stock_document())
            note(
                "the store was filled with the demo shop"
                if filled
                else "the store has stock already; the demo shop was not added"
            )
        records = JobRecords(store, secrets.token_hex(8), settings.lease, settings.key_hours).create()
        app = create_app(settings, StoreStock(store), records, planner)
        config = uvicorn.Config(
            app, log_config=None, access_log=False, server_header=False, timeout_graceful_shutdown=_SHUTDOWN_S, workers=1
        )
        shown = f"[{settings.host}]" if ":" in settings.host else settings.host
        note(f"listening on http://{shown}:{door.getsockname()[1]}")
        _until_told_to_stop(uvicorn.Server(config), door)
        store.close()
    return 0


def _until_told_to_stop(server: uvicorn.Server, door: socket.socket) -> None:
    """Run the server; a signal to stop has done its work once the server has stopped in order, so it ends nothing else."""
    before = {name: signal.signal(name, lambda number, frame: None) for name in (signal.SIGINT, signal.SIGTERM)}
    try:
        server.run(sockets=[door])
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)


def _listening(settings: Settings) -> socket.socket:
    family, _, _, _, address = socket.getaddrinfo(settings.host, settings.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[
        0
    ]
    # Named as TCP, or the event loop does not switch off the delay of small packets: 40 ms an answer.
    door = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        door.bind(address)
        door.listen(1024)
    except OSError:
        door.close()
        raise
    return door


def _list() -> int:
    from rich.console import Console
    from rich.table import Table

    table = Table(box=None, pad_edge=False)
    for heading in ("variable", "default", "unit", "range", "meaning"):
        table.add_column(heading, overflow="fold")
    for knob in KNOBS:
        span = "" if knob.low is None or knob.high is None else f"{knob.low:,g}..{knob.high:,g}"
        table.add_row(knob.variable, f"{knob.default}".replace("[", "\\["), knob.unit, span, knob.meaning)
    Console().print(table)
    return 0
