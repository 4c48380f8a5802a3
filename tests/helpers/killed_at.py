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
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path

CAN_WATCH = sys.platform == "linux" and platform.machine() == "x86_64"

TRACE_ME, PEEK_USER, CONTINUE_TO_CALL, SET_OPTIONS = 0, 3, 24, 0x4200
STOP_SHOWS_CALL, DIE_WITH_US = 1, 0x100000
NUMBER_OF_CALL, RESULT = 8 * 15, 8 * 10
GONE = -(10**9)
"""Where the child's call stands: ``orig_rax`` in struct user_regs_struct."""
CALLS = {
    1: "write", 18: "pwrite64", 20: "writev", 40: "sendfile", 74: "fsync", 75: "fdatasync", 76: "truncate",
    77: "ftruncate", 82: "rename", 84: "rmdir", 86: "link", 87: "unlink", 263: "unlinkat", 264: "renameat",
    265: "linkat", 296: "pwritev", 316: "renameat2",
}  # fmt: skip
"""Linux, x86-64: arch/x86/entry/syscalls/syscall_64.tbl."""


def _ptrace(request: int, pid: int, where: int = 0, data: int = 0) -> int:
    call = ctypes.CDLL(None, use_errno=True).ptrace
    call.argtypes = [ctypes.c_long, ctypes.c_long, ctypes.c_void_p, ctypes.c_void_p]
    call.restype = ctypes.c_long
    return int(call(request, pid, where, data))


def start(work: Callable[[], None]) -> int:
    """A child that is about to do the work, and is watched."""
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
    return child


def calls_of(
    child: int, names: dict[int, str], words: tuple[int, ...] = ()
) -> Iterator[tuple[str, list[int], Callable[[], int]]]:
    """Each call of these names that a child is about to make, its words, and what lets it make the call.

    That gives the call's result; where nobody asks for it, the call is made all the same.
    """
    while (number := _next_stop(child)) is not None:
        left: list[int] = []

        def leave(left: list[int] = left) -> int:
            if not left:
                ended = _next_stop(child) is None
                left.append(GONE if ended else _ptrace(PEEK_USER, child, RESULT))
            return left[0]

        if name := names.get(number):
            yield name, [_ptrace(PEEK_USER, child, word) for word in words], leave
        if leave() == GONE:
            return


def _next_stop(child: int) -> int | None:
    """The number of the call at which the child stops, on its way in or out; None where it has ended."""
    deliver = 0
    while True:
        _ptrace(CONTINUE_TO_CALL, child, 0, deliver)
        _, status = os.waitpid(child, 0)
        if os.WIFEXITED(status) or os.WIFSIGNALED(status):
            assert os.WIFEXITED(status) and os.WEXITSTATUS(status) == 0, f"the child failed: {status}"
            return None
        if os.WSTOPSIG(status) == signal.SIGTRAP | 0x80:
            return _ptrace(PEEK_USER, child, NUMBER_OF_CALL)
        deliver = os.WSTOPSIG(status)


def watched(work: Callable[[], None], seen: Callable[[str], None]) -> None:
    """Runs ``work`` in a child and calls ``seen`` with each such call that it is about to make.

    What lies on the disk then is what a kill at this moment leaves: so one run shows every kill.
    """
    for name, _, _ in calls_of(start(work), CALLS):
        seen(name)


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
    """What a kill at each call leaves in a folder, each state once; and how many calls there were."""
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
