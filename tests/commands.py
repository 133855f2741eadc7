"""`holdwright` as its user runs it, a process for every command, without loading the libraries again for every command.

`holdwright(...)` asks a process that has loaded them once; it forks for each command. What the console script and the start of a
bare interpreter add is tested where a test says so.
"""

from __future__ import annotations

import atexit
import functools
import json
import os
import signal
import subprocess
import sys
import tempfile
import traceback
from collections.abc import Mapping
from pathlib import Path
from typing import Any

LIMIT_S = 150
"""A command that takes longer is ended by SIGALRM."""
LOADED = (
    "service.command_line.main", "service.command_line.plan", "service.command_line.check", "service.documents.published",
    "inventory.store", "solver.planning", "solver.explain", "solver.checks",
)  # fmt: skip


def holdwright(*words: object, cwd: Path | None = None, env: Mapping[str, str] | None = None) -> subprocess.CompletedProcess[str]:
    """Run one command to its end; its standard input is empty."""
    done = holdwright_bytes(*words, cwd=cwd, env=env)
    return subprocess.CompletedProcess(done.args, done.returncode, done.stdout.decode(), done.stderr.decode())


def holdwright_bytes(
    *words: object, cwd: Path | None = None, env: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[bytes]:
    """Run one command to its end; what it writes is not taken for text."""
    process = loaded()
    assert process.stdin is not None and process.stdout is not None
    with tempfile.TemporaryDirectory(prefix="hw-command-") as folder:
        texts = [str(Path(folder) / name) for name in ("out", "err")]
        asked = {"words": list(map(str, words)), "cwd": str(cwd or Path.cwd()), "env": dict(env or os.environ), "texts": texts}
        process.stdin.write(json.dumps(asked) + "\n")
        process.stdin.flush()
        code = int(process.stdout.readline())
        out, err = (Path(text).read_bytes() for text in texts)
    return subprocess.CompletedProcess(["holdwright", *asked["words"]], code, out, err)


@functools.cache
def loaded() -> subprocess.Popen[str]:
    """Start the process that forks, once a run; it ends with its standard input."""
    command = [sys.executable, "-m", __name__]
    process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=Path(__file__).parents[1])
    atexit.register(process.communicate)
    return process


def main() -> None:
    """Fork for every line of standard input, wait, and write the exit code; minus the signal's number if one ended it."""
    for name in LOADED:
        __import__(name)
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            os._exit(run(**json.loads(line)))
        _, status = os.waitpid(child, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)


def run(words: list[str], cwd: str, env: dict[str, str], texts: list[str]) -> int:
    """Be the command: its folder, environment, arguments and standard streams; return its exit code."""
    from service.command_line.main import main as command

    signal.signal(signal.SIGINT, signal.default_int_handler)
    signal.alarm(LIMIT_S)
    os.chdir(cwd)
    os.environ.clear()
    os.environ.update(env)
    sys.argv = ["holdwright", *words]
    sys.modules["__main__"].__package__ = ""  # or usage lines would name this module
    for number, path in enumerate((os.devnull, *texts)):
        os.dup2(os.open(path, os.O_RDWR | os.O_CREAT), number)
    code: Any = 0
    try:
        command()
    except SystemExit as ending:
        code = ending.code
    except BaseException:
        traceback.print_exc()
        code = 1
    sys.stdout.flush()
    sys.stderr.flush()
    return int(code or 0)


if __name__ == "__main__":
    main()
