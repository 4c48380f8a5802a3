"""What a process that is killed leaves, at each system call that writes, syncs, renames or removes.

Also what a library calls is seen. The child is forked from a process that has loaded everything, and is
watched with ptrace(2). Linux on x86-64 alone; elsewhere ``CAN_WATCH`` is false.
"""

import ctypes
import os
import platform
import shutil
import signal
import sys
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

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


def watched(work: Callable[[], None], seen: Callable[[str], None]) -> None:
    """Runs ``work`` in a child and calls ``seen`` with each such call that it is about to make.

    What lies on the disk then is what a kill at this moment leaves: so one run shows every kill.
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
    entering, deliver = True, 0
    while True:
        _ptrace(CONTINUE_TO_CALL, child, 0, deliver)
        _, status = os.waitpid(child, 0)
        if os.WIFEXITED(status) or os.WIFSIGNALED(status):
            assert os.WIFEXITED(status) and os.WEXITSTATUS(status) == 0, f"the child failed: {status}"
            return
        deliver = 0
        if os.WSTOPSIG(status) != signal.SIGTRAP | 0x80:
            deliver = os.WSTOPSIG(status)
            continue
        if entering and (name := CALLS.get(_ptrace(PEEK_USER, child, NUMBER_OF_CALL))):
            seen(name)
        entering = not entering


Files = dict[str, bytes]


def lying_in(folder: Path) -> Files:
    """Every file below a folder, and every folder as a name that ends with a slash."""
    found: Files = {}
    for path in sorted(folder.rglob("*")):
        name = path.relative_to(folder).as_posix()
        if path.is_dir():
            found[f"{name}/"] = b""
        else:
            found[name] = path.read_bytes()
    return found


def laid_out(files: Files, folder: Path) -> Path:
    """The files in a folder of their own, whatever lay there before."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    for name, data in files.items():
        if name.endswith("/"):
            (folder / name).mkdir(parents=True, exist_ok=True)
        else:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            (folder / name).write_bytes(data)
    return folder


def states_of(work: Callable[[], None], folder: Path) -> tuple[list[Files], int]:
    """What a kill at each call leaves in a folder, each different state once, and how many calls there were."""
    states: list[Files] = []
    known: set[bytes] = set()
    calls = 0

    def seen(_name: str) -> None:
        nonlocal calls
        calls += 1
        files = lying_in(folder)
        told = sha256(b"".join(name.encode() + b"\0" + sha256(data).digest() for name, data in files.items()))
        if told.digest() not in known:
            known.add(told.digest())
            states.append(files)

    watched(work, seen)
    return states, calls
