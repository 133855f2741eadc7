"""This process's folder for what solving processes leave; folders of processes that were killed are removed."""

from __future__ import annotations

import contextlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from pathlib import Path

from service.planning_jobs.job_folder import JobFolder

_NAME = "holdwright-jobs-"
_MADE_HERE: set[str] = set()


class Scratch:
    """A folder below the system's own for temporary files, readable by this user only, as long as this process lives."""

    def __init__(self) -> None:
        remove_left_behind(Path(tempfile.gettempdir()))
        self._folder = Path(tempfile.mkdtemp(prefix=f"{_NAME}{os.getpid()}-"))
        _MADE_HERE.add(self._folder.name)

    @contextlib.contextmanager
    def job_folder(self, id: str) -> Iterator[JobFolder]:
        """Make a folder for one run of a job; it is gone afterwards, whatever happens."""
        folder = Path(tempfile.mkdtemp(prefix=f"{id}-", dir=self._folder))
        try:
            yield JobFolder(folder)
        finally:
            shutil.rmtree(folder, ignore_errors=True)

    def remove(self) -> None:
        """Remove the folder with all there is in it."""
        shutil.rmtree(self._folder, ignore_errors=True)


def remove_left_behind(below: Path) -> None:
    """Remove the folders of processes that are gone; a solve that is still at work in one finds it gone, and ends.

    Nothing is removed of a process that lives, nor of another user. A folder under this process's own number that was not made
    here is of one that had the number before.
    """
    for folder in below.glob(f"{_NAME}*"):
        number = folder.name.removeprefix(_NAME).partition("-")[0]
        before = number == str(os.getpid()) and folder.name not in _MADE_HERE
        if number.isdecimal() and (before or not _lives(int(number))):
            shutil.rmtree(folder, ignore_errors=True)


def _lives(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:  # it is somebody else's
        return True
    return True
