"""`holdwright stock advice`: which few pieces to buy within a budget."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from inventory.errors import InvalidDocument
from service.command_line.arguments import budget_cents, expected_jobs
from service.command_line.exit_code import read_from
from service.command_line.printing.console import BAD_INPUT, DONE, complain, print_json, print_table
from service.command_line.sources import existing_store, request_in_full
from service.documents.stockroom.advice import advice_document
from service.settings import Settings
from service.stockroom.advice import tasks_of, worked_out
from service.stockroom.stock_source import chosen_stock
from service.text import money
from service.text_table import Column
from solver.advice import Task
from solver.planning import plan


def advise(words: Sequence[str], budget: str, seconds: float, stock: Path | None, db: str | None, json: bool) -> int:
    """Say what to buy for requests such as `post.json`, or `post.json@12`, twelve times; return the exit code."""
    with read_from("settings"):
        currency = Settings.read().currency
    jobs, limit = expected_jobs(words), budget_cents(budget)
    source = chosen_stock(None, existing_store(db)) if stock is None else chosen_stock(stock, None)
    with read_from(source):
        source.snapshot()
    tasks: list[Task] = []
    faulty = False
    for job in jobs:
        try:
            tasks += tasks_of([replace(job, document=request_in_full(source, job.document))], source, "")
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
        _say(document, currency)
    return DONE


def _say(done: dict[str, Any], currency: str) -> None:
    unit = f", {currency}" if currency else ""
    priced = [Column(f"{what}{unit}", right=True) for what in ("price each", "saving each")]
    rows = [
        [
            each["item"],
            each["count"],
            money(each["price_cents"]),
            money(each["saving_cents"]),
            each["pays_back_after"],
            each["lead_days"],
        ]
        for each in done["buy"]
    ]
    columns: list[Column | str] = ["buy", "pieces", *priced, "pays back after runs", "lead days"]
    print_table(columns, rows, "nothing within this budget lowers the cost of these jobs")
    spent, limit, saved = (money(done[key], currency) for key in ("spent_cents", "budget_cents", "saving_cents"))
    print(f"spend {spent} of {limit}, save {saved} over all runs")
    print()
    jobs = [
        [each["name"], each["times"], _planned(each["now_cents"]), _planned(each["then_cents"]), _buys(each["now_buys"])]
        for each in done["jobs"]
    ]
    priced = [Column(f"{what}{unit}", right=True) for what in ("costs now", "then")]
    print_table([Column("job", wraps=True), "times", *priced, Column("must buy for itself now", wraps=True)], jobs, "no jobs")
    if done["least_cents"] is not None:
        print(f"no purchase within the budget brings all jobs below {money(done['least_cents'], currency)} (proved)")
    if not done["complete"]:
        print("time was short: there may be better purchases; allow more with --time-limit")


def _planned(amount: int | None) -> str:
    return "no plan found" if amount is None else money(amount)


def _buys(lines: Sequence[dict[str, Any]]) -> str:
    return ", ".join(f"{line['count']} {line['item']}" for line in lines)
