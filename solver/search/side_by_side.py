"""Work done side by side on several cores: children forked for a share each, which inherit all there is and send back an answer.

A child lives as long as its share takes. Whatever happens to it, its share is then done here: the answer is the same.
"""

from __future__ import annotations

import contextlib
import gc
import os
import pickle
import signal
import warnings
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NoReturn, TypeVar

T = TypeVar("T")
_NOTHING: tuple[bool, Any] = False, None


def side_by_side(tasks: Sequence[Callable[[], T]]) -> list[T]:
    """Return what tasks return, in their order: the first is done here, of the others each by a child.

    Tasks change nothing but what they return, which can be pickled. What a task raises is raised here.
    """
    children: list[_Child | None] = []
    try:
        for task in tasks[1:]:
            children.append(_Child.forked(task))
        found: list[T] = [tasks[0]()]
        for child, task in zip(children, tasks[1:], strict=True):
            done, answer = _NOTHING if child is None else child.answer()
            found.append(answer if done else task())
        return found
    finally:
        for child in children:
            if child is not None:
                child.end()


@dataclass
class _Child:
    """A forked child and the end of the pipe from which its answer is read; -1 once it has ended."""

    pid: int
    pipe: int

    @staticmethod
    def forked(task: Callable[[], Any]) -> _Child | None:
        """Return a child at work on a task; None if there can be no other process, here or just now."""
        if not hasattr(os, "fork"):
            return None
        pipe, own = os.pipe()
        held = signal.pthread_sigmask(signal.SIG_BLOCK, signal.valid_signals())
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", DeprecationWarning)  # the child uses no lock that another thread may hold
                pid = os.fork()
            if not pid:
                _work(task, own, held)
        except OSError:
            os.close(pipe)
            return None
        finally:
            signal.pthread_sigmask(signal.SIG_SETMASK, held)
            os.close(own)
        return _Child(pid, pipe)

    def answer(self) -> tuple[bool, Any]:
        """Wait for the child; return whether it did its task, and its answer."""
        with os.fdopen(os.dup(self.pipe), "rb") as reader:
            content = reader.read()
        return (True, pickle.loads(content)) if self._reaped() == 0 and content else _NOTHING

    def end(self) -> None:
        """End the child if it is still there."""
        os.close(self.pipe)
        if self.pid > 0:
            with contextlib.suppress(ProcessLookupError):
                os.kill(self.pid, signal.SIGKILL)
            self._reaped()

    def _reaped(self) -> int:
        """Wait until the child has ended; return 0 if it ended well."""
        pid, self.pid = self.pid, -1
        try:
            return os.waitpid(pid, 0)[1]
        except ChildProcessError:  # nobody may wait for children where their ends are ignored
            return -1


def _work(task: Callable[[], Any], own: int, held: set[Any]) -> NoReturn:
    """Do a task, send what it returns through a pipe and end at once: nothing of the parent's is flushed, closed or told.

    Signals that the parent handles end the child; those it ignores are ignored here too.
    """
    code = 1
    try:
        gc.disable()
        for number in signal.valid_signals():
            if callable(signal.getsignal(number)):
                signal.signal(number, signal.SIG_DFL)
        signal.pthread_sigmask(signal.SIG_SETMASK, held)
        content = pickle.dumps(task(), pickle.HIGHEST_PROTOCOL)
        while content:
            content = content[os.write(own, content) :]
        code = 0
    finally:
        os._exit(code)
