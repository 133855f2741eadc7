"""Every error Holdwright raises on purpose, drawn as one tree; where a branch is not defined here, its module stands beside it.

HoldwrightError
├── InvalidDocument              a document is not valid; carries every fault found
│   ├── MalformedText            what was sent is no JSON document (service.errors)
│   └── InvalidSource            the same, and which file or store it was read from (service.errors)
├── StoreError                   the store cannot do what was asked
│   ├── StoreUnusable            it cannot be opened or written at all (inventory.store.errors, so is all below it)
│   │   ├── NetworkFileSystem    a file on a network file system cannot keep its promises
│   │   ├── ReadOnlyStore        the disk or the file cannot be written
│   │   ├── FileGone             the file was deleted, moved or replaced while it was open
│   │   ├── DiskFull             no room left; nothing of the change was kept
│   │   ├── WrongSchema          newer than this program, or not a Holdwright store
│   │   ├── NotEmpty             a copy is put back into an empty database only
│   │   └── Unreachable          no such server, no such folder, no driver
│   ├── StoreBusy                other writers held it longer than the patience given (inventory.store.errors)
│   ├── WrongCopy                a file is no copy of a store, or not a whole one (inventory.store.errors)
│   ├── NotFound                 there is no such thing (inventory.store.errors)
│   ├── KeyReused                one idempotency key, two different writes (inventory.store.errors)
│   └── Conflict                 refused as things stand; at another time it may go
│       ├── AlreadyThere         there is one of that name already (inventory.store.errors)
│       ├── InUse                others depend on it (inventory.store.errors)
│       ├── Stale                somebody else changed it since it was read (inventory.store.errors)
│       ├── CountRefused         a count that cannot be true (inventory.store.errors)
│       ├── Shortage             pieces that are not free (inventory.availability)
│       ├── WeekPromised         a week whose pieces are promised already (service.errors)
│       ├── WebhookOff           a message to a webhook that is switched off (service.errors)
│       └── IllegalStep          a step the reservation's state does not allow (inventory.reservations)
├── StaticsUndecided             a force balance that cannot be decided in numbers (solver.statics.program)
├── OtherHardware                a plan's price does not follow from the items as they are now (solver.rescoring.scoring)
├── FailedWeekCheck          a planned week did not pass its own check, a mistake of the planner's (service.errors)
├── KeyRefused                   a key or a sign-in that opens nothing (service.errors)
├── KeyNeeded                    a server that others can reach is started without any key (service.errors)
├── DeadlinePassed               work given up because its time was up; who asked goes on without it (solver.deadline)
├── JobError                     a planning job cannot be taken in or answered (service.errors, so is all below it)
│   ├── QueueFull                as many jobs wait as may wait
│   ├── TooManyJobs              as many jobs of one key wait or run as may
│   ├── NoPlanToKeep             the job has no plan that could be kept
│   ├── NoPlanToAsk              the job has no plan that could be asked about
│   ├── NoScore                  a plan that changed rules cannot be held against
│   ├── NoPlanToDraw             the job has no plan that could be drawn
│   ├── NoPlanToTime             the job has no plan that could have been measured
│   ├── StockChanged             a plan has hardware that the stock no longer knows
│   ├── Stopping                 the server is being stopped
│   ├── TooManyDocuments         as many large documents are read or checked as may be
│   ├── TooManyQuestions         as many questions about plans are worked on as may be
│   ├── TooManySheets            as many sheets are drawn as may be
│   ├── TooManyFiles             as many files are read as may be
│   ├── TaskOverdue              reading, checking, advising or a question about a plan took longer than it may
│   ├── TaskDied                 the process that did one of these ended without an answer
│   └── SolveDied                the solving process of the command line ended without an answer
├── NoQueue                      the queue of jobs cannot be used (service.planning_jobs.job_queue)
├── NotInstalled                 a file needs a library that comes with an extra of the package (service.errors)
├── Unreadable                   a spreadsheet cell that is no number (service.exchange.cells)
├── NotFlat                      an entity of a flat drawing that lies askew (service.exchange.weldments.dxf.entity_curves)
├── UnsoundEntity                an entity with numbers that draw nothing (service.exchange.weldments.dxf.entity_curves)
├── UnsoundSpline                numbers that are no spline (service.exchange.weldments.dxf.splines)
├── OpenOutline                  faces along an axis that close to no outline (solver.recognition.cross_section)
└── HttpProblem                  a request HTTP refuses by itself: header, size, media type, host (service.http.problems)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a document.

    Parameters
    ----------
    pointer : str
        JSON pointer (RFC 6901) to the offending value, relative to the value that found it.
    wrong : str
        What is wrong, with the numbers.
    accepted : str
        What would be accepted instead.
    """

    pointer: str
    wrong: str
    accepted: str

    def under(self, prefix: str) -> Fault:
        """Return the same fault, seen from a document that holds this one at `prefix`."""
        return Fault(prefix + self.pointer, self.wrong, self.accepted)


class HoldwrightError(Exception):
    """Base of every error Holdwright raises on purpose."""


class InvalidDocument(HoldwrightError):
    """A document is not valid; `faults` lists everything found wrong with it."""

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(faults)
        super().__init__("; ".join(f"{f.pointer or '/'}: {f.wrong}" for f in self.faults))

    def __reduce__(self) -> tuple[type[InvalidDocument], tuple[tuple[Fault, ...]]]:
        """Say how it is made again: a process that draws or reads raises it where another waits."""
        return InvalidDocument, (self.faults,)


class StoreError(HoldwrightError):
    """The store cannot do what was asked."""


class Conflict(StoreError):
    """What was asked does not go with how things stand; at another time it may."""


def refuse(faults: Iterable[Fault]) -> None:
    """Raise `InvalidDocument` if there is any fault at all."""
    found = tuple(faults)
    if found:
        raise InvalidDocument(found)
