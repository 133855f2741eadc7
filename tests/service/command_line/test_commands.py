"""The command line as a user meets it: exit codes, faults one a line, documents written, no control characters."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from service.documents import request_document, stock_document
from service.stockroom.stock_source import opened
from tests import builders as b
from tests.commands import holdwright
from tests.service.asked import DEMO_STOCK, asked
from tests.solver.checks import tab_job

HOLDWRIGHT = str(Path(sys.executable).parent / "holdwright")
Files = Callable[..., Path]


def run(*words: object, cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run a command by the console script where it starts a server or only helps, else in a process that is there sooner."""
    if words[0] not in ("serve", "--help"):
        return holdwright(*words, cwd=cwd)
    command = [HOLDWRIGHT, *map(str, words)]
    return subprocess.run(command, capture_output=True, text=True, timeout=120, check=False, cwd=cwd)


@pytest.fixture
def files(tmp_path: Path) -> Files:
    """Write documents by name and return their folder."""

    def write(**documents: Any) -> Path:
        for name, document in documents.items():
            text = document if isinstance(document, str) else json.dumps(document)
            (tmp_path / f"{name}.json").write_text(text, encoding="utf-8", errors="surrogateescape")
        return tmp_path

    return write


@pytest.fixture(scope="module")
def easy() -> dict[str, Any]:
    """One bar lying on the table, held the cheapest way there is."""
    one = b.weldment(b.bar(length=300), name="one bar")
    return request_document(b.request(one, 3, alternatives=1, time_limit_s=60))


def test_help_is_instant_and_loads_nothing_heavy() -> None:
    heavy = "numpy pydantic ortools fastapi sqlalchemy shapely"
    probe = f"import sys, service.command_line.main; print([name for name in '{heavy}'.split() if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", probe], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
    told = run("--help").stdout
    assert all(command in told for command in ("plan", "check", "serve", "demo", "rules", "schema"))


def test_an_infeasible_request_exits_1_and_writes_why(files: Files, easy: dict[str, Any]) -> None:
    bare = {**stock_document(tab_job.stock()), "stock": []}
    folder = files(request=easy, stock=bare)
    done = run("plan", folder / "request.json", "--stock", folder / "stock.json", "--out", folder / "plan.json")
    plan = json.loads((folder / "plan.json").read_text())
    assert (done.returncode, plan["status"], plan["alternatives"]) == (1, "infeasible", []), done.stderr
    assert "infeasible" in done.stdout


def test_a_sound_plan_checks_with_0_and_a_spoilt_one_with_1(files: Files) -> None:
    def cheaper(alternative: dict[str, Any]) -> None:
        alternative["cost"]["total_cents"] -= 1

    folder = files(
        request=request_document(tab_job.request()),
        stock=stock_document(tab_job.stock()),
        sound=tab_job.plan(),
        spoilt=tab_job.mutated(cheaper),
    )
    arguments = (folder / "request.json", "--stock", folder / "stock.json")
    sound = run("check", arguments[0], folder / "sound.json", *arguments[1:])
    assert (sound.returncode, "none failed" in sound.stdout) == (0, True), sound.stdout + sound.stderr
    spoilt = run("check", arguments[0], folder / "spoilt.json", *arguments[1:])
    assert (spoilt.returncode, "FAILED" in spoilt.stdout) == (1, True)
    told = json.loads(run("check", arguments[0], folder / "spoilt.json", *arguments[1:], "--json").stdout)
    assert told["ok"] is False
    assert [finding for finding in told["findings"] if not finding["ok"]]


@pytest.mark.parametrize("command", ["plan", "check"])
@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("", "not JSON"),
        ('{"quantity": NaN', "not JSON"),
        ("[1, 2]", "is not an object"),
        ("\udcff", "UTF-8"),
        ("[" * 100_000, "nested"),
    ],
    ids=["empty", "half", "list", "bytes", "deep"],
)
def test_an_unreadable_request_exits_2_with_the_reason(files: Files, command: str, content: str, says: str) -> None:
    folder = files(request=content, stock=stock_document(DEMO_STOCK), plan={})
    words = [command, folder / "request.json", *([folder / "plan.json"] if command == "check" else [])]
    done = run(*words, "--stock", folder / "stock.json")
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith(f"{folder / 'request.json'}")
    assert says in done.stderr
    assert "; accepted: " in done.stderr


