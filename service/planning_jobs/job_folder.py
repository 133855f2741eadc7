"""A job's folder, through which the solving child and its parent talk.

Files instead of a shared pipe: a child killed in the middle of a write can neither block its siblings nor lose what it
had already handed over, and the best plan so far outlives the child that found it.
"""

from __future__ import annotations

import json
import os
import pickle
import time
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from inventory.errors import Fault

if TYPE_CHECKING:
    from solver.plans import Alternative, Plan

OVERRUN_S = 0.4
"""A child that has not answered so long after its time limit is ended, s: its answer is what it told last."""
_LOOK_EVERY_S = 0.02


@dataclass(frozen=True, slots=True)
class JobFolder:
    """One job's folder.

    Parameters
    ----------
    folder : Path
        Exists as long as the job is wanted; a child that finds it gone stops.
    """

    folder: Path

    def create(self) -> JobFolder:
        """Make the folder (readable by this user only) and return it."""
        self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        return self

    def ask_to_stop(self) -> None:
        """Ask the child to stop and keep its best answer so far."""
        (self.folder / "stop").touch()

    def put(self, name: str, document: Mapping[str, Any]) -> None:
        """Hand over a document whole: written aside, then renamed."""
        self._put(name, json.dumps(document, ensure_ascii=False, allow_nan=False).encode())

    def get(self, name: str) -> dict[str, Any] | None:
        """Return a document handed over under this name, None if there is none (yet)."""
        try:
            text = (self.folder / name).read_text(encoding="utf-8")
        except OSError:
            return None
        document: dict[str, Any] = json.loads(text)
        return document

    def write(self, name: str, text: str) -> None:
        """Hand over a text whole."""
        self._put(name, text.encode())

    def text(self, name: str) -> str | None:
        """Return a text handed over under this name, None if there is none (yet)."""
        try:
            return (self.folder / name).read_text(encoding="utf-8")
        except OSError:
            return None

    def refuse(self, faults: tuple[Fault, ...]) -> None:
        """Hand over what is wrong with the request."""
        self.put("faults.json", {"faults": [asdict(fault) for fault in faults]})

    def faults(self) -> tuple[Fault, ...] | None:
        """Return what was found wrong with the request, None if nothing was (yet)."""
        found = self.get("faults.json")
        return None if found is None else tuple(Fault(**fault) for fault in found["faults"])

    def hand_over(self, name: str, plan: Plan) -> None:
        """Hand over a plan, as a value: it is there at once, however large it is, and only these two processes read it."""
        self._put(f"{name}.plan", pickle.dumps(plan))

    def plan(self, name: str) -> Plan | None:
        """Return the plan handed over under this name, None if there is none (yet)."""
        try:
            content = (self.folder / f"{name}.plan").read_bytes()
        except OSError:
            return None
        plan: Plan = pickle.loads(content)
        return plan

    def has_plan(self, name: str) -> bool:
        """Whether a plan was handed over under this name."""
        return (self.folder / f"{name}.plan").exists()

    def ends_at(self) -> float | None:
        """Return when the child is to be ended if it has not answered, by `time.monotonic`; None while it has not begun."""
        started = self.get("started.json")
        return None if started is None else float(started["began"] + started["limit_s"] + OVERRUN_S)

    def report(self, event: Mapping[str, Any]) -> None:
        """Append one progress event."""
        with (self.folder / "progress.jsonl").open("a", encoding="utf-8") as file:
            file.write(json.dumps(event, ensure_ascii=False, allow_nan=False) + "\n")

    def events(self, start: int = 0) -> list[dict[str, Any]]:
        """Return the progress events from number `start` on; a line still being written is left for the next look."""
        try:
            text = (self.folder / "progress.jsonl").read_text(encoding="utf-8")
        except OSError:
            return []
        return [json.loads(line) for line in text.split("\n")[:-1][start:]]

    def _put(self, name: str, content: bytes) -> None:
        aside = self.folder / f"{name}.part"
        aside.write_bytes(content)
        os.replace(aside, self.folder / name)


class ProgressReader:
    """The progress events of a job's folder, each of them once."""

    def __init__(self, folder: JobFolder) -> None:
        self._path, self._read = folder.folder / "progress.jsonl", 0

    def new(self) -> list[dict[str, Any]]:
        """Return the events reported since the last look; a line still being written is left for the next one."""
        try:
            with self._path.open("rb") as file:
                file.seek(self._read)
                text = file.read()
        except OSError:
            return []
        whole = text[: text.rfind(b"\n") + 1]
        self._read += len(whole)
        return [json.loads(line) for line in whole.splitlines()]


class BestReader:
    """The best alternative told in a job's folder, each of them once."""

    def __init__(self, folder: JobFolder) -> None:
        self._folder, self._path, self._seen = folder, folder.folder / "best.plan", 0
        self._told: Alternative | None = None

    def new(self) -> Alternative | None:
        """Return the best alternative if it is another than at the last look."""
        try:
            at = self._path.stat().st_mtime_ns
        except OSError:
            return None
        plan = None if at == self._seen else self._folder.plan("best")
        self._seen = at
        if plan is None or not plan.alternatives or plan.alternatives[0] == self._told:
            return None
        self._told = plan.alternatives[0]
        return self._told


class StopSign:
    """Whether the parent wants the child to stop, looked up at most every 20 ms however often it is asked."""

    def __init__(self, folder: JobFolder) -> None:
        self._folder = folder.folder
        self._next_look = 0.0
        self._raised = False

    def __call__(self) -> bool:
        now = time.monotonic()
        if not self._raised and now >= self._next_look:
            self._next_look = now + _LOOK_EVERY_S
            self._raised = (self._folder / "stop").exists() or not self._folder.exists()
        return self._raised
