"""Run what shows that toys work: a process for each, forked from one that has loaded what none of them changes.

Every line of standard input is a folder with a copy of the packages and a `shown_by.py`; every line of standard output is an exit
code, and what the process wrote is in the folder's `written.txt`.
"""

from __future__ import annotations

import os
import runpy
import signal
import sys
import traceback
from pathlib import Path

LIMIT_S = 60
LIBRARIES = (
    "ortools.sat.python.cp_model",
    "highspy",
    "scipy.optimize",
    "shapely",
    "pydantic",
    "fastapi",
    "httpx",
    "rich.console",
)
PACKAGES = ("inventory", "solver", "service")


def main() -> None:
    """Fork for every line, wait, and write the exit code; minus the signal's number if one ended it."""
    for name in LIBRARIES:
        __import__(name)
    assert not {name.split(".")[0] for name in sys.modules} & set(PACKAGES), "a package was loaded before its copy was there"
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            os._exit(run(Path(line.strip())))
        _, status = os.waitpid(child, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)


def run(folder: Path) -> int:
    """Run a toy's script with its packages first on the path; return its exit code."""
    signal.alarm(LIMIT_S)
    written = os.open(folder / "written.txt", os.O_RDWR | os.O_CREAT)
    for stream in (1, 2):
        os.dup2(written, stream)
    os.chdir(folder)
    sys.path.insert(0, str(folder))
    try:
        runpy.run_path(str(folder / "shown_by.py"))
        strange = [name for name in PACKAGES if not str(__import__(name).__file__).startswith(str(folder))]
        assert not strange, f"not the copy: {strange}"
    except BaseException:
        traceback.print_exc()
        sys.stderr.flush()
        return 1
    return 0


if __name__ == "__main__":
    main()
