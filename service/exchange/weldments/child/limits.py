"""How much reading one file may take."""

from __future__ import annotations

from dataclasses import dataclass

SIZE = 20_000_000
TIME_S = 20.0
MEMORY_MB = 1500


@dataclass(frozen=True, slots=True)
class ReadingLimits:
    """How much reading one file may take; the child that needs more is ended.

    Parameters
    ----------
    size : int
        Bytes of the file.
    time_s : float
        Seconds, by the clock on the wall and of the processor, from the moment the libraries are loaded.
    memory_mb : int
        Memory the file may take beside the libraries, as addresses, MB of 1,000,000 bytes.
    answer : int
        Bytes of the answer, and of any file the child writes.
    open_files : int
        Files open at the same time.
    loading_s : float
        The libraries may take so long to load, s.
    """

    size: int = SIZE
    time_s: float = TIME_S
    memory_mb: int = MEMORY_MB
    answer: int = 20_000_000
    open_files: int = 64
    loading_s: float = 60.0
