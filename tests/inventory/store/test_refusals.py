"""What a store cannot live on is refused when it is opened, clearly; a change that finds no room leaves nothing behind."""

from __future__ import annotations

import resource
import subprocess
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path

import pytest
import sqlalchemy as sa

from inventory.store import counts, disks, open_store
from inventory.store.disks import file_system, is_network
from inventory.store.engine import make_engine
from inventory.store.errors import NetworkFileSystem, StoreBusy, Unreachable, WrongSchema
from tests.databases import new_database
from tests.shelf import READERS, a_store, an_order, by

MOUNTS = """\
22 1 254:0 / / rw,relatime - ext4 /dev/root rw
40 22 0:35 / /srv/shop rw - nfs4 server:/export rw
41 22 0:36 / /srv/shop/local rw - ext4 /dev/b rw
42 22 0:37 / /mnt/with\\040blank rw - fuse.sshfs user@host: rw
43 22 0:38 / /run rw - tmpfs tmpfs rw
44 22 0:39 / /run rw - cifs //server/share rw
"""


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/home/shop.sqlite3", "ext4"),
        ("/srv/shop/a.sqlite3", "nfs4"),
        ("/srv/shopping/a.sqlite3", "ext4"),
        ("/srv/shop/local/a.sqlite3", "ext4"),
        ("/mnt/with blank/a.sqlite3", "fuse.sshfs"),
        ("/run/a.sqlite3", "cifs"),
    ],
)
def test_the_file_system_under_a_path(path: str, kind: str) -> None:
    assert file_system(Path(path), MOUNTS) == kind


@pytest.mark.parametrize(
    ("kind", "network"),
    [("nfs", True), ("cifs", True), ("9p", True), ("fuse.sshfs", True), ("ext4", False), ("fuse.ntfs-3g", False)],
)
def test_file_systems_on_other_machines(kind: str, network: bool) -> None:
    assert is_network(kind) == network


def test_a_network_file_system_is_refused_a_local_one_is_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    mounts = tmp_path / "mountinfo"
    monkeypatch.setattr(disks, "MOUNTS", mounts)
    mounts.write_text(f"1 0 0:1 / / rw - ext4 /dev/a rw\n2 1 0:2 / {tmp_path} rw - nfs4 server:/x rw\n")
    with pytest.raises(NetworkFileSystem, match=r"network file system \(nfs4\).*local disk.*PostgreSQL"):
        open_store(f"sqlite:///{tmp_path}/shop.sqlite3", READERS)
    assert not (tmp_path / "shop.sqlite3").exists()
    mounts.write_text("1 0 0:1 / / rw - ext4 /dev/a rw\n")
    open_store(f"sqlite:///{tmp_path}/shop.sqlite3", READERS).close()


@pytest.mark.parametrize(
    ("url", "says"),
    [
        ("shop.sqlite3", "is not a database URL"),
        ("mysql://server/shop", "mysql is no database a store can live in"),
        ("sqlite://", "in memory is forgotten"),
        ("sqlite:///:memory:", "in memory is forgotten"),
        ("sqlite:////no/such/folder/shop.sqlite3", "there is no folder /no/such/folder"),
        ("postgresql://nobody@/shop?host=/no/such/socket", "the database does not answer"),
    ],
)
def test_places_no_store_can_be(url: str, says: str) -> None:
    with pytest.raises(Unreachable, match=says):
        open_store(url, READERS, patience_s=1)


def test_a_newer_schema_is_refused(database: str) -> None:
    open_store(database, READERS).close()
    engine = make_engine(database, 30)
    with engine.begin() as connection:
        connection.execute(sa.text("UPDATE schema_version SET version_num = '9999'"))
    engine.dispose()
    with pytest.raises(WrongSchema, match="at schema 9999, written by a newer Holdwright; this one knows up to"):
        open_store(database, READERS)


def test_somebody_elses_database_is_left_alone(database: str) -> None:
    engine = make_engine(database, 30)
    with engine.begin() as connection:
        connection.execute(sa.text("CREATE TABLE invoices (id INTEGER)"))
    engine.dispose()
    with pytest.raises(WrongSchema, match=r"other tables \(invoices\)"):
        open_store(database, READERS)


