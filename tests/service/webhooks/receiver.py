"""A receiver of messages on this machine, whose answers a test chooses."""

from __future__ import annotations

import contextlib
import ssl
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any


@dataclass(frozen=True)
class Heard:
    """One request as it came."""

    path: str
    headers: dict[str, str]
    body: bytes


@dataclass
class Receiver:
    """What was heard, and what is answered: statuses in turn, the last one for ever; a text, headers, seconds before each byte."""

    statuses: list[int] = field(default_factory=lambda: [204])
    text: bytes = b""
    headers: dict[str, str] = field(default_factory=dict)
    drip_s: float = 0.0
    heard: list[Heard] = field(default_factory=list)
    port: int = 0
    let_go: threading.Event = field(default_factory=threading.Event)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}/hook?from=shop"

    def status(self) -> int:
        return self.statuses.pop(0) if len(self.statuses) > 1 else self.statuses[0]

    def until(self, count: int) -> list[Heard]:
        ends = time.monotonic() + 10
        while len(self.heard) < count:
            assert time.monotonic() < ends, f"{len(self.heard)} messages of {count}"
            time.sleep(0.01)
        return self.heard


@contextlib.contextmanager
def receiving(certificate: tuple[str, str] | None = None, host: str = "127.0.0.1", **answers: Any) -> Iterator[Receiver]:
    """Listen for as long as the block lasts, by TLS if there is a certificate."""
    receiver = Receiver(**answers)

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            receiver.heard.append(Heard(self.path, {key.lower(): value for key, value in self.headers.items()}, body))
            self._answer()

        def do_GET(self) -> None:
            receiver.heard.append(Heard(self.path, {}, b""))
            self._answer()

        def _answer(self) -> None:
            head = f"HTTP/1.1 {receiver.status()} As Asked\r\nContent-Length: {len(receiver.text)}\r\nConnection: close\r\n"
            head += "".join(f"{name}: {value}\r\n" for name, value in receiver.headers.items())
            whole = head.encode() + b"\r\n" + receiver.text
            self.close_connection = True
            for place in range(0, len(whole), 1 if receiver.drip_s else len(whole)):
                if receiver.drip_s and receiver.let_go.wait(receiver.drip_s):
                    return
                try:
                    self.wfile.write(whole[place : place + (1 if receiver.drip_s else len(whole))])
                except OSError:
                    return

        def log_message(self, format: str, *args: Any) -> None:
            pass

    class Server(ThreadingHTTPServer):
        daemon_threads = True

        def handle_error(self, request: Any, client_address: Any) -> None:
            pass  # a caller that hangs up, or does not believe the certificate

    server = Server((host, 0), Handler)
    if certificate is not None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(*certificate)
        server.socket = context.wrap_socket(server.socket, server_side=True)
    receiver.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield receiver
    finally:
        receiver.let_go.set()
        server.shutdown()
        server.server_close()
        thread.join()
