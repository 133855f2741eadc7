"""The file under an SQLite store: made for its owner alone, and watched, lest what is written to it is lost."""

from __future__ import annotations

import errno
import os
import sqlite3
import stat
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from inventory.store.errors import DiskFull, FileGone, ReadOnlyStore

_OWNER_ONLY = 0o600
Identity = tuple[int, int]
"""Device and number: two names with the same ones are the same file, whatever has been renamed."""


@dataclass(frozen=True, slots=True)
class StoreFile:
    """The file of a store that is open, and which file that was when it was opened.

    A program goes on writing to a file that has been deleted or moved away, and hears that all is well. So the file is looked for
    under its name before each transaction, and after each write before anybody hears that it is done.
    """

    path: Path
    identity: Identity

    @classmethod
    def at(cls, path: Path) -> StoreFile:
        """Return the file at a path; a new one is made, for its owner to read and write (0600), as are the log files beside it.

        Raises
        ------
        ReadOnlyStore, DiskFull
            It cannot be made.
        """
        try:
            os.close(os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, _OWNER_ONLY))
        except FileExistsError:
            pass
        except OSError as error:
            kind = DiskFull if error.errno in (errno.ENOSPC, errno.EDQUOT) else ReadOnlyStore
            raise kind(f"the store cannot be written: {path} cannot be made ({error.strerror})") from None
        return cls(path, identity_of(path) or (0, 0))

    def connected(self, patience_s: float) -> sqlite3.Connection:
        """Return a connection to this very file; raises FileGone rather than make another one."""
        self.refuse_if_gone()
        address = f"file:{quote(os.fsencode(self.path))}?mode=rw"
        connection = sqlite3.connect(address, uri=True, timeout=patience_s, check_same_thread=False)
        try:
            self.refuse_if_gone()
        except FileGone:
            connection.close()
            raise
        return connection

    def log_identity(self) -> Identity | None:
        """Return which file the write-ahead log is, None if there is none."""
        return identity_of(Path(f"{self.path}-wal"))

    def refuse_if_gone(self, log: Identity | None = None) -> None:
        """Raise FileGone if another file has the path now, or none; or, of its log, if it is not the one named."""
        lost = self.path if identity_of(self.path) != self.identity else None
        if lost is None and log is not None and self.log_identity() != log:
            lost = Path(f"{self.path}-wal")
        if lost is not None:
            raise FileGone(
                f"{lost} was deleted, moved or replaced while the store was open; nothing more is written. "
                "Put it back where it was, or start again with the file that is there"
            )


def identity_of(path: Path) -> Identity | None:
    """Return which file a path leads to, None if to none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def open_to_others(path: Path) -> str | None:
    """Return the mode of a file that others on the machine can read or write, such as `0644`; None if they cannot."""
    mode = stat.S_IMODE(path.stat().st_mode)
    return f"{mode:04o}" if mode & (stat.S_IRWXG | stat.S_IRWXO) else None
