"""Every setting of the service: name, default, unit, range, meaning; read from the environment, all faults at once."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, fields

from inventory.errors import Fault, refuse

PREFIX = "HOLDWRIGHT_"


@dataclass(frozen=True, slots=True)
class Knob:
    """One setting: its default, unit, legal range (both ends included; None for texts) and meaning."""

    name: str
    default: int | float | str
    unit: str
    low: float | None
    high: float | None
    meaning: str

    @property
    def variable(self) -> str:
        """The environment variable that sets it."""
        return PREFIX + self.name.upper()


KNOBS: tuple[Knob, ...] = (
    Knob("host", "127.0.0.1", "", None, None, "address to listen on; the default is reachable from this machine only"),
    Knob("port", 8765, "", 0, 65535, "port to listen on; 0 takes a free one"),
    Knob(
        "hosts",
        "localhost 127.0.0.1 [::1]",
        "",
        None,
        None,
        "Host headers answered, separated by blanks, besides `host`; * answers any",
    ),
    Knob("db", "sqlite:///holdwright.sqlite3", "", None, None, "store with tables, items, stock and plans, as an SQLAlchemy URL"),
    Knob("workers", 2, "processes", 1, 64, "solves that run at the same time"),
    Knob("queue", 100, "jobs", 1, 10000, "jobs that may wait for a worker; more are refused with 503"),
    Knob("time_limit", 300, "s", 1, 3600, "longest `time_limit_s` a request may ask for"),
    Knob("grace", 2, "s", 0.1, 60, "a solve is ended this long after its time limit, or after a cancel it does not follow"),
    Knob("check_limit", 60, "s", 1, 3600, "longest a re-check of a plan may take"),
    Knob("wait", 30, "s", 0, 600, "longest a request may be held open by `Prefer: wait`"),
    Knob("body", 1_000_000, "bytes", 1000, 100_000_000, "largest body of one request"),
    Knob("body_time", 30, "s", 1, 600, "longest a body may take to arrive"),
    Knob("lease", 10, "s", 1, 600, "a job whose server has not been heard of for this long is taken up by another"),
    Knob("attempts", 2, "runs", 1, 10, "how often a job is started before its server's deaths count as its failure"),
    Knob("key_hours", 24, "h", 1, 8760, "how long an Idempotency-Key is remembered"),
    Knob("event_streams", 64, "streams", 1, 10000, "progress streams open at the same time; more are refused with 503"),
)


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings in force; a field a knob, in the knob's unit."""

    host: str = "127.0.0.1"
    port: int = 8765
    hosts: str = "localhost 127.0.0.1 [::1]"
    db: str = "sqlite:///holdwright.sqlite3"
    workers: int = 2
    queue: int = 100
    time_limit: float = 300
    grace: float = 2
    check_limit: float = 60
    wait: float = 30
    body: int = 1_000_000
    body_time: float = 30
    lease: float = 10
    attempts: int = 2
    key_hours: float = 24
    event_streams: int = 64

    @classmethod
    def read(cls, environment: Mapping[str, str] = os.environ, **given: str | int | float | None) -> Settings:
        """Return the settings of the environment, overridden by what is given and not None.

        Raises
        ------
        InvalidDocument
            With every setting that is unknown, unreadable or out of range; pointers name environment variables.
        """
        faults = [
            Fault(f"/{name}", "there is no such setting", "one of " + ", ".join(knob.variable for knob in KNOBS))
            for name in environment
            if name.startswith(PREFIX) and name not in {knob.variable for knob in KNOBS}
        ]
        values: dict[str, str | int | float] = {}
        for knob in KNOBS:
            raw = given.get(knob.name)
            raw = environment.get(knob.variable) if raw is None else raw
            if raw is None:
                continue
            value = _value(knob, raw)
            if isinstance(value, Fault):
                faults.append(value)
            else:
                values[knob.name] = value
        refuse(faults)
        return cls(**values)  # type: ignore[arg-type]


def _value(knob: Knob, raw: str | int | float) -> str | int | float | Fault:
    if knob.low is None or knob.high is None:
        return str(raw) if str(raw).strip() else Fault(f"/{knob.variable}", "is empty", knob.meaning)
    whole = isinstance(knob.default, int) and _TYPES[knob.name] == "int"
    accepted = f"{'a whole number' if whole else 'a number'}, {knob.low:,g} to {knob.high:,g} {knob.unit}".rstrip()
    try:
        number = int(raw) if whole else float(raw)
    except ValueError:
        return Fault(f"/{knob.variable}", f"{raw!r} is not a number", accepted)
    if not knob.low <= number <= knob.high:
        return Fault(f"/{knob.variable}", f"{number:,g} is out of range", accepted)
    return number


_TYPES = {field.name: str(field.type) for field in fields(Settings)}
