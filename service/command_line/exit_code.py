"""What became of a command, as its exit code and in words: the one place that knows what an error is on the command line."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

from inventory.availability import Shortage
from inventory.errors import Conflict, Fault, HoldwrightError, InvalidDocument
from service.command_line.printing.console import BAD_INPUT, DONE, REFUSED, complain, note
from service.errors import InvalidSource, NotInstalled, SolveDied


def run(act: Callable[[], int | None], source: object = "holdwright") -> int:
    """Run a command and return its exit code; refusals are said on standard error, faults with the source they are in.

    Exit codes: 0 done; 1 no plan, a failed check, or refused as things stand (pieces short, a step not allowed); 2 bad input or a
    store that cannot be used.
    """
    try:
        return act() or DONE
    except InvalidSource as bad:
        complain(bad.source, bad.faults)
        return BAD_INPUT
    except InvalidDocument as bad:
        complain(source, bad.faults)
        return BAD_INPUT
    except Shortage as short:
        for line in short.lines:
            note(str(line))
        return REFUSED
    except SolveDied as died:
        note(f"no plan: {died}")
        return REFUSED
    except HoldwrightError as error:
        note(str(error))
        return REFUSED if isinstance(error, Conflict) else BAD_INPUT


@contextmanager
def read_from(source: object) -> Iterator[None]:
    """Say of every fault found meanwhile where it was read; a store that cannot be read is a fault like any other."""
    try:
        yield
    except (InvalidSource, NotInstalled):  # which says by itself what to do
        raise
    except InvalidDocument as bad:
        raise InvalidSource(source, bad.faults) from None
    except HoldwrightError as error:
        raise InvalidSource(source, [Fault("", str(error), "a store that can be read")]) from None
