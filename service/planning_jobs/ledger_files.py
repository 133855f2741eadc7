"""The planner's ledgers in files, from one run to the next: a folder that may be deleted, full, read-only or shared at any time.

Whatever is wrong with the folder or a file in it, the plan is the same; it only takes longer. A file is written whole or not at
all, and it is sealed: what another program, another release or a broken disk has left there is not read, and is written anew.
Files stand in a folder named by the code that computes what they hold, so that no ledger outlives a change of the program.

NumPy and the solver are imported by the process that solves, when it is under way.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from hashlib import blake2b
from pathlib import Path
from typing import TYPE_CHECKING

from service.files import write_bytes
from service.settings import Settings

if TYPE_CHECKING:
    from solver.ledgers.answers import Arrays

COMPUTING = (
    "inventory", "solver/access", "solver/geometry", "solver/hardware", "solver/laying", "solver/position", "solver/sections",
    "solver/standards", "solver/ledgers",
)  # fmt: skip
"""Folders of the code that computes what ledgers hold."""
FULL = 0.9
"""Once the files take more than they may, those used longest ago are removed until so great a share of it is left."""


@dataclass(frozen=True, slots=True)
class LedgerFiles:
    """Ledgers in files under a folder, of so many bytes in all at most."""

    folder: Path
    most_bytes: int

    @staticmethod
    def of(settings: Settings) -> LedgerFiles | None:
        """Return the files the settings mean; None if they want none, or if there is no folder for them."""
        folder = Path(settings.cache) if settings.cache else user_cache_folder()
        return LedgerFiles(folder, settings.cache_mb * 1_000_000) if settings.cache_mb and folder is not None else None

    @property
    def place(self) -> Path:
        """The folder of the files that this program can use."""
        return self.folder / "ledgers" / program()

    @contextlib.contextmanager
    def used(self) -> Iterator[None]:
        """Have the planner find ledgers here meanwhile, and leave here what it has found out."""
        from solver.ledgers.kept import new_ledgers, take_from

        take_from(self.read)
        yield
        with contextlib.suppress(OSError):
            new = list(new_ledgers(self.read))
            for name, arrays in new:
                self.write(name, arrays)
            if new:
                self.remove_oldest()

    def read(self, name: str) -> Arrays | None:
        """Return a ledger; None if it is not there, or not as it was written."""
        from io import BytesIO

        import numpy as np

        path = self.place / f"{name}.npz"
        try:
            with np.load(BytesIO(path.read_bytes()), allow_pickle=False) as file:
                arrays = {key: file[key] for key in file.files}
            seal = arrays.pop("seal").tobytes()
        except Exception:  # a file may hold anything, and its reader raise anything
            return None
        if seal != _seal(name, arrays):
            return None
        with contextlib.suppress(OSError):
            os.utime(path)
        return arrays

    def write(self, name: str, arrays: Arrays) -> None:
        """Write a ledger; raises OSError."""
        from io import BytesIO

        import numpy as np

        self.place.mkdir(mode=0o700, parents=True, exist_ok=True)
        content = BytesIO()
        np.savez(content, allow_pickle=False, seal=np.frombuffer(_seal(name, arrays), dtype=np.uint8), **arrays)
        write_bytes(self.place / f"{name}.npz", content.getvalue())

    def remove_oldest(self) -> None:
        """Remove files used longest ago, of other programs too, until all take no more than they may."""
        found = []
        for path in (self.folder / "ledgers").glob("*/*"):
            with contextlib.suppress(OSError):
                stat = path.stat()
                found.append((stat.st_mtime, stat.st_size, path))
        size = sum(entry[1] for entry in found)
        left = self.most_bytes if size <= self.most_bytes else FULL * self.most_bytes
        for _, bytes_of_it, path in sorted(found):
            if size <= left:
                break
            path.unlink(missing_ok=True)
            size -= bytes_of_it
            with contextlib.suppress(OSError):
                path.parent.rmdir()  # if it was the last one there


def _seal(name: str, arrays: Arrays) -> bytes:
    from solver.ledgers.content import content_of

    return content_of(name, [(key, arrays[key]) for key in sorted(arrays)])


@lru_cache(maxsize=1)
def program() -> str:
    """Return a word for all that decides what ledgers hold: the code that computes them, and what it computes with."""
    import platform

    import numpy as np

    from solver.geometry.proximity import COMPUTED_WITH

    digest = blake2b(repr((np.__version__, COMPUTED_WITH, platform.machine(), sys.version_info[:2])).encode(), digest_size=8)
    root = Path(__file__).parents[2]
    for path in (Path(__file__), *(path for folder in COMPUTING for path in sorted((root / folder).rglob("*.py")))):
        digest.update(path.relative_to(root).as_posix().encode() + b"\n" + path.read_bytes())
    return digest.hexdigest()


def user_cache_folder() -> Path | None:
    """Return where programs keep what may be deleted at any time, for this user on this platform; None if nobody knows."""
    try:
        if sys.platform == "win32":
            return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local") / "holdwright" / "Cache"
        if sys.platform == "darwin":
            return Path.home() / "Library" / "Caches" / "holdwright"
        return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "holdwright"
    except RuntimeError:  # the user has no folder
        return None
