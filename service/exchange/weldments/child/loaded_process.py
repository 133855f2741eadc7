"""A process that has the libraries loaded and forks a child for every file: a small file is read within milliseconds.

It is started as a fresh child is, with nothing of the environment, and sees no file itself: only its children do.
"""

from __future__ import annotations

import json
import select
import shutil
import subprocess
import tempfile
from collections.abc import Iterable
from pathlib import Path

from service.exchange.weldments.child.fresh_child import FOLDER, MARGIN_S, Ended, command_of, environment
from service.exchange.weldments.child.work import ReadingOrder, modules_of
from service.exchange.weldments.readers import FileReader


class LoadedProcess:
    """Does orders one after the other, each in a child of its own; started when first needed.

    Parameters
    ----------
    readers : iterable of FileReader
        Whose libraries it has loaded; for others each child loads them.
    idle_s : float
        Where nothing is read for so long the process ends and gives its memory back, s.
    """

    def __init__(self, readers: Iterable[FileReader], idle_s: float = 600.0) -> None:
        there = [reader for reader in readers if reader.there]
        self._modules = list(dict.fromkeys(module for reader in there for module in modules_of(reader)))
        self._idle_s = idle_s
        self._process: subprocess.Popen[bytes] | None = None
        self._loaded, self._home = False, ""

    def __call__(self, order: ReadingOrder, content: bytes) -> Ended:
        """Have a child do an order and return how it ended; it is gone by then, and so is its folder."""
        with tempfile.TemporaryDirectory(prefix=FOLDER, ignore_cleanup_errors=True) as folder:
            (Path(folder) / "order").write_bytes(order.line() + content)
            told = self._told(folder, order)
            if told is None:
                self.stop()
                return Ended(None, b"", late=True)
            answer = Path(folder) / "answer"
            return Ended(told, _read(answer, order.limits.answer + 1))

    def stop(self) -> None:
        """End the process."""
        process, self._process, self._loaded = self._process, None, False
        if process is not None:
            process.kill()
            for stream in (process.stdin, process.stdout):
                if stream is not None:
                    stream.close()
            process.wait()
            shutil.rmtree(self._home, ignore_errors=True)

    def _told(self, folder: str, order: ReadingOrder) -> int | None:
        """Return the exit code of the child that did an order; None if the process did not say in time."""
        for last in (False, True):
            process = self._running()
            assert process.stdin is not None and process.stdout is not None
            try:
                process.stdin.write(folder.encode() + b"\n")
            except BrokenPipeError:  # it had waited long enough
                self.stop()
                continue
            limit_s = order.limits.time_s + MARGIN_S + (0.0 if self._loaded else order.limits.loading_s)
            if not select.select([process.stdout], [], [], limit_s)[0]:
                return None
            line = process.stdout.readline()
            if line:
                self._loaded = True
                return int(json.loads(line)["exitcode"])
            self.stop()
            if last:
                break
        return None

    def _running(self) -> subprocess.Popen[bytes]:
        if self._process is None:
            self._home = tempfile.mkdtemp(prefix=FOLDER)  # what libraries keep in their user's folder
            self._process = subprocess.Popen(
                command_of("serve", self._idle_s),
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                cwd=self._home,
                env=environment(self._home),
                start_new_session=True,
                bufsize=0,
            )
            assert self._process.stdin is not None
            self._process.stdin.write(json.dumps(self._modules).encode() + b"\n")
        return self._process


def _read(answer: Path, most: int) -> bytes:
    try:
        with answer.open("rb") as file:
            return file.read(most)
    except OSError:  # it ended before it had one
        return b""
