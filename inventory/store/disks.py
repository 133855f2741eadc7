"""What lies under a SQLite file: network file systems are refused before they can lose a promise."""

from __future__ import annotations

import re
from pathlib import Path

from inventory.store.errors import NetworkFileSystem

# Write-ahead logging shares memory between processes; hosts on a network do not share it
# (SQLite documentation, "Write-Ahead Logging").
NETWORK = (
    "acfs", "afs", "beegfs", "ceph", "cifs", "coda", "davfs", "glusterfs", "gpfs", "lustre", "ncpfs", "nfs", "nfs4", "pvfs2",
    "9p", "smb3", "smbfs", "virtiofs",
)  # fmt: skip
_NETWORK_FUSE = ("sshfs", "gluster", "ceph", "s3fs", "goofys", "rclone", "davfs", "smb", "cifs", "nfs", "gcsfuse", "juicefs")
MOUNTS = Path("/proc/self/mountinfo")


def file_system(path: Path, mounts: str) -> str | None:
    """Return the type of the file system that holds a path, from the text of Linux's mountinfo; None if none does."""
    best, kind = -1, None
    for line in mounts.splitlines():
        before, _, behind = line.partition(" - ")
        fields = before.split()
        if len(fields) < 5 or not behind:
            continue
        point = re.sub(r"\\([0-7]{3})", lambda octal: chr(int(octal[1], 8)), fields[4])
        # A later line over the same point hides the earlier one.
        if path.is_relative_to(point) and len(point) >= best:
            best, kind = len(point), behind.split()[0]
    return kind


def is_network(kind: str) -> bool:
    """Return whether a type of file system lives on another machine."""
    fuse, _, program = kind.partition(".")
    return kind in NETWORK or (fuse == "fuse" and any(name in program for name in _NETWORK_FUSE))


def refuse_network_file_system(path: Path) -> None:
    """Raise NetworkFileSystem if the file would lie on one; systems without mountinfo are not looked at."""
    if not MOUNTS.exists():
        return
    resolved = path.resolve()
    kind = file_system(resolved, MOUNTS.read_text(encoding="utf-8", errors="surrogateescape"))
    if kind is not None and is_network(kind):
        raise NetworkFileSystem(
            f"{resolved} lies on a network file system ({kind}), where SQLite's write-ahead log loses promises; "
            "put the file on a local disk, or keep the store in PostgreSQL"
        )
