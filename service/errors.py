"""What the service refuses beside bad documents and the store; `inventory.errors` draws the tree these stand in."""

from __future__ import annotations

import signal
from collections.abc import Iterable

from inventory.errors import Conflict, Fault, HoldwrightError, InvalidDocument


class InvalidSource(InvalidDocument):
    """Something read cannot be used: `source` says what it was, `faults` everything wrong with it."""

    def __init__(self, source: object, faults: Iterable[Fault]) -> None:
        self.source = str(source)
        super().__init__(faults)


class MalformedText(InvalidDocument):
    """What was sent is no JSON document; its one fault says where."""


class NotInstalled(HoldwrightError):
    """What is asked for needs a library that comes with an extra of the package and is not there."""

    def __init__(self, what: str, extra: str) -> None:
        super().__init__(f"{what} need a library that is not installed: pip install 'holdwright[{extra}]'")


class KeyRefused(HoldwrightError):
    """A key or a sign-in that opens nothing."""


class KeyNeeded(HoldwrightError):
    """A server that others can reach was to be started, and no key was ever made."""

    def __init__(self, host: str) -> None:
        super().__init__(
            f"other machines could reach {host}, and whoever reaches a server without keys may do everything; make a key first, "
            "`holdwright keys make NAME --role admin` with the same --db, or listen on 127.0.0.1"
        )


class WebhookOff(Conflict):
    """A message is to go to a webhook that is switched off."""

    def __init__(self, id: str) -> None:
        super().__init__(f"webhook {id} is switched off; nothing is sent to it until it is switched on again")


class FailedWeekCheck(HoldwrightError):
    """A planned week did not pass its own check, and is shown to nobody."""

    def __init__(self, findings: Iterable[str]) -> None:
        super().__init__("the planned week failed its check, a mistake of the planner's: " + "; ".join(findings))


class WeekPromised(Conflict):
    """A week is to be promised whose pieces are promised already."""

    def __init__(self, name: str, numbers: list[int]) -> None:
        listed = ", ".join(map(str, numbers))
        super().__init__(f"{name} is promised already, by reservation {listed}; release what is not wanted first")


class JobError(HoldwrightError):
    """A planning job cannot be taken in or answered."""


class QueueFull(JobError):
    """As many jobs wait as may wait."""

    def __init__(self, waiting: int) -> None:
        super().__init__(f"{waiting} jobs wait already")


class TooManyJobs(JobError):
    """As many jobs of one key wait or run as may."""

    def __init__(self, most: int) -> None:
        super().__init__(f"{most} jobs of this key wait or run already")


class NoPlanToKeep(JobError):
    """The job to be planned again has no plan."""

    def __init__(self, state: str) -> None:
        super().__init__(f"the job is {state} and has no plan to keep")


class NoPlanToAsk(JobError):
    """The job that is asked about has no plan."""

    def __init__(self, state: str) -> None:
        super().__init__(f"the job is {state} and has no plan to ask about")


class NoScore(JobError):
    """A plan that changed rules cannot be held against, since its price does not follow from what there is now."""

    def __init__(self, why: str) -> None:
        super().__init__(f"nothing is known of it to hold other rules against: {why}")


class NoPlanToDraw(JobError):
    """The job whose sheet is asked for has no plan."""

    def __init__(self, state: str) -> None:
        super().__init__(f"the job is {state} and has no plan to draw")


class NoPlanToTime(JobError):
    """The job at which times were measured has no plan."""

    def __init__(self, state: str) -> None:
        super().__init__(f"the job is {state} and has no plan that could have been measured")


class StockChanged(JobError):
    """A plan names tables or items that the stock no longer has."""

    def __init__(self, gone: Iterable[str]) -> None:
        super().__init__(f"the stock no longer has what the plan stands on: {', '.join(gone)}")


class Stopping(JobError):
    """The server is being stopped and takes nothing up any more."""

    def __init__(self) -> None:
        super().__init__("the server is stopping; ask again, another one may answer")


class TooManyDocuments(JobError):
    """As many large documents are being read or checked as may be."""

    def __init__(self, most: int) -> None:
        super().__init__(f"{most} large documents are being read or checked already")


class TooManySheets(JobError):
    """As many sheets are being drawn, or waited for, as may be."""

    def __init__(self, most: int) -> None:
        super().__init__(f"{most} sheets are being drawn already")


class TooManyQuestions(JobError):
    """As many questions about plans are being worked on as may be."""

    def __init__(self, most: int) -> None:
        super().__init__(f"{most} questions are being worked on already")


class TooManyFiles(JobError):
    """As many files are being read, or wait for it, as may."""

    def __init__(self, most: int) -> None:
        super().__init__(f"{most} files are being read already")


class TaskOverdue(JobError):
    """Reading, checking, drawing, advising or a question about a plan took longer than it may."""


class TaskDied(JobError):
    """The process that read, checked, drew, advised or looked into a question ended without an answer."""

    def __init__(self, what: str, exitcode: int | None) -> None:
        super().__init__(f"{what} ended with exit code {exitcode}")


class SolveDied(JobError):
    """The solving process ended without an answer; `exitcode` as the operating system gave it."""

    def __init__(self, exitcode: int | None) -> None:
        self.exitcode = exitcode
        super().__init__(f"{how_it_ended(exitcode)}, without an answer")


def how_it_ended(exitcode: int | None, what: str = "the solving process") -> str:
    """Say how a process ended that did not answer; `exitcode` as the operating system gave it, a signal's negative."""
    if exitcode is not None and exitcode < 0:
        return f"{what} was ended by signal {signal.Signals(-exitcode).name}"
    return f"{what} ended with exit code {exitcode}"
