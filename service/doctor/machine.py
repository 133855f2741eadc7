"""The machine a server would run on: its release and libraries, processors, files, folders, disks."""

from __future__ import annotations

import os
import platform
import resource
import shutil
import tempfile
from collections.abc import Iterator
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from service.doctor.examined import Examined, Verdict
from service.exchange.weldments.child.fence import fence_here
from service.http.server.limits import LINGERING, OTHER_FILES
from service.planning_jobs.ledger_files import user_cache_folder
from service.release import release
from service.settings import Settings

LIBRARIES = ("ortools", "sqlalchemy", "fastapi", "uvicorn")
EXTRAS = {"psycopg": "postgres", "procrastinate": "postgres", "opentelemetry-sdk": "tracing"}
LITTLE_MB, NEXT_TO_NONE_MB = 1000, 100


def examine_machine(settings: Settings) -> Iterator[Examined]:
    """Look at everything but the database."""
    yield _versions(settings)
    yield _processors(settings)
    yield _open_files(settings)
    yield _fence()
    yield _folder("temp folder", Path(tempfile.gettempdir()), "wrong", "set TMPDIR to a folder that can be written")
    if settings.cache_mb:
        words = "set HOLDWRIGHT_CACHE to a folder that can be written; plans are the same without, only later"
        folder = Path(settings.cache) if settings.cache else user_cache_folder()
        if folder is not None:
            yield _folder("cache folder", folder, "warning", words)


def room(what: str, folder: Path) -> Examined:
    """Look at how much room there is on the disk of a folder."""
    free_mb = shutil.disk_usage(folder).free // 1_000_000
    found = f"{free_mb:,} MB free at {folder}"
    if free_mb < NEXT_TO_NONE_MB:
        return Examined(what, "wrong", found, "make room, or the next write fails")
    if free_mb < LITTLE_MB:
        return Examined(what, "warning", found, f"make room: {LITTLE_MB:,} MB or more")
    return Examined(what, "ok", found)


def _versions(settings: Settings) -> Examined:
    found, missing = [f"holdwright {release()}", f"Python {platform.python_version()}"], set()
    for name in (*LIBRARIES, *EXTRAS):
        try:
            found.append(f"{name} {version(name)}")
        except PackageNotFoundError:
            missing.add(EXTRAS.get(name, ""))
    needed = {"postgres"} if settings.db.startswith("postgres") else set()
    needed |= {"tracing"} if settings.traces else set()
    if lacking := sorted(missing & needed):
        return Examined("versions", "wrong", ", ".join(found), f"pip install 'holdwright[{','.join(lacking)}]'")
    return Examined("versions", "ok", ", ".join(found))


def _processors(settings: Settings) -> Examined:
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    found = f"{settings.workers} workers on {cores} cores"
    if settings.workers > cores:
        return Examined("workers", "warning", found, "set HOLDWRIGHT_WORKERS to one a core: more take each other's time")
    return Examined("workers", "ok", found)


def _open_files(settings: Settings) -> Examined:
    _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = settings.connections + OTHER_FILES + LINGERING
    if most != resource.RLIM_INFINITY and most < wanted:
        found = f"a process may open {most:,} files, {settings.connections:,} connections want {wanted:,}"
        return Examined(
            "open files", "warning", found, "raise the limit (LimitNOFILE=, ulimit -n), or lower HOLDWRIGHT_CONNECTIONS"
        )
    return Examined("open files", "ok", f"enough for {settings.connections:,} connections")


def _fence() -> Examined:
    there, lacking = fence_here()
    found = "files of other programs are read behind " + (" and ".join(there) or "limits of the system alone")
    if lacking:
        none = " and no ".join(each.removeprefix("a ") for each in lacking)
        words = f"the kernel offers no {none}: run the server as a user who owns nothing else"
        return Examined("fence", "warning", found, words)
    return Examined("fence", "ok", found)


def _folder(what: str, folder: Path, otherwise: Verdict, do: str) -> Examined:
    there = next(each for each in (folder, *folder.parents) if each.exists())
    try:
        with tempfile.NamedTemporaryFile(dir=there):
            pass
    except OSError as error:
        return Examined(what, otherwise, f"{folder} cannot be written: {error.strerror}", do)
    return room(what, there)