def test_every_fault_is_on_a_line_of_its_own_with_place_and_remedy(files: Files) -> None:
    request = asked(quantity=0, tables=["T9"], seed="\x1b[31m", colour="red")
    request["weldment"]["parts"][0]["length"] = -1
    folder = files(request=request, stock=stock_document(DEMO_STOCK))
    done = run("plan", folder / "request.json", "--stock", folder / "stock.json", "--out", folder / "plan.json")
    assert done.returncode == 2
    assert not (folder / "plan.json").exists()
    lines = done.stderr.splitlines()
    for pointer in ("/quantity", "/tables/0", "/seed", "/colour", "/weldment/parts/0/length"):
        assert any(line.startswith(f"{folder / 'request.json'}#{pointer}: ") and "; accepted: " in line for line in lines), (
            pointer
        )
    assert "\x1b" not in done.stderr


def test_faults_of_the_stock_are_told_at_the_stock(files: Files, easy: dict[str, Any]) -> None:
    stock = stock_document(DEMO_STOCK)
    stock["stock"][0]["count"] = -1
    folder = files(request=easy, stock=stock)
    done = run("plan", folder / "request.json", "--stock", folder / "stock.json")
    assert done.returncode == 2
    assert f"{folder / 'stock.json'}#/stock/0/count: " in done.stderr


@pytest.mark.parametrize(
    "words",
    [
        ["plan", "request.json"],
        ["plan", "request.json", "--stock", "absent.json"],
        ["plan", "absent.json", "--stock", "stock.json"],
        ["plan", "request.json", "--stock", "stock.json", "--db", "sqlite:///x.sqlite3"],
        ["plan", "request.json", "--db", "mongodb://x"],
        ["plan", "request.json", "--stock", "stock.json", "--out", "no/such/folder/plan.json"],
        ["plan", "request.json", "--stock", "stock.json", "--out", "."],
        ["plan", "request.json", "--stock", "stock.json", "--workers", "0"],
        ["plan", "request.json", "--stock", "stock.json", "--workers", "65"],
        ["plan", "request.json", "--stock", "stock.json", "--workers", "two"],
        ["demo", "--workers", "-1"],
        ["check", "request.json", "absent.json", "--stock", "stock.json"],
        ["rules", "list", "nonsense"],
        ["rules", "explain", "nonsense"],
        ["schema", "nonsense"],
        ["demo", "nonsense"],
        ["serve", "--port", "70000"],
        ["serve", "--db", "sqlite:///no/such/folder/x.sqlite3", "--port", "0"],
        ["serve", "--host", "no.such.host.invalid", "--port", "0"],
        ["nonsense"],
    ],
    ids=" ".join,
)
def test_bad_words_exit_2_and_say_what_would_do(files: Files, easy: dict[str, Any], words: list[str]) -> None:
    folder = files(request=easy, stock=stock_document(DEMO_STOCK))
    done = run(*words, cwd=folder)
    assert done.returncode == 2, done.stdout + done.stderr
    assert done.stderr.strip()
    assert "Traceback" not in done.stderr


def test_any_number_of_workers_writes_the_same_plan(files: Files, easy: dict[str, Any]) -> None:
    folder = files(request=easy, stock=stock_document(b.shelf((b.stop(), 6), (b.down_clamp(), 2))))
    plans = []
    for words in ((), ("--workers", 1), ("--workers", 2)):
        done = run("plan", folder / "request.json", "--stock", folder / "stock.json", "--out", folder / "plan.json", *words)
        assert done.returncode == 0, done.stdout + done.stderr
        plans.append({**json.loads((folder / "plan.json").read_text()), "solve_s": 0})
    assert plans[0] == plans[1] == plans[2]


