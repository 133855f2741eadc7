"""A reader of a kind of file of the tests: its bytes say what the child does."""

from __future__ import annotations

import os
import socket
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from inventory.errors import Fault, InvalidDocument
from inventory.shapes import PlaneCut
from service.exchange.weldments.weldment_reading import Deviation, ReadBody, ReadingOptions, Remark, WeldmentReading
from solver.sections import Section
from solver.weldment import Part, Pose

HOME = "tests.service.exchange.weldments.child.small_reader:read"


def read(content: bytes, name: str, options: ReadingOptions) -> WeldmentReading:
    for line in content.decode().splitlines()[1:]:
        word, _, rest = line.partition(",")
        if word in DOINGS:
            DOINGS[word](rest)
    bodies = tuple(replace(body, outcome="left_out") if body.name in options.left_out else body for body in BODIES)
    return WeldmentReading("csv", "", options.units or "mm", name, PARTS, bodies, (Remark("file.note", "said of the file"),))


PARTS = (
    Part("post", Section("square_tube", width=50, wall=3), 600, Pose((0, 0, 25), (1, 0, 0), (0, 0, 1))),
    Part("lug", Section("flat_bar", width=40, thickness=8), 120, Pose((180, 0, 50), (0, 0, 1), (0.6, 0.8, 0))),
)
BODIES = (
    ReadBody(1, "frame/post", "part", "post", "square tube 50 x 50 x 3, 600 mm", Deviation(0.5, 1e-6, 0.01)),
    ReadBody(2, "frame/lug", "part", "lug", "flat bar 40 x 8, 120 mm"),
    ReadBody(3, "handle", "not_recognised", None, "", None, (Remark("solid.not_prism", "bent", "solid 3, face 4", (1, 2, 3)),),
             ((0, 0, 50), (40, 20, 90))),
)  # fmt: skip


def fault(rest: str) -> None:
    raise InvalidDocument([Fault("/rows/3", "is wrong", "what is right")])


def eat(rest: str) -> None:
    kept = [np.zeros(50_000_000, np.uint8) for _ in range(10)]  # never written to: addresses count, and so it is over at once
    assert kept


def spin(rest: str) -> None:
    while True:
        pass


def sleep(rest: str) -> None:
    time.sleep(60)


def abort(rest: str) -> None:
    os.abort()


def tell_more(rest: str) -> None:
    raise ValueError("\x1b[31m odd \n" + "x" * 1000)


DOINGS = {"fault": fault, "eat": eat, "spin": spin, "sleep": sleep, "abort": abort, "fail": tell_more}


def attempt(rest: str) -> None:
    """Try what may not be done; what succeeds is told as a fault."""
    own = Path("own.txt")
    own.write_text("kept")
    assert own.read_text() == "kept"
    own.unlink()
    done = []
    for name, act in ATTEMPTS.items():
        try:
            act()
        except (OSError, ValueError):
            continue
        done.append(name)
    raise InvalidDocument([Fault("", f"done: {done}", "nothing")])


def to_stay(parent: int) -> Path:
    """The file that the process which asks, a child's parent, puts outside of the fence."""
    return Path(f"/tmp/holdwright-to-stay-{parent}")


def shown(path: str) -> None:
    with open(path, "rb") as file:
        file.read(1)


ATTEMPTS: dict[str, Callable[[], object]] = {
    "read /etc/passwd": lambda: shown("/etc/passwd"),
    "read /proc": lambda: shown(f"/proc/{os.getppid()}/environ"),
    "write /tmp": lambda: Path("/tmp/holdwright-stray").write_text("x"),
    "list /": lambda: os.listdir("/"),
    "remove": lambda: os.remove(to_stay(os.getppid())),
    "chmod": lambda: os.chmod(to_stay(os.getppid()), 0o777),
    "socket": lambda: socket.socket().close(),
    "unix socket": socket.socketpair,
    "fork": lambda: os.fork() or os._exit(0),
    "run": lambda: os.posix_spawn("/bin/true", ["true"], {}),
    "exec": lambda: os.execv("/bin/true", ["true"]),
    "kill": lambda: os.kill(os.getppid(), 0),
    "limits": lambda: __import__("resource").setrlimit(__import__("resource").RLIMIT_AS, (-1, -1)),
}  # fmt: skip
DOINGS["attempt"] = attempt


def mitre(length: float) -> tuple[PlaneCut, ...]:
    """A mitre at the end of a bar so long."""
    return (PlaneCut((0.0, 0.0, length), (1.0, 0.0, 1.0)),)
