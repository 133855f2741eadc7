"""A filter on system calls: no sockets, no other processes, no other program, nothing changed of files but by writing.

Linux alone, by prctl(2) and seccomp(2) as the kernel documents them (Documentation/userspace-api/seccomp_filter.rst); numbers
of calls by asm/unistd_64.h and asm-generic/unistd.h. What the filter refuses fails with EPERM.
"""

from __future__ import annotations

import ctypes
import errno
import platform
import struct

_ARCHITECTURES = {"x86_64": (0xC000003E, 0), "aarch64": (0xC00000B7, 1)}
"""AUDIT_ARCH of a machine, and which of the numbers below are its own."""
_NO_CALL = -1
REFUSED = {
    "socket": (41, 198), "socketpair": (53, 199), "connect": (42, 203), "bind": (49, 200), "listen": (50, 201),
    "accept": (43, 202), "accept4": (288, 242), "sendto": (44, 206), "sendmsg": (46, 211),
    "fork": (57, _NO_CALL), "vfork": (58, _NO_CALL), "execve": (59, 221), "execveat": (322, 281),
    "kill": (62, 129), "tkill": (200, 130), "pidfd_send_signal": (424, 424), "pidfd_open": (434, 434), "pidfd_getfd": (438, 438),
    "ptrace": (101, 117), "process_vm_readv": (310, 270), "process_vm_writev": (311, 271), "setsid": (112, 157),
    "setpgid": (109, 154), "setrlimit": (160, 164), "unshare": (272, 97), "setns": (308, 268), "mount": (165, 40),
    "umount2": (166, 39), "pivot_root": (155, 41), "chroot": (161, 51), "bpf": (321, 280), "perf_event_open": (298, 241),
    "keyctl": (250, 219), "add_key": (248, 217), "request_key": (249, 218), "userfaultfd": (323, 282),
    "io_uring_setup": (425, 425), "open_by_handle_at": (304, 265), "chmod": (90, _NO_CALL), "fchmod": (91, 52),
    "fchmodat": (268, 53), "chown": (92, _NO_CALL), "fchown": (93, 55), "lchown": (94, _NO_CALL), "fchownat": (260, 54),
    "utimensat": (280, 88), "setxattr": (188, 5), "lsetxattr": (189, 6), "fsetxattr": (190, 7), "shmget": (29, 194),
    "msgget": (68, 186), "mq_open": (240, 180), "setuid": (105, 146), "setgid": (106, 144), "init_module": (175, 105),
    "finit_module": (313, 273), "kexec_load": (246, 104), "reboot": (169, 142), "settimeofday": (164, 170),
    "clock_settime": (227, 112), "sethostname": (170, 161),
}  # fmt: skip
"""Calls that fail, each with its number on x86_64 and on aarch64."""
_CLONE, _CLONE3, _PRLIMIT = (56, 220), (435, 435), (302, 261)
_THREAD = 0x10000
"""CLONE_THREAD: what is begun with it is a thread of this process, not another process."""
_LOAD, _EQUAL, _AT_LEAST, _ANY_BIT, _RETURN = 0x20, 0x15, 0x35, 0x45, 0x06
_NUMBER, _ARCHITECTURE = 0, 4
_ALLOW, _FAIL, _KILL = 0x7FFF0000, 0x00050000, 0x80000000
_SET_NO_NEW_PRIVILEGES, _SET_SECCOMP, _FILTER = 38, 22, 2


def calls_can_be_closed() -> bool:
    """Whether the system has such a filter; nothing is closed."""
    if platform.system() != "Linux" or platform.machine() not in _ARCHITECTURES:
        return False
    zero = ctypes.c_ulong(0)
    libc = ctypes.CDLL(None, use_errno=True)
    libc.prctl(
        _SET_SECCOMP, ctypes.c_ulong(_FILTER), None, zero, zero
    )  # without a filter it fails, by EFAULT where there are any
    return ctypes.get_errno() == errno.EFAULT


def close_system_calls() -> bool:
    """Refuse those calls to this process from now on; False where the system has no such filter."""
    known = _ARCHITECTURES.get(platform.machine())
    if platform.system() != "Linux" or known is None:
        return False
    program = _program(*known)
    code = ctypes.create_string_buffer(program, len(program))

    class Program(ctypes.Structure):
        _fields_ = (("length", ctypes.c_ushort), ("code", ctypes.c_void_p))

    filter = Program(len(program) // 8, ctypes.addressof(code))
    libc = ctypes.CDLL(None, use_errno=True)
    zero = ctypes.c_ulong(0)
    if libc.prctl(_SET_NO_NEW_PRIVILEGES, ctypes.c_ulong(1), zero, zero, zero) != 0:
        return False
    return bool(libc.prctl(_SET_SECCOMP, ctypes.c_ulong(_FILTER), ctypes.byref(filter), zero, zero) == 0)


def _program(architecture: int, machine: int) -> bytes:
    """Return the filter as the kernel runs it: instructions of 8 bytes, each (code, jump if true, jump if false, number)."""
    failing = _FAIL | errno.EPERM
    steps = [
        (_LOAD, 0, 0, _ARCHITECTURE),
        (_EQUAL, 1, 0, architecture),
        (_RETURN, 0, 0, _KILL),
        (_LOAD, 0, 0, _NUMBER),
        (_AT_LEAST, 0, 1, 0x40000000),  # the other numbering of x86_64
        (_RETURN, 0, 0, failing),
        (_EQUAL, 0, 1, _CLONE3[machine]),  # its flags stand in memory, where no filter looks; libraries then use clone
        (_RETURN, 0, 0, _FAIL | errno.ENOSYS),
        (_EQUAL, 0, 4, _CLONE[machine]),
        (_LOAD, 0, 0, _argument(0)),
        (_ANY_BIT, 1, 0, _THREAD),
        (_RETURN, 0, 0, failing),
        (_RETURN, 0, 0, _ALLOW),
        (_EQUAL, 0, 6, _PRLIMIT[machine]),  # asking for limits is allowed, setting them is not
        (_LOAD, 0, 0, _argument(2)),
        (_EQUAL, 0, 3, 0),
        (_LOAD, 0, 0, _argument(2) + 4),
        (_EQUAL, 0, 1, 0),
        (_RETURN, 0, 0, _ALLOW),
        (_RETURN, 0, 0, failing),
    ]
    for numbers in REFUSED.values():
        if numbers[machine] != _NO_CALL:
            steps += [(_EQUAL, 0, 1, numbers[machine]), (_RETURN, 0, 0, failing)]
    steps.append((_RETURN, 0, 0, _ALLOW))
    return b"".join(struct.pack("<HBBI", *step) for step in steps)


def _argument(index: int) -> int:
    """Return where the lower half of a call's argument stands: after number, architecture and instruction pointer."""
    return 16 + 8 * index
