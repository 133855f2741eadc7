"""`holdwright serve`: settings, store, demo shop if asked, then the HTTP interface until it is stopped."""

from __future__ import annotations

import ipaddress
import logging
import secrets
import signal
import socket
from dataclasses import asdict

import uvicorn

from inventory.errors import StoreError
from inventory.store import shown_url
from inventory.store.engine import file_of
from inventory.store.errors import StoreUnusable
from inventory.store.store_file import open_to_others
from service.command_line.exit_code import read_from
from service.command_line.printing.console import BAD_INPUT, DONE, note, print_json, print_table
from service.demo import stock_document
from service.documents import read_stock
from service.errors import KeyNeeded
from service.http.app import create_app
from service.planning_jobs.planner import Planner
from service.records.jobs import JobRecords
from service.records.keys import KeyRecords
from service.settings import SETTINGS, Settings
from service.stockroom.first_stock import fill_if_empty
from service.stockroom.stock_source import StoreStock, opened
from service.text_table import Column
from solver.planning import plan

_SHUTDOWN_S = 5


def serve_http(host: str | None, port: int | None, db: str | None, demo: bool) -> int:
    """Serve until interrupted; return the exit code."""
    with read_from("settings"):
        settings = Settings.read(host=host, port=port, db=db)
    logging.basicConfig(level=logging.INFO, format="%(asctime)s %(levelname)s %(name)s: %(message)s")
    for chatty in ("alembic", "uvicorn.error"):
        logging.getLogger(chatty).setLevel(logging.WARNING)
    try:
        return serve(settings, demo, plan)
    except StoreError as error:
        raise StoreUnusable(f"{shown_url(settings.db)}: {error}") from error


def serve(settings: Settings, demo: bool, planner: Planner) -> int:
    """Open the store, listen, and answer until stopped."""
    try:
        listener = _listening(settings)
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
            filled = fill_if_empty(store, read_stock(stock_document()))
            left = "the store has stock already; the demo shop was not added"
            note("the store was filled with the demo shop" if filled else left)
        app = create_app(settings, StoreStock(store), records, planner)
        config = uvicorn.Config(
            app, log_config=None, access_log=False, server_header=False, timeout_graceful_shutdown=_SHUTDOWN_S, workers=1
        )
        shown = f"[{settings.host}]" if ":" in settings.host else settings.host
        note(f"listening on http://{shown}:{listener.getsockname()[1]}")
        _until_told_to_stop(uvicorn.Server(config), listener)
        store.close()
    return DONE


def _say_if_open_to_others(url: str) -> None:
    path = file_of(url)
    mode = None if path is None else open_to_others(path)
    if mode is not None:
        note(f"others on this machine can read {path} (mode {mode}); chmod 600 keeps it to its owner")


def _until_told_to_stop(server: uvicorn.Server, listener: socket.socket) -> None:
    """Run the server; a signal to stop has done its work once the server has stopped in order, so it ends nothing else."""
    before = {name: signal.signal(name, lambda number, frame: None) for name in (signal.SIGINT, signal.SIGTERM)}
    try:
        server.run(sockets=[listener])
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)


def _listening(settings: Settings) -> socket.socket:
    family, _, _, _, address = socket.getaddrinfo(settings.host, settings.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[
        0
    ]
    # Named as TCP, or the event loop does not switch off the delay of small packets: 40 ms an answer.
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    try:
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listener.bind(address)
        listener.listen(1024)
    except OSError:
        listener.close()
        raise
    return listener


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
