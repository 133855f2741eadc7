"""A planned week in words: who stands where and when, the price, what was left over and what would help."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from service.command_line.printing.console import print_table, print_wrapped
from service.text import money, printable
from service.text_table import Column


def print_week(week: Mapping[str, Any], currency: str) -> None:
    """Print a ``holdwright.week-plan/1`` document."""
    unit = f", {currency}" if currency else ""
    rows = [
        [
            printable(each["job"]), printable(each["name"]), each["table"], each["rank"],
            each["days"]["from"], each["days"]["to"],
            _late(each["days_late"]), _set(each), money(each["cost"]["total_cents"]),
        ]
        for each in sorted(week["assignments"], key=lambda each: (each["table"], each["days"]["from"], each["job"]))
    ]  # fmt: skip
    columns: list[Column | str] = [
        "job", Column("name", wraps=True), "table", Column("rank", right=True), "from", "to", "late",
        Column("set-up", wraps=True),
        Column(f"costs{unit}", right=True),
    ]  # fmt: skip
    print_table(columns, rows, "no job finds a place in this week")
    print()
    cost = week["cost"]
    print(", ".join(f"{name} {money(cost[key])}" for name, key in _LINES if cost[key]) or "nothing to pay")
    print(f"total {money(cost['total_cents'], currency)}: {_proved(week, currency)}")
    for each in week["left_over"]:
        print()
        print_wrapped(f"left over: {printable(each['job'])} {printable(each['name'])}")
        for why in each["because"]:
            print_wrapped(f"because {why['text']}", "  ")
        for help in each["would_help"]:
            print_wrapped(f"would help: {_help(help, currency)}", "  ")
        if not each["would_help"]:
            print_wrapped("no single purchase, earlier release or further table lets it in with all others where they are", "  ")


_LINES = (
    ("setting up", "setup_cents"), ("cycles", "cycle_cents"), ("tie-up", "tie_up_cents"), ("pieces bought", "shortage_cents"),
    ("weights", "weights_cents"), ("lateness", "late_cents"), ("left over", "left_over_cents"),
)  # fmt: skip


def _late(days: int) -> str:
    return "" if days == 0 else "1 day" if days == 1 else f"{days} days"


def _set(each: Mapping[str, Any]) -> str:
    if each["stays_after"] is not None:
        return f"stays from {printable(each['stays_after'])}"
    seat = each["seat"]
    moves = [f"{seat[axis]:+d} {axis}" for axis in ("columns", "rows") if seat[axis]]
    return f"shifted {', '.join(moves)}" if moves else ""


def _proved(week: Mapping[str, Any], currency: str) -> str:
    if week["status"] == "optimal":
        return "no week is better (proved)"
    fewer = "" if week["fewest_left_over"] else "; fewer left over may be possible"
    return f"none costs less than {money(week['cost_bound_cents'], currency)}, {week['gap']:.1%} less (proved){fewer}"


def _help(help: Mapping[str, Any], currency: str) -> str:
    days = f"{help['days']['from']} to {help['days']['to']} on {help['table']} with rank {help['rank']}"
    if help["do"] == "buy":
        return f"buy {_bought(help['buy'])} for {money(help['price_cents'], currency)}: done {days}"
    if help["do"] == "release":
        return f"release it on {help['release']}: done {days}"
    return f"one more table like {help['table']}: done {help['days']['from']} to {help['days']['to']} with rank {help['rank']}"


def _bought(lines: Sequence[Mapping[str, Any]]) -> str:
    return ", ".join(f"{line['count']} {line['item']}" for line in lines)
