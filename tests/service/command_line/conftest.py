"""A bar and its plan, for commands that work on a plan there is."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from service.documents import plan_document, request_document, stock_document
from solver.plans import Plan, Reason, Refused
from tests import builders as b
from tests.commands import holdwright

ROOT = Path(__file__).parents[3]
SHELF = b.shelf((b.stop(), 4), (b.stop("stop-20", face=20), 4), (b.rest(), 3), (b.down_clamp(), 2))
REFUSED = Plan(
    "infeasible", "proof", None, None, 0.1, {}, 1, 1, 1, (), Refused((Reason("counted", "stop", "stop: 4 needed, 2 free"),), ())
)


@dataclass(frozen=True)
class Planned:
    """A folder with a request, a stock and a plan of two alternatives, and what planning printed."""

    folder: Path
    printed: str

    def run(
        self, command: str, *words: object, plan: str = "plan.json", env: Mapping[str, str] | None = None
    ) -> subprocess.CompletedProcess[str]:
        """Run a command on the request, a plan and the stock."""
        environment = {**os.environ, **(env or {})}
        return holdwright(command, "bar.json", plan, "--stock", "stock.json", *words, cwd=self.folder, env=environment)

    def program(self, *words: str, **env: str) -> bytes:
        """Return what a command writes to standard output, as bytes, run as a program of its own."""
        code = "import sys; sys.argv[0] = 'holdwright'; from service.command_line.main import main; main()"
        environment = {"PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8", **env}
        command = [sys.executable, "-c", code, *words]
        return subprocess.run(command, cwd=self.folder, capture_output=True, check=True, env=environment).stdout

    def document(self, name: str = "plan") -> Any:
        """Return one of the documents."""
        return json.loads((self.folder / f"{name}.json").read_text())

    def write(self, name: str, document: Any) -> str:
        """Write another document beside them and return its file's name."""
        (self.folder / f"{name}.json").write_text(json.dumps(document))
        return f"{name}.json"

    def spoilt(self, name: str, spoil: Callable[[Any], object]) -> str:
        """Write the plan with its first alternative changed and return its file's name."""
        document = self.document()
        spoil(document["alternatives"][0])
        return self.write(name, document)


@pytest.fixture(scope="session")
def planned(tmp_path_factory: pytest.TempPathFactory) -> Planned:
    """A bar, the shelf and the bar's plan."""
    there = tmp_path_factory.mktemp("planned")
    asked = b.request(b.weldment(b.bar(), name="bar"), 3, alternatives=2, time_limit_s=60)
    (there / "bar.json").write_text(json.dumps(request_document(asked)))
    (there / "stock.json").write_text(json.dumps(stock_document(SHELF)))
    (there / "refused.json").write_text(json.dumps(plan_document(REFUSED)))
    words = ("plan", "bar.json", "--stock", "stock.json", "--out", "plan.json")
    done = holdwright(*words, cwd=there, env={**os.environ, "COLUMNS": "100"})
    assert done.returncode == 0, done.stderr
    return Planned(there, done.stdout)
