"""A child started afresh for one order: without the environment, in a folder of its own, ended with all it started when late."""

from __future__ import annotations

import contextlib
import os
import signal
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from service.exchange.weldments.child.work import ReadingOrder

MARGIN_S = 2.0
"""A child that its own limits have not ended is ended so long after, s."""
FOLDER = "holdwright-read-"
"""What the names of folders of children begin with."""
_BEGIN = "import sys; sys.path[:] = sys.argv[2:]; from service.exchange.weldments.child import work; work.{begin}()"


@dataclass(frozen=True, slots=True)
class Ended:
    """How a child ended: its exit code, a signal's negative; whether it had to be ended; what it had answered."""

    exitcode: int | None
    answer: bytes
    late: bool = False


def in_fresh_child(order: ReadingOrder, content: bytes) -> Ended:
    """Have a child do an order and return how it ended; it is gone by then, and so is its folder."""
    limits = order.limits
    with (
        tempfile.TemporaryDirectory(prefix=FOLDER, ignore_cleanup_errors=True) as folder,
        tempfile.TemporaryFile() as given,
        tempfile.TemporaryFile() as answer,
    ):
        given.write(order.line() + content)
        given.seek(0)
        child = subprocess.Popen(
            command_of("main", answer.fileno()),
            stdin=given,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            cwd=folder,
            env=environment(folder),
            pass_fds=(answer.fileno(),),
            start_new_session=True,
        )
        late = False
        try:
            child.wait(limits.loading_s + limits.time_s + MARGIN_S)
        except subprocess.TimeoutExpired:
            late = True
        finally:
            _end(child)
        answer.seek(0)
        return Ended(child.returncode, answer.read(limits.answer + 1), late)


def command_of(begin: str, word: object) -> list[str]:
    """Return the command that starts a process with a function of `work`, which finds the word in its arguments.

    Isolated: neither the environment nor the user's folder says what is loaded. `-B`: nothing is compiled to disk.
    """
    start = [sys.executable, "-I", "-B", "-X", "utf8", "-c", _BEGIN.format(begin=begin), str(word)]
    return [*start, *(str(Path(entry).resolve()) for entry in sys.path)]


def environment(folder: str) -> dict[str, str]:
    """Return all that the child finds in its environment."""
    kept = {name: os.environ[name] for name in ("SYSTEMROOT", "LD_LIBRARY_PATH") if name in os.environ}
    alone = dict.fromkeys(("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    return {**kept, **alone, "LANG": "C.UTF-8", "HOME": folder, "TMPDIR": folder}


def _end(child: subprocess.Popen[bytes]) -> None:
    """End a child and whatever it started."""
    with contextlib.suppress(ProcessLookupError, PermissionError):
        if hasattr(os, "killpg"):
            os.killpg(child.pid, signal.SIGKILL)
    child.kill()
    child.wait()