def test_the_cache_is_found_again_and_changes_nothing(
    files: Files, easy: dict[str, Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder, cache = files(request=easy, stock=stock_document(b.shelf((b.stop(), 6), (b.down_clamp(), 2)))), tmp_path / "cache"
    monkeypatch.setenv("HOLDWRIGHT_CACHE", str(cache))
    monkeypatch.setenv("HOLDWRIGHT_CACHE_MB", "10")
    plans = []
    for words, left in (("--no-cache", False), ("--cache", True), ("--cache", True)):
        done = run("plan", folder / "request.json", "--stock", folder / "stock.json", "--out", folder / "plan.json", words)
        assert done.returncode == 0, done.stdout + done.stderr
        assert bool(list(cache.rglob("*.npz"))) == left
        plans.append({**json.loads((folder / "plan.json").read_text()), "solve_s": 0})
    assert plans[0] == plans[1] == plans[2]


def test_rules_and_schemas_are_listed() -> None:
    told = json.loads(run("rules", "list", "clear", "--json").stdout)
    assert [rule["name"] for rule in told] == ["clear.weld", "clear.weld_locator", "clear.body", "clear.table_edge"]
    assert "clear.weld" in run("rules", "list", "clear").stdout
    (whole,) = json.loads(run("rules", "list", "clamp.per_length", "--json").stdout)
    assert (whole["default"], whole["relax_to"], whole["checked_as"]) == (600, 2000, ["clamp.per_length"])
    printed = " ".join(run("rules", "explain", "clamp.per_length").stdout.split())
    for said in (whole["meaning"], whole["source"], whole["remedy"], "relax to 2000", "50 to 20000 mm"):
        assert said in printed
    assert "locate.side_points" in run("rules", "list", "locate.side").stdout, "a rule without a number has a record too"
    assert json.loads(run("schema", "request").stdout)["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    listed = run("serve", "--settings")
    assert (listed.returncode, "HOLDWRIGHT_PORT" in listed.stdout) == (0, True)


def test_a_plan_from_a_file_and_one_from_a_store_are_the_same(files: Files, easy: dict[str, Any]) -> None:
    from inventory.store import Readers, open_store
    from service.documents import read_item, read_table
    from service.stockroom.first_stock import fill_if_empty

    shelf = b.shelf((b.stop(), 6), (b.down_clamp(), 2))
    folder = files(request=easy, stock=stock_document(shelf))
    url = f"sqlite:///{folder / 'shop.sqlite3'}"
    store = open_store(url, Readers(lambda d: read_item(dict(d)), lambda d: read_table(dict(d))))
    assert fill_if_empty(store, shelf)
    assert not fill_if_empty(store, shelf)
    store.close()
    answers = []
    for source in (["--stock", folder / "stock.json"], ["--db", url]):
        done = run("plan", folder / "request.json", *source, "--out", folder / "plan.json")
        plan = json.loads((folder / "plan.json").read_text())
        assert (done.returncode, plan["status"]) == (0, "optimal"), done.stdout + done.stderr
        assert plan["alternatives"][0]["title"] in done.stdout
        answers.append(plan["alternatives"])
        checked = run("check", folder / "request.json", folder / "plan.json", *source)
        assert checked.returncode == 0, checked.stdout
    assert answers[0] == answers[1]


@pytest.mark.usefixtures("interruptible")
def test_interrupt_writes_the_best_plan_so_far(files: Files) -> None:
    """Ctrl-C in a terminal goes to every process in the foreground: to the one that waits and to the one that solves."""
    folder = files(request=asked(time_limit_s=60), stock=stock_document(DEMO_STOCK))
    command = [HOLDWRIGHT, "plan", folder / "request.json", "--stock", folder / "stock.json", "--out", folder / "plan.json"]
    environment = {**os.environ, "TMPDIR": str(folder)}
    process = subprocess.Popen(
        list(map(str, command)), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=environment, start_new_session=True
    )
    ends = time.monotonic() + 60
    while not list(folder.glob("holdwright-*/job/progress.jsonl")) and time.monotonic() < ends:
        time.sleep(0.02)
    os.killpg(process.pid, signal.SIGINT)
    _, told = process.communicate(timeout=30)
    plan = json.loads((folder / "plan.json").read_text())
    assert plan["stopped_by"] in ("cancel", "proof") and plan["alternatives"], told
    assert process.returncode == 0
    assert b"Traceback" not in told


def test_a_plan_named_by_id_needs_a_store_that_knows_it(files: Files, easy: dict[str, Any]) -> None:
    folder = files(request={**easy, "keep": {"plan": "p1", "rank": 1}}, stock=stock_document(DEMO_STOCK))
    done = run("plan", folder / "request.json", "--stock", folder / "stock.json")
    assert (done.returncode, "#/keep: a stock file keeps no plans" in done.stderr) == (2, True)
    empty = f"sqlite:///{folder / 'empty.sqlite3'}"
    done = run("plan", folder / "request.json", "--db", empty)
    assert (done.returncode, "there is no store" in done.stderr, (folder / "empty.sqlite3").exists()) == (2, True, False)
    opened(empty).close()
    done = run("plan", folder / "request.json", "--db", empty)
    assert (done.returncode, "#/tables/0: " in done.stderr) == (2, True)
