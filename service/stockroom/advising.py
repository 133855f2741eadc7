"""What should we buy: requests and a budget in, the pieces worth buying out."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from inventory.errors import Fault, InvalidDocument
from inventory.stock import StockSnapshot
from service.command_line import stock_console
from service.exchange.cells import Unreadable, cents
from service.stockroom.stock_source import StockSource, chosen_stock
from solver.advice import Advice, Task, advise
from solver.deadline import Deadline
from solver.plans import Plan
from solver.request import Request

MOST_REQUESTS, MOST_TIMES = 100, 1_000_000


@dataclass(frozen=True, slots=True)
class Wished:
    """One request document, its name, and how often it comes."""

    name: str
    document: bytes | dict[str, Any]
    times: int


def tasks_of(wished: Sequence[Wished], stock: StockSource, pointer: str = "/requests/{}/request") -> list[Task]:
    """Return the jobs with the stock of their own days; raises InvalidDocument with every fault of every request.

    Faults are told under `pointer`, with the request's place in the list.
    """
    from service.documents import read_request

    tasks: list[Task] = []
    faults: list[Fault] = []
    whole = stock.snapshot()
    for index, each in enumerate(wished):
        try:
            request, _ = read_request(each.document, whole)
        except InvalidDocument as bad:
            faults += [fault.under(pointer.format(index)) for fault in bad.faults]
            continue
        days: tuple[date, date] | None = request.needed
        tasks.append(Task(each.name, request, stock.snapshot(days) if days else whole, each.times))
    if faults:
        raise InvalidDocument(faults)
    return tasks


def advised(tasks: Sequence[Task], budget_cents: int, seconds: float) -> dict[str, Any]:
    """Return the advice as plain JSON values, worked out in this process within so many seconds."""
    from solver.planning import plan

    deadline = Deadline.on(time.monotonic, seconds)
    # No single plan may take the time of all others: each job is planned several times over.
    slice_s = max(2.0, seconds / (4 * len(tasks)))

    def planned(request: Request, stock: StockSnapshot, *, deadline: Deadline) -> Plan:
        return plan(request, stock, deadline=deadline.within(min(request.time_limit_s, slice_s)))

    return advice_document(advise(tasks, budget_cents, planner=planned, deadline=deadline), tasks)


def advice_document(advice: Advice, tasks: Sequence[Task]) -> dict[str, Any]:
    """Return advice as plain JSON values."""
    items = {id: item for task in tasks for id, item in task.stock.items.items()}
    return {
        "budget_cents": advice.budget_cents,
        "spent_cents": advice.spent_cents,
        "saving_cents": advice.saving_cents,
        "buy": [
            {
                "item": line.item,
                "name": items[line.item].name,
                "count": line.count,
                "price_cents": line.price_cents,
                "saving_cents": line.saving_cents,
                "pays_back_after": math.ceil(line.price_cents / line.saving_cents),
                "lead_days": items[line.item].lead_days,
            }
            for line in advice.lines
        ],
        "jobs": [
            {
                "name": each.name,
                "times": each.times,
                "now_cents": each.now_cents,
                "then_cents": each.then_cents,
                "now_buys": [{"item": item, "count": count} for item, count in sorted(each.now_buys.items())],
            }
            for each in advice.tasks
        ],
        "least_cents": advice.least_cents,
        "plans_made": advice.plans_made,
        "complete": advice.complete,
    }


def told(words: Sequence[str], budget: str, seconds: float, stock: Path | None, db: str | None, json: bool) -> int:
    """Say on the command line what to buy for requests such as `post.json` or `post.json@12`, twelve times."""
    from service.command_line.console import complain
    from service.settings import Settings

    wished, limit = _wished(words), _budget(budget)
    source = chosen_stock(stock, None) if stock is not None else chosen_stock(None, Settings.read(db=db).db)
    if stock is None:
        stock_console.refuse_missing(Settings.read(db=db).db)
    try:
        source.snapshot()
    except InvalidDocument as bad:
        return complain(source, bad.faults)
    tasks, code = [], 0
    for each in wished:
        try:
            tasks += tasks_of([each], source, "")
        except InvalidDocument as bad:
            code = complain(each.name, bad.faults)
    if code:
        return code
    done = advised(tasks, limit, seconds)
    if json:
        stock_console.as_json(done)
        return 0
    _say(done)
    return 0


def _wished(words: Sequence[str]) -> list[Wished]:
    from service.command_line.console import read_input

    found = []
    for word in words:
        name, sign, times = word.rpartition("@")
        counted = bool(sign) and times.isascii() and times.isdecimal() and 0 < int(times) <= MOST_TIMES
        path = Path(name if counted else word)
        try:
            found.append(Wished(path.stem, read_input(path), int(times) if counted else 1))
        except InvalidDocument as bad:
            raise InvalidDocument([Fault(f"/{path}", fault.wrong, fault.accepted) for fault in bad.faults]) from None
    return found


def _budget(text: str) -> int:
    try:
        limit = cents(text)
    except Unreadable as error:
        raise InvalidDocument([Fault("/budget", f"{text!r} {error}", "an amount such as 250 or 99.50")]) from None
    if not 0 <= limit <= 1_000_000_000:
        raise InvalidDocument([Fault("/budget", f"{text} is out of range", "0 to 10000000")])
    return limit


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
        stock_console.table(("buy", "pieces", "price each", "saving each", "paid back after times these runs", "lead days"), rows)
    else:
        print("nothing within this budget lowers the cost of these jobs")
    spent, limit, saved = (_money(done[key]) for key in ("spent_cents", "budget_cents", "saving_cents"))
    print(f"spend {spent} of {limit}, save {saved} over all runs")
    print()
    jobs = [
        [each["name"], each["times"], _money(each["now_cents"]), _money(each["then_cents"]), _buys(each["now_buys"])]
        for each in done["jobs"]
    ]
    stock_console.table(("job", "times", "costs now", "then", "must buy for itself now"), jobs)
    if done["least_cents"] is not None:
        print(f"no purchase within the budget brings all jobs below {_money(done['least_cents'])} (proved)")
    if not done["complete"]:
        print("time was short: there may be better purchases; allow more with --time-limit")


def _money(amount: int | None) -> str:
    return "no plan found" if amount is None else f"{amount / 100:.2f}"


def _buys(lines: Sequence[dict[str, Any]]) -> str:
    return ", ".join(f"{line['count']} {line['item']}" for line in lines)
