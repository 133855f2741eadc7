"""Commands import what they need and nothing else, so that they start at once."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from service.demo import MAIN_JOB, job_document, stock_document

SQL_AND_WEB = {"sqlalchemy", "alembic", "fastapi", "uvicorn"}
DRAWINGS = {"rich", "service.drawings"}
SOLVERS = {"ortools", "highspy", "scipy", "shapely", "numpy"}

AS_USED = """
import sys
sys.argv[0] = "holdwright"
from service.command_line.main import main
try:
    main()
finally:
    print(*sys.modules, file=sys.stderr)
"""

UP_TO_SOLVING = (
    """
import os, sys
from pathlib import Path
from service.planning_jobs import single_solve

def solved(folder, asked, solve=single_solve.solve_question):
    from solver import planning
    def began(*question, **more):
        print(*sys.modules, file=sys.stderr, flush=True)
        os._exit(0)
    planning.plan = began
    solve(folder, asked)

single_solve.watched.__defaults__ = (*single_solve.watched.__defaults__[:-1], solved)
"""
    + AS_USED
)

UP_TO_ANSWERING = (
    """
from service.command_line import serve
serve._until_told_to_stop = lambda server, listener: None
"""
    + AS_USED
)


def imported(code: str, *words: object) -> list[set[str]]:
    """Return the modules each process of a command has imported, with the packages they stand in."""
    command = [sys.executable, "-c", code, *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    lines = [line.split() for line in done.stderr.splitlines() if line.startswith("sys ")]
    return [packages(line) for line in lines]


def packages(modules: Sequence[str]) -> set[str]:
    return {".".join(parts[:depth]) for parts in (name.split(".") for name in modules) for depth in range(1, len(parts) + 1)}


@pytest.mark.parametrize(
    "words", [["--help"], ["plan", "--help"], ["stock", "--help"], ["stock", "receive", "--help"], ["--version"]]
)
def test_help_imports_no_library(words: list[str]) -> None:
    (modules,) = imported(AS_USED, *words)
    assert "service.command_line.main" in modules
    assert not modules & (SOLVERS | SQL_AND_WEB | DRAWINGS)


def test_a_plan_on_a_stock_file_begins_without_sql_web_and_drawings(tmp_path: Path) -> None:
    request, stock = tmp_path / "request.json", tmp_path / "stock.json"
    request.write_bytes(job_document(MAIN_JOB))
    stock.write_bytes(stock_document())
    solves, reads = imported(UP_TO_SOLVING, "plan", request, "--stock", stock, "--out", tmp_path / "plan.json")
    assert "service.documents.request" in reads and "solver.planning" in solves
    assert not (reads | solves) & (SQL_AND_WEB | DRAWINGS)
    assert not reads & {"ortools", "highspy", "scipy"}
    assert not solves & {"service.documents", "pandas", "scipy.optimize"}


def test_a_server_starts_without_what_only_some_answers_need(tmp_path: Path) -> None:
    (modules,) = imported(UP_TO_ANSWERING, "serve", "--port", "0", "--db", f"sqlite:///{tmp_path / 'shop.sqlite3'}")
    assert "service.http.app" in modules
    assert not modules & {"scipy.optimize", "scipy.special", "pandas", "OCP", "ezdxf", "trimesh", "typst"}


def test_a_wrong_setting_is_told_before_what_answers_requests_is_imported() -> None:
    (modules,) = imported(AS_USED, "serve", "--port", "70000")
    assert not modules & {"fastapi", "service.http.app", "service.page", "solver.planning"}
