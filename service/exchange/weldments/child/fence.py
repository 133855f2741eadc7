"""The fence round a child that reads a file: limits of the system, no network, no files but its own.

Three layers, each where the system has it: limits on time, memory and files (POSIX); Landlock and a filter on system calls, which
hold whatever the child runs (Linux); and a hook of Python, which holds for Python alone. Libraries are loaded before it closes.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import sysconfig
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from service.exchange.weldments.child.landlock import close_files, landlock_version
from service.exchange.weldments.child.limits import ReadingLimits
from service.exchange.weldments.child.system_calls import calls_can_be_closed, close_system_calls

_WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
_REFUSED = (
    "socket.", "subprocess.", "os.exec", "os.fork", "os.posix_spawn", "os.spawn", "os.startfile", "os.system", "pty.", "ctypes.",
    "os.kill", "signal.pthread_kill", "os.chmod", "os.chown", "os.link", "os.symlink", "urllib.", "http.", "ftplib.", "smtplib.",
)  # fmt: skip
"""Beginnings of the names of what Python says it is about to do, and may not."""
_OF_PATHS = ("os.remove", "os.rename", "os.mkdir", "os.rmdir", "os.truncate", "os.listdir", "os.scandir", "shutil.")


def close_fence(own: Path, limits: ReadingLimits) -> None:
    """Close the fence round this process; it is not opened again.

    Parameters
    ----------
    own : Path
        The one folder it may write in.
    """
    _be_the_first_to_go()
    readable = _program_folders()
    _limit(limits)
    close_files(own, readable)  # what the kernel does not offer is not there; `fence_here` says so to whoever runs the service
    close_system_calls()
    sys.addaudithook(_hook(own, readable))


def fence_here() -> tuple[list[str], list[str]]:
    """Return which layers of the fence hold by the kernel here, in words, and which the kernel does not offer."""
    version, filtered = landlock_version(), calls_can_be_closed()
    layers = {f"Landlock {version}" if version else "Landlock": bool(version), "a filter on system calls": filtered}
    return [each for each, there in layers.items() if there], [each for each, there in layers.items() if not there]


def _program_folders() -> tuple[Path, ...]:
    """Return where the program and its libraries lie: what is loaded late must be found."""
    import inventory

    packages = Path(inventory.__file__).resolve().parent.parent
    ours = [packages / name for name in ("inventory", "solver", "service")]
    libraries = [Path(sysconfig.get_path(name)).resolve() for name in ("stdlib", "platstdlib", "purelib", "platlib")]
    return (*dict.fromkeys((*ours, *libraries)), Path("/dev/null"), Path("/dev/urandom"))


def _limit(limits: ReadingLimits) -> None:
    """Set the limits of the system; what has been used until now does not count."""
    try:
        import resource
    except ImportError:  # no POSIX: the parent ends what takes too long
        return
    used = resource.getrusage(resource.RUSAGE_SELF)
    processor_s = int(used.ru_utime + used.ru_stime + limits.time_s) + 1
    wanted = {
        "RLIMIT_AS": _addresses() + limits.memory_mb * 1_000_000,
        "RLIMIT_CPU": processor_s,
        "RLIMIT_FSIZE": limits.answer,
        "RLIMIT_NOFILE": limits.open_files,
        "RLIMIT_CORE": 0,
    }
    for name, most in wanted.items():
        kind = getattr(resource, name, None)
        if kind is not None:
            hard = resource.getrlimit(kind)[1]
            most = most if hard == resource.RLIM_INFINITY else min(most, hard)
            with contextlib.suppress(ValueError, OSError):  # not every system keeps every limit
                resource.setrlimit(kind, (most, most))
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.setitimer(signal.ITIMER_REAL, limits.time_s)


def _addresses() -> int:
    """Return how much address space this process takes now, bytes; none where the system does not say."""
    try:
        return int(Path("/proc/self/statm").read_text().split()[0]) * os.sysconf("SC_PAGE_SIZE")
    except OSError:
        return 0


def _be_the_first_to_go() -> None:
    """If the machine's memory runs out, this process is ended before any other."""
    with contextlib.suppress(OSError):
        Path("/proc/self/oom_score_adj").write_text("1000")


def _hook(own: Path, readable: Sequence[Path]) -> Any:
    inside = os.path.realpath(own) + os.sep
    code = tuple(f"{folder}{os.sep}" if folder.is_dir() else str(folder) for folder in readable)

    def refuse(event: str, arguments: tuple[Any, ...]) -> None:
        if event == "open":
            path, mode, flags = arguments
            if isinstance(path, int):
                return
            writing = bool(flags & _WRITING) if isinstance(flags, int) else any(c in str(mode) for c in "wax+")
            at = os.path.realpath(os.fsdecode(path))
            if not (at + os.sep).startswith(inside) and (writing or not (at + os.sep).startswith(code)):
                raise PermissionError(f"{event} {path!r} is not for who reads a file")
        elif event.startswith(_OF_PATHS):
            at = os.path.realpath(os.fsdecode(arguments[0])) + os.sep if isinstance(arguments[0], str | bytes) else inside
            if not at.startswith((inside, *(code if event in ("os.listdir", "os.scandir") else ()))):
                raise PermissionError(f"{event} {arguments[0]!r} is not for who reads a file")
        elif event.startswith(_REFUSED):
            raise PermissionError(f"{event} is not for who reads a file")

    return refuse
