"""Stock and reservations on the command line: what is done, said, and returned."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from service.command_line.main import app
from tests.service.http.shop import full_item
from tests.shelf import table_document

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run commands on a store with six risers and four stops."""
    monkeypatch.chdir(tmp_path)
    stock = [{"item": "riser-75", "count": 6, "bin": "A3"}, {"item": "stop-60", "count": 4, "out_of_service": 1}]
    document = {"tables": [table_document()], "items": [full_item("riser-75"), full_item("stop-60")], "stock": stock}
    Path("shop.json").write_text(json.dumps(document))

    def run(*words: str) -> Result:
        return CliRunner().invoke(app, list(words))

    assert run("stock", "import", "shop.json").output == "1 tables, 2 items, 2 counts written\n"
    return run


def day(after: int) -> str:
    return (date.today() + timedelta(days=after)).isoformat()


def listed(run: Run, item: str, *more: str) -> dict[str, int]:
    (line,) = json.loads(run("stock", "list", item, "--json", *more).stdout)["stock"]
    return {key: line[key] for key in ("count", "out_of_service", "reserved", "free")}


def test_a_store_is_not_made_by_looking_for_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(app, ["stock", "list"])
    assert (done.exit_code, "there is no store" in done.stderr, list(tmp_path.iterdir())) == (2, True, [])


def test_the_list(run: Run) -> None:
    assert run("stock", "list").stdout.splitlines() == [
        "item      name         bin  count  out of service  reserved  free",
        "riser-75  riser 75 mm  A3       6               0         0     6",
        "stop-60   stop 60 mm            4               1         0     3",
    ]


def test_counting(run: Run) -> None:
    assert run("stock", "receive", "riser-75", "2", "--who", "storekeeper").exit_code == 0
    assert run("stock", "break", "riser-75", "3").exit_code == 0
    assert run("stock", "repair", "riser-75", "1").exit_code == 0
    assert run("stock", "scrap", "riser-75", "1").exit_code == 0
    assert listed(run, "riser") == {"count": 7, "out_of_service": 1, "reserved": 0, "free": 6}
    assert run("stock", "count", "riser-75", "5", "--out-of-service", "0", "--bin", "B1").stdout == (
        "riser 75 mm: 5 counted, 0 out of service, bin B1\n"
    )
    kinds = [entry["kind"] for entry in json.loads(run("stock", "journal", "riser-75", "--json").stdout)]
    assert kinds == ["count", "scrap", "repair", "break", "receive", "count"]
    refused = run("stock", "scrap", "riser-75", "1")
    assert (refused.exit_code, "out of service" in refused.stderr) == (1, True)
    assert run("stock", "receive", "riser-99", "1").exit_code == 2


def test_reserving_by_item_and_the_whole_way_back(run: Run) -> None:
    made = run("reserve", "--item", "riser-75=4", "--job", "posts", "--from", "today", "--to", "+2")
    assert made.stdout == f"reservation 1 (posts): reserved, {day(0)}..{day(2)}, 4 riser-75\n"
    assert listed(run, "riser", "--from", "+1")["free"] == 2
    short = run("reserve", "--item", "riser-75=3", "--item", "stop-60=4", "--job", "frames", "--from", "+1")
    assert short.exit_code == 1
    assert [line.split(" from")[0] for line in short.stderr.splitlines()] == [
        "riser 75 mm: 3 needed, 2 free",
        "stop 60 mm: 4 needed, 3 free",
    ]
    assert run("take-back", "1").exit_code == 1
    assert run("stock", "hand-out", "1").exit_code == 0
    part = run("take-back", "1", "--broken", "riser-75=1", "--whole", "riser-75=1")
    assert part.stdout.endswith("outstanding: 2 riser-75\n")
    assert run("take-back", "1", "--missing", "riser-75=1", "--rest").stdout.startswith("reservation 1 (posts): returned")
    assert listed(run, "riser") == {"count": 5, "out_of_service": 1, "reserved": 0, "free": 4}
    assert run("take-back", "1").exit_code == 1


def test_reserving_a_plans_kit(run: Run) -> None:
    plan = json.loads((Path(__file__).parent / "plan.json").read_text())
    kit = [{"item": "riser-75", "count": 2, "bin": "A3"}]
    plan["alternatives"][0]["kit"] = kit
    Path("post.json").write_text(json.dumps(plan))
    made = run("reserve", "post.json", "--from", "+1")
    assert (made.exit_code, made.stdout) == (0, f"reservation 1 (post): reserved, {day(1)}..{day(1)}, 2 riser-75\n"), made.stderr
    assert run("stock", "release", "1").exit_code == 0
    broken = run("stock", "break", "riser-75", "5")
    assert "needs 2, 1 free" in broken.stderr
    assert run("stock", "hits").exit_code == 1
    assert run("reserve", "post.json", "--rank", "7", "--from", "+1").exit_code == 2


