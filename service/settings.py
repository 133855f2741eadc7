"""Every setting of the service, with default, unit, range and meaning; read from the environment, all faults at once."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import TypeVar

from inventory.errors import Fault, refuse

PREFIX = "HOLDWRIGHT_"
Number = TypeVar("Number", int, float)


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting: its default, unit, legal range (both ends included; None for texts), meaning, and its words if it has some."""

    name: str
    default: int | float | str
    unit: str
    low: float | None
    high: float | None
    meaning: str
    words: tuple[str, ...] = ()

    @property
    def variable(self) -> str:
        """The environment variable that sets it."""
        return PREFIX + self.name.upper()


def _text(default: str, meaning: str, *words: str) -> str:
    return field(default=default, metadata={"unit": "", "low": None, "high": None, "meaning": meaning, "words": words})


def _number(default: Number, unit: str, low: float, high: float, meaning: str) -> Number:
    return field(default=default, metadata={"unit": unit, "low": low, "high": high, "meaning": meaning})


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings in force, each in its unit; the declarations say what each is for and how far it goes."""

    host: str = _text("127.0.0.1", "address to listen on; the default is reachable from this machine only")
    port: int = _number(8765, "", 0, 65535, "port to listen on; 0 takes a free one")
    hosts: str = _text("localhost 127.0.0.1 [::1]", "Host headers answered, separated by blanks, besides `host`; * answers any")
    db: str = _text("sqlite:///holdwright.sqlite3", "store with tables, items, stock and plans, as an SQLAlchemy URL")
    runner: str = _text(
        "embedded", "who solves: `embedded`, this server; `queue`, `holdwright worker` (PostgreSQL)", "embedded", "queue"
    )
    workers: int = _number(2, "processes", 1, 64, "solves that run at the same time")
    queue: int = _number(100, "jobs", 1, 10000, "jobs that may wait for a worker; more are refused with 503")
    time_limit: float = _number(300, "s", 1, 3600, "longest `time_limit_s` a request may ask for")
    grace: float = _number(0.5, "s", 0.1, 60, "a solve that was cancelled and does not stop is ended this long after")
    check_limit: float = _number(60, "s", 1, 3600, "longest a re-check or a drawing of a plan may take")
    wait: float = _number(30, "s", 0, 600, "longest a request may be held open by `Prefer: wait`")
    body: int = _number(1_000_000, "bytes", 1000, 100_000_000, "largest body of one request")
    read_file_mb: int = _number(20, "MB", 1, 1000, "largest file that a weldment is read from")
    read_file_time: float = _number(20, "s", 0.1, 600, "longest the reading of one file may take")
    read_file_memory: int = _number(1500, "MB", 100, 100_000, "most memory the reading of one file may take, libraries apart")
    read_files: int = _number(2, "files", 1, 64, "files read at the same time; as many again may wait, more are refused with 503")
    body_time: float = _number(30, "s", 1, 600, "longest a body may take to arrive")
    lease: float = _number(10, "s", 1, 600, "a job whose server or worker is not heard of for this long is taken up by another")
    attempts: int = _number(2, "runs", 1, 10, "how often a job is started before the deaths of who runs it count as its failure")
    key_hours: float = _number(24, "h", 1, 8760, "how long an Idempotency-Key is remembered")
    keep_jobs_days: float = _number(
        90, "days", 0, 36500, "how long ended jobs and plans are kept that nothing refers to; 0 = for ever"
    )
    keep_events_days: float = _number(7, "days", 0, 36500, "how long the progress events of ended jobs are kept; 0 = for ever")
    keep_deliveries_days: float = _number(
        30, "days", 0, 36500, "how long delivered and dead messages to webhooks are kept; 0 = for ever"
    )
    keep_measured_days: float = _number(
        1095, "days", 0, 36500, "how long measured times of setups and cycles are kept; 0 = for ever"
    )
    keep_writes_days: float = _number(400, "days", 0, 36500, "how long the journal of writes is kept; 0 = for ever")
    webhook_private: int = _number(0, "", 0, 1, "1: webhooks may have private addresses and plain http")
    webhook_timeout: float = _number(15, "s", 1, 60, "longest a webhook's receiver may take to answer")
    currency: str = _text("", "currency amounts are shown with: a word such as EUR or kr, or a sign such as $; none if empty")
    cache: str = _text("", "folder for what a solve leaves to the next; the user's own cache folder if empty")
    cache_mb: int = _number(500, "MB", 0, 100_000, "most of that on disk; with 0 nothing is kept there")
    rate: int = _number(1200, "requests/min", 1, 100_000, "requests one key may make; more are refused with 429")
    rate_open: int = _number(300, "requests/min", 1, 100_000, "requests one address may make without a key, once keys are needed")
    jobs_per_key: int = _number(50, "jobs", 1, 10000, "jobs of one key that may wait or run; more are refused with 429")
    sign_in_hours: float = _number(12, "h", 0.01, 720, "how long a browser stays signed in")
    sign_in_failures: int = _number(10, "tries/min", 1, 1000, "failed sign-ins of one address before it has to wait")
    https: int = _number(
        0, "", 0, 1, "1: browsers reach it by https, through a gateway; sign-in cookies are sent by nothing else"
    )
    event_streams: int = _number(64, "streams", 1, 10000, "progress streams open at the same time; more are refused with 503")
    connections: int = _number(
        500, "connections", 10, 100_000, "connections open at the same time; idle ones make room for new ones"
    )
    header: int = _number(32_768, "bytes", 1024, 1_000_000, "largest header of one request")
    header_time: float = _number(10, "s", 0.1, 600, "longest a header may take to arrive")
    idle_time: float = _number(20, "s", 1, 3600, "a connection on which nothing is asked is closed this long after")
    body_pause: float = _number(10, "s", 0.1, 600, "longest pause in a body, or of a caller who does not take the answer")
    bodies_mb: int = _number(100, "MB", 1, 100_000, "bodies of all requests that are not answered yet; more are refused with 503")
    stop_time: float = _number(5, "s", 1, 600, "what is under way when the server is told to stop has so long to end")
    log: str = _text("", "log as `text` for people or `json`, a document a line; if empty, text on a terminal", "text", "json")
    log_requests: str = _text("errors", "requests that have a line in the log: those that met a mistake, or all", "errors", "all")
    traces: str = _text("", "address of an OpenTelemetry collector, as http://host:4318; the usual OTEL_ variables do as well")

    @classmethod
    def read(cls, environment: Mapping[str, str] = os.environ, **given: str | int | float | None) -> Settings:
        """Return the settings of the environment, overridden by what is given and not None.

        Raises
        ------
        InvalidDocument
            With every setting that is unknown, unreadable or out of range; pointers name environment variables.
        """
        faults = [
            Fault(f"/{name}", "there is no such setting", "one of " + ", ".join(setting.variable for setting in SETTINGS))
            for name in environment
            if name.startswith(PREFIX) and name not in {setting.variable for setting in SETTINGS}
        ]
        values: dict[str, str | int | float] = {}
        for setting in SETTINGS:
            raw = given.get(setting.name)
            raw = environment.get(setting.variable) if raw is None else raw
            if raw is None:
                continue
            value = _value(setting, raw)
            if isinstance(value, Fault):
                faults.append(value)
            else:
                values[setting.name] = value
        refuse(faults)
        return cls(**values)  # type: ignore[arg-type]


def _value(setting: Setting, raw: str | int | float) -> str | int | float | Fault:
    return _text_value(setting, str(raw).strip()) if setting.low is None or setting.high is None else _number_value(setting, raw)


def _text_value(setting: Setting, text: str) -> str | Fault:
    if not text and setting.default:
        return Fault(f"/{setting.variable}", "is empty", setting.meaning)
    if text and setting.words and text not in setting.words:
        return Fault(f"/{setting.variable}", f"{text[:100]!r} is not known", " or ".join(setting.words))
    # The text is not repeated: an URL may have a password.
    hidden = next((character for character in text if not character.isprintable()), None)
    if hidden is not None:
        return Fault(f"/{setting.variable}", f"has the character U+{ord(hidden):04X}, which cannot be shown", setting.meaning)
    return text


def _number_value(setting: Setting, raw: str | int | float) -> int | float | Fault:
    assert setting.low is not None and setting.high is not None
    whole = _TYPES[setting.name] == "int"
    accepted = f"{'a whole number' if whole else 'a number'}, {setting.low:,g} to {setting.high:,g} {setting.unit}".rstrip()
    try:
        number = int(raw) if whole else float(raw)
    except ValueError:
        return Fault(f"/{setting.variable}", f"{raw!r} is not a number", accepted)
    if not setting.low <= number <= setting.high:
        return Fault(f"/{setting.variable}", f"{number:,g} is out of range", accepted)
    return number


_TYPES = {declared.name: str(declared.type) for declared in fields(Settings)}
_DEFAULTS = Settings()
SETTINGS: tuple[Setting, ...] = tuple(
    Setting(declared.name, getattr(_DEFAULTS, declared.name), **declared.metadata) for declared in fields(Settings)
)
"""Every setting, in the order of their declarations."""
