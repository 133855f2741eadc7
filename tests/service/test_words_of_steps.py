"""The steps of a reservation have one word each, in its life, over HTTP and on the command line."""

from __future__ import annotations

from typing import get_args

from typer.main import get_command

from inventory.reservations import Step
from service.command_line.stock import app
from service.http.routes import reservations


def test_every_step_is_a_command_and_an_address() -> None:
    commands = set(get_command(app).commands)  # type: ignore[attr-defined]
    addresses = {route.path.rpartition("/")[2] for route in reservations.router.routes}  # type: ignore[attr-defined]
    steps = set(get_args(Step))
    assert steps <= addresses and {step.replace("_", "-") for step in steps} <= commands
    taken = {route.path.rpartition("/")[2] for route in reservations.router.routes if "{number}/" in route.path}  # type: ignore[attr-defined]
    assert taken <= steps