def test_moving_proposing_expiring(run: Run) -> None:
    run("reserve", "--item", "riser-75=4", "--job", "posts", "--from", "+1", "--to", "+2")
    assert run("stock", "move", "1", "--from", "+5").stdout.startswith(f"reservation 1 (posts): reserved, {day(5)}..{day(6)}")
    run("reserve", "--propose", "--item", "riser-75=4", "--job", "frames", "--from", "+5")
    assert run("stock", "confirm", "2").exit_code == 1
    assert run("stock", "release", "1").exit_code == 0
    assert run("stock", "confirm", "2").exit_code == 0
    assert run("stock", "expire").stdout == "no reservation is overdue\n"
    states = [each["state"] for each in json.loads(run("stock", "reservations", "--json").stdout)]
    assert states == ["released", "reserved"]
    assert run("stock", "reservations", "--state", "reserved").stdout.count("\n") == 2
    assert run("stock", "reservations", "--state", "lost").exit_code == 2


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("reserve", "--item", "riser-75", "--job", "x", "--from", "+1"), "'riser-75' is not ITEM=PIECES"),
        (("reserve", "--item", "riser-75=1", "--job", "x"), "no day is named"),
        (("reserve", "--item", "riser-75=1", "--job", "x", "--from", "thursday"), "'thursday' is not a day"),
        (("reserve", "--item", "riser-75=1", "--from", "+1"), "no job is named"),
        (("reserve", "--job", "x", "--from", "+1"), "names no pieces"),
        (("take-back", "9"), "there is no reservation 9"),
        (("stock", "receive", "riser-75", "0"), "0 pieces"),
        (("stock", "list", "--db", "mysql://x/y"), "no database a store can live in"),
        (("stock", "import", "nothing.csv"), "nothing.csv"),
    ],
)
def test_bad_input_says_what_would_be_accepted(run: Run, words: tuple[str, ...], says: str) -> None:
    done = run(*words)
    assert (done.exit_code, says in done.stderr) == (2, True), done.stderr


def test_a_list_out_edited_and_in_again(run: Run) -> None:
    assert run("stock", "export", "--semicolons", "--out", "stock.csv").exit_code == 0
    text = Path("stock.csv").read_text(encoding="utf-8-sig")
    Path("stock.csv").write_text(text.replace(";A3;6;0;", ";A4;7,0;0;"), encoding="utf-8-sig")
    dry = run("stock", "import", "stock.csv", "--dry-run")
    assert dry.stdout == "row 2, riser-75: count 6 -> 7, bin A3 -> A4\n2 rows read, 1 would change; nothing was written\n"
    assert listed(run, "riser")["count"] == 6
    assert run("stock", "import", "stock.csv").stdout.endswith("2 rows read, 1 changed\n")
    assert listed(run, "riser")["count"] == 7


def test_every_fault_of_a_list_by_row_and_column(run: Run) -> None:
    Path("stock.csv").write_text("item,count\nriser-75,seven\nnone,1\n")
    done = run("stock", "import", "stock.csv")
    assert done.exit_code == 2
    assert [line.split(";")[0] for line in done.stderr.splitlines()] == [
        "row 2, count: 'seven' is not a number",
        "row 3, item: there is no item 'none'",
    ]


def test_a_stock_document_with_rows_is_no_list(run: Run) -> None:
    Path("rows.json").write_text('{"rows": []}')
    done = run("stock", "import", "rows.json")
    assert (done.exit_code, done.stderr.startswith("rows.json#/rows: there is no field 'rows' here")) == (2, True), done.stderr


def test_looking_for_advice_makes_no_store(run: Run) -> None:
    Path("bare.json").write_text("{}")
    done = run("stock", "advice", "bare.json", "--budget", "1", "--db", "sqlite:///none.sqlite3")
    assert (done.exit_code, "there is no store" in done.stderr, Path("none.sqlite3").exists()) == (2, True, False)


def test_a_stock_document_does_not_overwrite_a_store(run: Run) -> None:
    again = run("stock", "import", "shop.json")
    assert (again.exit_code, "holds items or tables already" in again.stderr) == (2, True)
    assert run("stock", "import", "shop.json", "--dry-run").exit_code == 0


def test_advice_says_what_it_cannot_read(run: Run) -> None:
    Path("bad.json").write_text("{}")
    for words, says in (
        (("nothing.json", "--budget", "1"), "nothing.json"),
        (("bad.json@12", "--budget", "many"), "'many' is not a number"),
        (("bad.json@12", "--budget", "1"), "bad#/weldment"),
        (("bad.json", "--budget", "1", "--stock", "none.json"), "none.json"),
    ):
        done = run("stock", "advice", *words)
        assert (done.exit_code, says in done.stderr) == (2, True), done.stderr