def test_a_file_that_is_no_database_is_refused(tmp_path: Path) -> None:
    from inventory.store.errors import StoreUnusable

    (tmp_path / "shop.sqlite3").write_text("counted by hand\n" * 100)
    with pytest.raises(StoreUnusable, match="file is not a database"):
        open_store(f"sqlite:///{tmp_path}/shop.sqlite3", READERS)


def test_patience_has_an_end_and_nothing_is_changed(database: str) -> None:
    store = a_store(database, {"riser-75": 6}, patience_s=0.2)
    blocker = open_store(database, READERS)

    def hold(connection: sa.Connection) -> None:
        with pytest.raises(StoreBusy, match="nothing was changed"):
            store.reserve(an_order(riser_75=1), by())

    blocker.write(hold)
    assert store.reserve(an_order(riser_75=6), by()).state == "reserved"
    store.close()
    blocker.close()


CHILD = """
import os
import sys
from inventory.errors import StoreError
from inventory.store import open_store
from tests.shelf import READERS, an_order, by
if sys.argv[3] == "nobody" and os.geteuid() == 0:  # root may write anywhere: become somebody who may not
    os.setgroups([])
    os.setgid(65534)
    os.setuid(65534)
try:
    store = open_store(sys.argv[1], READERS, patience_s=2)
    for number in range(int(sys.argv[2])):
        store.reserve(an_order(job="x" * 200, riser_75=1), by(why="y" * 1000))
        print("reserved", flush=True)
except StoreError as error:
    print(type(error).__name__, error)
"""


def child(url: str, times: int, who: str = "", **how: object) -> list[str]:
    """Reserve over and over in another process, and return what it said."""
    words = [sys.executable, "-c", textwrap.dedent(CHILD), url, str(times), who]
    done = subprocess.run(words, capture_output=True, text=True, timeout=60, check=False, **how)  # type: ignore[call-overload]
    assert done.returncode == 0, done.stderr
    return list(done.stdout.splitlines())


@pytest.fixture
def open_folder(tmp_path: Path) -> Iterator[Path]:
    """A folder somebody else can look into."""
    for folder in (tmp_path, *tmp_path.parents):
        if folder.owner() == tmp_path.owner() and folder != Path("/") and "pytest" in str(folder):
            folder.chmod(0o755)
    yield tmp_path
    tmp_path.chmod(0o755)


def test_a_folder_that_cannot_be_written_is_refused(open_folder: Path) -> None:
    url = f"sqlite:///{open_folder}/shop.sqlite3"
    open_folder.chmod(0o555)
    (said,) = child(url, 1, who="nobody")
    assert said.startswith("ReadOnlyStore the store cannot be written")


def test_a_file_that_cannot_be_written_is_refused(open_folder: Path) -> None:
    url = f"sqlite:///{open_folder}/shop.sqlite3"
    a_store(url, {"riser-75": 6}).close()
    for file in open_folder.iterdir():
        file.chmod(0o444)
    open_folder.chmod(0o555)
    (said,) = child(url, 1, who="nobody")
    assert said.startswith("ReadOnlyStore the store cannot be written")


def test_a_full_disk_keeps_what_was_acknowledged_and_nothing_of_the_rest(tmp_path: Path) -> None:
    url = new_database("sqlite", tmp_path)
    a_store(url, {"riser-75": 5000}).close()
    room = (tmp_path / "shop.sqlite3").stat().st_size + 60_000

    def limited() -> None:
        import signal

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))

    *reserved, last = child(url, 5000, preexec_fn=limited)
    _full(url, reserved, last)


def test_a_really_full_disk(tmp_path: Path) -> None:
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=900k", "tmpfs", disk], capture_output=True, check=False)
    if mounted.returncode != 0:
        pytest.skip(f"no small disk can be mounted here: {mounted.stderr.decode().strip()}")
    try:
        url = new_database("sqlite", disk)
        a_store(url, {"riser-75": 5000}).close()
        *reserved, last = child(url, 5000)
        _full(url, reserved, last)
    finally:
        subprocess.run(["umount", disk], check=True)


def _full(url: str, reserved: list[str], last: str) -> None:
    """Check that a store ran out of room cleanly."""
    assert last.startswith("DiskFull"), last
    assert len(reserved) > 3
    store = open_store(url, READERS)
    free = store.snapshot(an_order(riser_75=1).span).free("riser-75")
    assert free == 5000 - len(reserved)
    assert store.read(lambda c: counts.line(c, "riser-75")).count == 5000
    store.close()
