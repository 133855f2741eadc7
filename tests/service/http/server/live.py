"""A bare server in a process of its own, and raw connections to it."""

from __future__ import annotations

import contextlib
import json
import os
import re
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx

BARE = Path(__file__).with_name("bare.py")


@dataclass
class Reply:
    """What came back on a raw connection until it was closed."""

    status: int
    headers: dict[str, str]
    content: bytes

    def json(self) -> Any:
        return json.loads(self.content)

    @property
    def kind(self) -> str:
        assert self.headers["content-type"] == "application/problem+json", self
        return str(self.json()["type"]).removeprefix("/v1/problems/")


class Live:
    """A running server."""

    def __init__(self, folder: Path, most_files: int = 0, **settings: object) -> None:
        environment = {f"HOLDWRIGHT_{name.upper()}": str(value) for name, value in {"port": 0, **settings}.items()}
        self.log = folder / f"log-{time.monotonic_ns()}"
        with self.log.open("wb") as log:
            command = [sys.executable, "-W", "error::ResourceWarning", str(BARE), json.dumps(environment), str(most_files)]
            self.process = subprocess.Popen(command, stderr=log, stdout=log)
        ends = time.monotonic() + 30
        while not (found := re.search(r"^port (\d+)$", self.log.read_text(), re.M)):
            assert time.monotonic() < ends, self.log.read_text()
            time.sleep(0.02)
        self.port = int(found[1])
        self.address = f"http://127.0.0.1:{self.port}"

    def get(self, path: str, **more: Any) -> httpx.Response:
        return httpx.get(self.address + path, timeout=20, **more)

    def connected(self, sent: bytes = b"") -> socket.socket:
        """Return a new connection on which something was sent."""
        opened = socket.create_connection(("127.0.0.1", self.port), timeout=20)
        opened.sendall(sent)
        return opened

    def asked(self, *lines: str) -> socket.socket:
        return self.connected("\r\n".join([*lines, "Host: localhost", "", ""]).encode())

    def memory_mb(self) -> float:
        text = Path(f"/proc/{self.process.pid}/status").read_text()
        return int(re.search(r"VmRSS:\s+(\d+)", text)[1]) / 1024  # type: ignore[index]

    def files(self) -> int:
        return len(os.listdir(f"/proc/{self.process.pid}/fd"))

    def end(self, how: int) -> int:
        self.process.send_signal(how)
        return self.process.wait(20)


def everything(connection: socket.socket) -> bytes:
    """Return all that comes until the connection is closed by the server, and close this end."""
    connection.settimeout(20)
    found = bytearray()
    with connection, contextlib.suppress(ConnectionResetError):
        while more := connection.recv(65536):
            found += more
    return bytes(found)


def reply(connection: socket.socket) -> Reply:
    """Return the answer on a connection that is closed after it."""
    head, _, content = everything(connection).partition(b"\r\n\r\n")
    first, *lines = head.decode("latin-1").split("\r\n")
    headers = {name.lower(): text for name, _, text in (line.partition(": ") for line in lines)}
    return Reply(int(first.split()[1]), headers, content)
