"""Kills a process at the n-th system call that writes, syncs, renames or removes: also what a library calls.

The child is forked from a process that has loaded everything, and is watched with ptrace(2). Linux on x86-64
alone; elsewhere ``CAN_WATCH`` is false.
"""

import ctypes
import os
import platform
import signal
import sys
from collections.abc import Callable

CAN_WATCH = sys.platform == "linux" and platform.machine() == "x86_64"

TRACE_ME, PEEK_USER, CONTINUE_TO_CALL, SET_OPTIONS = 0, 3, 24, 0x4200
STOP_SHOWS_CALL, DIE_WITH_US = 1, 0x100000
NUMBER_OF_CALL = 8 * 15
"""Where the child's call stands: ``orig_rax`` in struct user_regs_struct."""
CALLS = {
    1: "write", 18: "pwrite64", 20: "writev", 74: "fsync", 75: "fdatasync", 76: "truncate", 77: "ftruncate",
    82: "rename", 84: "rmdir", 86: "link", 87: "unlink", 263: "unlinkat", 264: "renameat", 265: "linkat",
    296: "pwritev", 316: "renameat2",
}  # fmt: skip
"""Linux, x86-64: arch/x86/entry/syscalls/syscall_64.tbl."""


def _ptrace(request: int, pid: int, where: int = 0, data: int = 0) -> int:
    call = ctypes.CDLL(None, use_errno=True).ptrace
    call.argtypes = [ctypes.c_long, ctypes.c_long, ctypes.c_void_p, ctypes.c_void_p]
    call.restype = ctypes.c_long
    return int(call(request, pid, where, data))


def run_killed(work: Callable[[], None], at: int) -> list[str] | None:
    """Runs ``work`` in a child that is killed as it enters its ``at``-th such call (from 1).

    Returns None where it was killed, and every call that it made where it came to its end before.
    """
    child = os.fork()
    if child == 0:
        _ptrace(TRACE_ME, 0)
        os.kill(os.getpid(), signal.SIGSTOP)
        status = 1
        try:
            work()
            status = 0
        finally:
            os._exit(status)
    os.waitpid(child, 0)
    _ptrace(SET_OPTIONS, child, 0, STOP_SHOWS_CALL | DIE_WITH_US)
    return _watch(child, at)


def _watch(child: int, at: int) -> list[str] | None:
    made: list[str] = []
    entering = True
    deliver = 0
    while True:
        _ptrace(CONTINUE_TO_CALL, child, 0, deliver)
        _, status = os.waitpid(child, 0)
        if os.WIFEXITED(status) or os.WIFSIGNALED(status):
            assert os.WIFEXITED(status) and os.WEXITSTATUS(status) == 0, f"the child failed: {status}"
            return made
        deliver = 0
        if os.WSTOPSIG(status) != signal.SIGTRAP | 0x80:
            deliver = os.WSTOPSIG(status)
            continue
        if entering and (name := CALLS.get(_ptrace(PEEK_USER, child, NUMBER_OF_CALL))):
            made.append(name)
            if len(made) == at:
                os.kill(child, signal.SIGKILL)
                os.waitpid(child, 0)
                return None
        entering = not entering
