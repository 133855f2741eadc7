"""How long the command line takes to start: `--help`, `plan` on a stock file up to where it begins to solve, and what is imported.

    python -m tests.benchmarks startup [--runs RUNS]

Medians of several runs, each in processes of its own. Wall clock is what a user waits, and needs a machine that is otherwise idle;
CPU seconds count on any. `plan` has two processes side by side: one reads, one loads the solver. The compiled modules are kept in
a folder of the benchmark's own, filled by a first run that is not counted, as they are on a machine that has run the command once.
"""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Mapping
from pathlib import Path
from statistics import median

from service.demo import MAIN_JOB, job_document, stock_document

RUNS = 7
SHOWN = 8
_COMMAND = (sys.executable, "-c", "from service.command_line.main import main; main()")
_IMPORTS = {
    "--help": "service.command_line.main",
    "plan, what reads": "service.command_line.main, service.command_line.plan, service.command_line.sources",
    "plan, what solves": "service.command_line.main, service.command_line.plan, service.planning_jobs.child, solver.planning",
}
"""What each process imports."""


def report(runs: int = RUNS) -> None:
    """Print the times."""
    with tempfile.TemporaryDirectory(prefix="hw-startup-", ignore_cleanup_errors=True) as scratch:
        folder = Path(scratch)
        (folder / "request.json").write_bytes(job_document(MAIN_JOB))
        (folder / "stock.json").write_bytes(stock_document())
        environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
        environment |= {
            "PYTHONPYCACHEPREFIX": str(folder / "compiled"),
            "TMPDIR": scratch,
            "PYTHONPATH": os.pathsep.join(sys.path),
        }
        helped = [help_times(environment) for _ in range(runs + 1)][1:]
        print(f"--help            {_medians(helped, ('s', 's CPU'))}")
        began = [solving_times(folder, environment) for _ in range(runs + 1)][1:]
        print(f"plan, to solving  {_medians(began, ('s', 's CPU what reads', 's CPU what solves'))}")
        for name, modules in _IMPORTS.items():
            print(f"imports of {name}: {_shown(import_times(modules, environment))}")


def help_times(environment: Mapping[str, str]) -> tuple[float, float]:
    """Return the wall clock and CPU seconds of `holdwright --help`."""
    began = time.monotonic()
    process = subprocess.Popen([*_COMMAND, "--help"], env=environment, stdout=subprocess.DEVNULL)
    _, _, used = os.wait4(process.pid, 0)
    process.returncode = 0  # it was waited for here, or its death would be looked for again
    return time.monotonic() - began, used.ru_utime + used.ru_stime


def solving_times(folder: Path, environment: Mapping[str, str]) -> tuple[float, float, float]:
    """Return when `holdwright plan` began to solve: s after its start, CPU seconds of the process that reads and of the one that solves.

    The solving process says so in its job's folder, right before it calls the planner; both are ended then.
    """
    words = ["plan", str(folder / "request.json"), "--stock", str(folder / "stock.json"), "--out", str(folder / "plan.json")]
    began = time.time()
    process = subprocess.Popen([*_COMMAND, *words, "--quiet"], env=environment, start_new_session=True)
    try:
        while not (found := list(folder.glob("holdwright-*/job/started.json"))):
            if process.poll() is not None:
                raise RuntimeError(f"holdwright plan ended with exit code {process.returncode}")
            time.sleep(0.002)
        solving = json.loads(found[0].read_text(encoding="utf-8"))["pid"]
        return found[0].stat().st_mtime - began, cpu_s(process.pid), cpu_s(solving)
    finally:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        for left in folder.glob("holdwright-*/job/started.json"):
            left.unlink()


def cpu_s(pid: int) -> float:
    """Return the CPU seconds a running process has used, to a hundredth."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def import_times(modules: str, environment: Mapping[str, str]) -> Counter[str]:
    """Return the milliseconds spent importing each package, without what it imports of others."""
    command = [sys.executable, "-X", "importtime", "-c", f"import {modules}"]
    for _ in range(2):  # the first one compiles
        done = subprocess.run(command, env=environment, capture_output=True, text=True, check=True)
    spent: Counter[str] = Counter()
    for line in done.stderr.splitlines():
        own, _, name = line.removeprefix("import time:").split("|")
        if own.strip().isdecimal():
            spent[name.strip().split(".")[0]] += int(own)
    return Counter({name: us // 1000 for name, us in spent.items()})


def _shown(spent: Counter[str]) -> str:
    return f"{spent.total()} ms, " + ", ".join(f"{name} {ms}" for name, ms in spent.most_common(SHOWN))


def _medians(rows: list[tuple[float, float]] | list[tuple[float, float, float]], units: tuple[str, ...]) -> str:
    return ", ".join(f"{median(column):.2f} {unit}" for column, unit in zip(zip(*rows, strict=True), units, strict=True))
