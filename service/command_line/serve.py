"""`holdwright serve`: settings, store, demo shop if asked, then the HTTP interface until it is stopped.

What answers requests is imported once the server can listen and has a store: who gave a wrong word is told at once.
"""

from __future__ import annotations

import gc
import ipaddress
import logging
import os
import secrets
import signal
import socket
from collections.abc import Callable
from dataclasses import asdict
from typing import TYPE_CHECKING

from inventory.errors import StoreError
from inventory.store import Store, shown_url
from inventory.store.engine import file_of
from inventory.store.errors import StoreUnusable
from inventory.store.store_file import open_to_others
from service.command_line.exit_code import read_from
from service.command_line.printing.console import BAD_INPUT, DONE, note, print_json, print_table
from service.demo import stock_document
from service.errors import KeyNeeded
from service.http.server.listener import listening
from service.logs.form import LogForm
from service.logs.lines import write_log
from service.records.jobs import JobRecords
from service.records.keys import KeyRecords
from service.settings import SETTINGS, Settings
from service.stockroom.stock_source import StoreStock, opened
from service.text_table import Column

if TYPE_CHECKING:
    from service.http.server.web_server import WebServer
    from service.planning_jobs.planner import Planner

log = logging.getLogger("holdwright")


def serve_http(host: str | None, port: int | None, db: str | None, demo: bool) -> int:
    """Serve until interrupted; return the exit code."""
    with read_from("settings"):
        settings = Settings.read(host=host, port=port, db=db)
    try:
        return serve(settings, demo, _own_planner)
    except StoreError as error:
        raise StoreUnusable(f"{shown_url(settings.db)}: {error}") from error


def serve(settings: Settings, demo: bool, planner_of: Callable[[], Planner]) -> int:
    """Open the store, listen, and answer until stopped."""
    write_log(LogForm.of(settings.log))
    try:
        listener = listening(settings)
    except OSError as error:
        where = f"{settings.host}:{settings.port}"
        note(f"cannot listen on {where}: {error.strerror or error}; accepted: another --port, 0 takes a free one")
        return BAD_INPUT
    with listener:
        store = opened(settings.db)
        store.probe()
        _say_if_open_to_others(settings.db)
        records = JobRecords(
            store, secrets.token_hex(8), settings.lease, settings.key_hours, most_attempts=settings.attempts
        ).create()
        if not _for_this_machine_alone(listener) and not KeyRecords(store).any_made():
            store.close()
            raise KeyNeeded(settings.host)
        if demo:
            _fill(store)
        server = _web_server(settings, StoreStock(store), records, planner_of())
        shown = f"[{settings.host}]" if ":" in settings.host else settings.host
        log.info("listening on http://%s:%s with %s workers", shown, listener.getsockname()[1], settings.workers)
        _until_told_to_stop(server, listener)
        store.close()
    gc.freeze()  # or the interpreter looks through all there is once more before it ends: a second or two
    return DONE


def _own_planner() -> Planner:
    from solver.planning import plan

    return plan


def _fill(store: Store) -> None:
    from service.documents import read_stock
    from service.stockroom.first_stock import fill_if_empty

    filled = fill_if_empty(store, read_stock(stock_document()))
    left = "the store has stock already; the demo shop was not added"
    log.info("the store was filled with the demo shop" if filled else left)


def _web_server(settings: Settings, stock: StoreStock, records: JobRecords, planner: Planner) -> WebServer:
    from service.http.app import create_app
    from service.http.server.web_server import web_server
    from service.page.page import add_page

    app = add_page(create_app(settings, stock, records, planner))
    return web_server(app, settings, app.state.context.stop, _leave)


def _say_if_open_to_others(url: str) -> None:
    path = file_of(url)
    mode = None if path is None else open_to_others(path)
    if mode is not None:
        note(f"others on this machine can read {path} (mode {mode}); chmod 600 keeps it to its owner")


def _until_told_to_stop(server: WebServer, listener: socket.socket) -> None:
    """Run the server; a signal to stop has done its work once the server has stopped in order, so it ends nothing else."""
    before = {name: signal.signal(name, lambda number, frame: None) for name in (signal.SIGINT, signal.SIGTERM)}
    try:
        server.run(sockets=[listener])
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)


def _leave() -> None:
    """Leave the process where stopping in order takes longer than it may."""
    log.warning("left before everything had stopped: jobs that ran are taken up again once their lease has run out")
    logging.shutdown()
    os._exit(DONE)


def _for_this_machine_alone(listener: socket.socket) -> bool:
    return ipaddress.ip_address(listener.getsockname()[0].partition("%")[0]).is_loopback


def list_settings(as_json: bool) -> int:
    """Print every setting with its default, unit, range and meaning."""
    if as_json:
        print_json([{"variable": setting.variable, **asdict(setting)} for setting in SETTINGS])
        return DONE
    rows = []
    for setting in SETTINGS:
        span = "" if setting.low is None or setting.high is None else f"{setting.low:,g}..{setting.high:,g}"
        rows.append([setting.variable, str(setting.default) or "none", setting.unit, span, setting.meaning])
    headings = ("variable", "default", "unit", "range")
    print_table([*map(Column, headings), Column("meaning", wraps=True)], rows, "no settings")
    return DONE
