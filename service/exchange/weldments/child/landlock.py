"""No files but one folder to write in and some to read: Landlock, which processes put on themselves, root or not.

Linux 5.13 and later, landlock(7); numbers by linux/landlock.h.
"""

from __future__ import annotations

import ctypes
import os
import platform
import struct
from collections.abc import Iterable
from pathlib import Path

_CREATE, _ADD, _RESTRICT = 444, 445, 446
_VERSION = 1
_BENEATH = 1
_READ_FILE, _READ_FOLDER = 1 << 2, 1 << 3
_RIGHTS = {1: 13, 2: 14, 3: 15, 4: 15, 5: 16}
"""How many rights on files each version of the interface knows."""
_ALL_NET, _ALL_SCOPES = 0b11, 0b11
"""TCP: bind, connect; what is reached outside: abstract sockets, signals."""
_ABOUT_FILES = 0b1100000000000110 | 1
"""Rights that a single file can have: execute, write, read, truncate, ioctl."""
_SET_NO_NEW_PRIVILEGES = 38


def landlock_version() -> int:
    """Return which version of Landlock the kernel offers; 0 if none."""
    if platform.system() != "Linux":
        return 0
    libc = ctypes.CDLL(None, use_errno=True)
    libc.syscall.restype = ctypes.c_long
    return max(0, int(libc.syscall(ctypes.c_long(_CREATE), None, ctypes.c_size_t(0), ctypes.c_uint32(_VERSION))))


def close_files(own: Path, readable: Iterable[Path]) -> bool:
    """Let this process write in one folder and read that and others, from now on; False where the system has no Landlock."""
    version = landlock_version()
    if version < 1:
        return False
    libc = ctypes.CDLL(None, use_errno=True)
    libc.syscall.restype = ctypes.c_long
    rights = (1 << _RIGHTS.get(version, 16)) - 1
    attributes = struct.pack("=Q", rights)
    if version >= 4:
        attributes += struct.pack("=Q", _ALL_NET)
    if version >= 6:
        attributes += struct.pack("=Q", _ALL_SCOPES)
    rules = libc.syscall(ctypes.c_long(_CREATE), attributes, ctypes.c_size_t(len(attributes)), ctypes.c_uint32(0))
    if rules < 0:
        return False
    try:
        for folder in readable:
            _add(libc, rules, folder, _READ_FILE | _READ_FOLDER)
        if not _add(libc, rules, own, rights & ~1):
            return False
        zero = ctypes.c_ulong(0)
        if libc.prctl(_SET_NO_NEW_PRIVILEGES, ctypes.c_ulong(1), zero, zero, zero) != 0:
            return False
        return bool(libc.syscall(ctypes.c_long(_RESTRICT), ctypes.c_int(rules), ctypes.c_uint32(0)) == 0)
    finally:
        os.close(rules)


def _add(libc: ctypes.CDLL, rules: int, path: Path, rights: int) -> bool:
    try:
        at = os.open(path, os.O_PATH | os.O_CLOEXEC)
    except OSError:  # what is not there is not to be read either
        return False
    try:
        allowed = rights if path.is_dir() else rights & _ABOUT_FILES
        rule = struct.pack("=Qi", allowed, at)
        asked = (ctypes.c_long(_ADD), ctypes.c_int(rules), ctypes.c_int(_BENEATH), rule, ctypes.c_uint32(0))
        return bool(libc.syscall(*asked) == 0)
    finally:
        os.close(at)
