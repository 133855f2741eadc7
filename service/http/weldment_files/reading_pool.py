"""The processes that have files read, and how many wait for them."""

from __future__ import annotations

from inventory.errors import Fault, InvalidDocument
from service.errors import TooManyFiles
from service.exchange.weldments.child.fresh_child import MARGIN_S
from service.exchange.weldments.child.limits import ReadingLimits
from service.http.weldment_files.reading_task import FileTask, read_for_others
from service.http.weldment_files.sent_file import SentFile
from service.planning_jobs.side_tasks import START_S, Places
from service.planning_jobs.worker_pool import WorkerPool
from service.settings import Settings


class ReadingPool:
    """Has files read in processes of their own, started when first needed.

    Each waits for a child that reads; whoever leaves meanwhile ends it, and the child ends by its own limits.
    """

    def __init__(self, settings: Settings) -> None:
        self.limits = ReadingLimits(settings.read_file_mb * 1_000_000, settings.read_file_time, settings.read_file_memory)
        self._limit_s = self.limits.loading_s + self.limits.time_s + MARGIN_S + settings.check_limit + START_S
        self._pool = WorkerPool(settings.read_files, ("service.http.weldment_files.reading_task",))
        self._asked = Places(2 * settings.read_files, TooManyFiles)

    async def read(self, file: SentFile, *, drawn: bool = False) -> bytes:
        """Return the reading of a file as a document, or drawn as SVG.

        Raises
        ------
        InvalidDocument
            With every fault, pointers in what was sent.
        TooManyFiles, TaskOverdue, TaskDied, Stopping
        """
        task = FileTask(file.content, file.name, file.options(), file.called, file.declared, self.limits, drawn)
        with self._asked.one():
            answer = await self._pool.answer("the reading", read_for_others, (task,), self._limit_s)
        if answer.absent:
            raise InvalidDocument([Fault("/file", answer.absent, "files of other kinds, or a server that has it")])
        if answer.faults:
            raise InvalidDocument([file.placed(fault) for fault in answer.faults])
        content: bytes = answer.content
        return content

    def stop(self) -> None:
        """End the processes."""
        self._pool.stop(1.0)
