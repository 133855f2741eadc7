"""`holdwright stock advice`: which few pieces to buy within a budget."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from inventory.errors import InvalidDocument
from service.command_line.arguments import budget_cents, expected_jobs
from service.command_line.console import BAD_INPUT, DONE, complain, print_json, print_table
from service.command_line.exit_code import read_from
from service.command_line.sources import existing_store
from service.documents.stockroom.advice import advice_document
from service.stockroom.advice import tasks_of, worked_out
from service.stockroom.stock_source import chosen_stock
from solver.advice import Task
from solver.planning import plan


def advise(words: Sequence[str], budget: str, seconds: float, stock: Path | None, db: str | None, json: bool) -> int:
    """Say what to buy for requests such as `post.json`, or `post.json@12`, twelve times; return the exit code."""
    jobs, limit = expected_jobs(words), budget_cents(budget)
    source = chosen_stock(None, existing_store(db)) if stock is None else chosen_stock(stock, None)
    with read_from(source):
        source.snapshot()
    tasks: list[Task] = []
    faulty = False
    for job in jobs:
        try:
            tasks += tasks_of([job], source, "")
        except InvalidDocument as bad:
            complain(job.name, bad.faults)
            faulty = True
    if faulty:
        return BAD_INPUT
    done = worked_out(plan, tuple(tasks), limit, seconds)
    document = advice_document(done.advice, done.tasks)
    if json:
        print_json(document)
    else:
        _say(document)
    return DONE


def _say(done: dict[str, Any]) -> None:
    rows = [
        [
            each["item"],
            each["count"],
            _money(each["price_cents"]),
            _money(each["saving_cents"]),
            each["pays_back_after"],
            each["lead_days"],
        ]
        for each in done["buy"]
    ]
    if rows:
        print_table(("buy", "pieces", "price each", "saving each", "paid back after times these runs", "lead days"), rows)
    else:
        print("nothing within this budget lowers the cost of these jobs")
    spent, limit, saved = (_money(done[key]) for key in ("spent_cents", "budget_cents", "saving_cents"))
    print(f"spend {spent} of {limit}, save {saved} over all runs")
    print()
    jobs = [
        [each["name"], each["times"], _money(each["now_cents"]), _money(each["then_cents"]), _buys(each["now_buys"])]
        for each in done["jobs"]
    ]
    print_table(("job", "times", "costs now", "then", "must buy for itself now"), jobs)
    if done["least_cents"] is not None:
        print(f"no purchase within the budget brings all jobs below {_money(done['least_cents'])} (proved)")
    if not done["complete"]:
        print("time was short: there may be better purchases; allow more with --time-limit")


def _money(amount: int | None) -> str:
    return "no plan found" if amount is None else f"{amount / 100:.2f}"


def _buys(lines: Sequence[dict[str, Any]]) -> str:
    return ", ".join(f"{line['count']} {line['item']}" for line in lines)
