"""How the log is written: on standard error, text for people or a JSON document a line, the same in every process."""

from __future__ import annotations

import logging
import re
import sys
from contextlib import nullcontext
from typing import Any, TextIO

import structlog
from structlog.stdlib import ProcessorFormatter
from structlog.typing import EventDict, Processor

from service.logs.about import at_hand
from service.logs.form import LogForm, remember
from service.logs.repeats import RepeatedLines
from service.text import printable

LONGEST = 16_000
"""A line is cut after so many characters: a traceback through a large document is not worth more."""
_CHATTY = ("alembic", "ezdxf", "procrastinate", "httpx", "opentelemetry")
_PASSWORD = re.compile(r"(\w://[^\s:/@'\"]*):[^\s@'\"]*@")
_QUERY_PASSWORD = re.compile(r"([?&\s](?:ssl)?password=)[^\s&'\"]+", re.IGNORECASE)
_HEADER = re.compile(
    r"\b((?:proxy-)?authorization|(?:set-)?cookie|x-api-key)(['\"]?\s*[:=,]\s*(?:b?['\"])?)[^\r\n'\"]+|\b(bearer)(\s+)[\w.~+/=-]+",
    re.I,
)


def write_log(form: LogForm) -> None:
    """Have this process write its log on standard error, in this form."""
    remember(form)
    root = logging.getLogger()
    for old in tuple(root.handlers):
        root.removeHandler(old)
    root.addHandler(LogLines(sys.stderr, form))
    root.setLevel(logging.INFO)
    for chatty in _CHATTY:
        logging.getLogger(chatty).setLevel(logging.WARNING)
    logging.getLogger("uvicorn.error").setLevel(logging.ERROR)  # it warns of every request that is not HTTP


class LogLines(logging.StreamHandler[TextIO]):
    """Writes lines to a stream: what they are about with them, no secrets, no more of a kind than help."""

    def __init__(self, stream: TextIO, form: LogForm) -> None:
        super().__init__(stream)
        self.setFormatter(_formatter(form))
        self.addFilter(RepeatedLines(self._kept_back))

    def _kept_back(self, record: logging.LogRecord) -> None:
        with self.lock or nullcontext():
            self.emit(record)


def _formatter(form: LogForm) -> ProcessorFormatter:
    stamp = structlog.processors.TimeStamper(fmt="iso", utc=True)
    shown: Processor = structlog.processors.JSONRenderer(ensure_ascii=False)
    if not form.json:
        plain = structlog.dev.plain_traceback
        shown = structlog.dev.ConsoleRenderer(colors=form.colour, pad_event_to=0, exception_formatter=plain)
    return ProcessorFormatter(
        foreign_pre_chain=[
            structlog.stdlib.add_log_level, structlog.stdlib.add_logger_name, stamp, structlog.stdlib.ExtraAdder(),
            _with_what_it_is_about,
        ],
        processors=[
            ProcessorFormatter.remove_processors_meta, structlog.processors.format_exc_info, _fit_to_be_kept, shown,
        ],
    )  # fmt: skip


def _with_what_it_is_about(logger: Any, method: str, event: EventDict) -> EventDict:
    event.pop("color_message", None)  # what uvicorn adds for a terminal of its own
    return {**at_hand(), **event}


def _fit_to_be_kept(logger: Any, method: str, event: EventDict) -> EventDict:
    """Take secrets out of every text, cut what is too long, and keep what others wrote from starting lines of its own."""
    for name, value in event.items():
        if isinstance(value, str):
            text = without_secrets(value if len(value) <= LONGEST else value[:LONGEST] + " ...")
            event[name] = text if name == "exception" else printable(text)
    return event


def without_secrets(text: str) -> str:
    """Return a text without the passwords of addresses, and without what headers that let somebody in say."""
    text = _PASSWORD.sub(r"\1:***@", text)
    text = _QUERY_PASSWORD.sub(r"\1***", text)
    return _HEADER.sub(lambda found: f"{found[1] or found[3]}{found[2] or found[4]}***", text)
