"""A disk on which one call fails: the n-th that opens for writing, writes, syncs, makes, links or renames.

Only calls made through Python are seen. What a library writes by itself is tried on a disk that is really
full; see ``test_faults_of_disk.py``.
"""

import builtins
import io
import os
import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stdout
from errno import EACCES, EIO, ENOSPC
from pathlib import Path

Fault = Callable[[], None]
WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT


def raising(number: int) -> Fault:
    def fail() -> None:
        raise OSError(number, os.strerror(number))

    return fail


FULL, BROKEN, FORBIDDEN = raising(ENOSPC), raising(EIO), raising(EACCES)


def killed() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


class Disk:
    """Counts the calls; from the ``at``-th on ``fault`` happens, once or, if it is lasting, each time."""

    def __init__(self, at: int, fault: Fault, *, lasting: bool = False) -> None:
        self.at, self.fault, self.lasting = at, fault, lasting
        self.calls: list[tuple[str, str]] = []

    def reached(self, what: str, path: object) -> None:
        self.calls.append((what, str(path)))
        if len(self.calls) == self.at or (self.lasting and len(self.calls) > self.at):
            self.fault()

    @property
    def failed(self) -> bool:
        return len(self.calls) >= self.at

    @property
    def written_to(self) -> set[str]:
        """The paths that were opened for writing, or were replaced."""
        return {path for _, path in self.calls}


def text_words(named: dict[str, object]) -> dict[str, object]:
    return {word: named[word] for word in ("encoding", "errors", "newline") if word in named}


@contextmanager
def faulty(disk: Disk) -> Iterator[Disk]:
    """Within it, calls go through the disk. A write that a buffer holds back fails when it is let go."""
    real_open, real_os_open = builtins.open, os.open

    class Raw(io.FileIO):
        def write(self, data):
            disk.reached("write", self.name)
            return super().write(data)

    def opened(file, mode="r", *more, **named):
        if isinstance(file, int) or not set(mode) & set("wax+"):
            return real_open(file, mode, *more, **named)
        disk.reached("open", file)
        raw = Raw(file, mode.replace("b", "").replace("t", ""), opener=named.get("opener"))
        held = io.BufferedRandom(raw) if "+" in mode else io.BufferedWriter(raw)
        return held if "b" in mode else io.TextIOWrapper(held, *more[1:4], **text_words(named))

    def os_opened(path, flags, *more, **named):
        if flags & WRITES:
            disk.reached("open", path)
        return real_os_open(path, flags, *more, **named)

    def seen(name: str, which: int):
        real = getattr(os, name)

        def call(*words, **named):
            disk.reached(name, words[which])
            return real(*words, **named)

        return call

    changed = [(builtins, "open", opened), (io, "open", opened), (os, "open", os_opened)]
    by_path = (("write", 0), ("fsync", 0), ("mkdir", 0), ("link", 1), ("replace", 1), ("rename", 1))
    changed += [(os, name, seen(name, which)) for name, which in by_path]
    real = [(where, name, getattr(where, name)) for where, name, _ in changed]
    try:
        for where, name, instead in changed:
            setattr(where, name, instead)
        yield disk
    finally:
        for where, name, before in real:
            setattr(where, name, before)


def worth_trying(calls: list[tuple[str, str]], thin: int = 1) -> Iterator[int]:
    """The numbers of the calls; of writes, which follow one another by the dozen, each ``thin``-th."""
    for number, (what, _) in enumerate(calls, 1):
        if what != "write" or number % thin == 0:
            yield number


def main() -> None:
    """``faulty_disk.py SHOP WORDS...``: the command killed at call N, in SHOP-N, for N worth trying.

    Prints every N. SHOP-0 is a run that nobody kills.
    """
    import shutil

    from reconcile.cli import app

    shop, *words = sys.argv[1:]

    def run(number: int, disk: Disk) -> None:
        folder = f"{shop}-{number}"
        shutil.copytree(shop, folder)
        Path(folder, "tmp").mkdir()
        os.environ["RECONCILE_CACHE"] = f"{folder}/cache"
        os.environ["TMPDIR"] = f"{folder}/tmp"
        with redirect_stdout(io.StringIO()), faulty(disk):
            app([word.replace(shop, folder) for word in words], standalone_mode=False)

    whole = Disk(sys.maxsize, killed)
    run(0, whole)  # whatever is loaded here, no child need load
    for number in worth_trying(whole.calls, thin=10):
        if (child := os.fork()) == 0:
            run(number, Disk(number, killed))
            os._exit(1)
        if os.WIFSIGNALED(os.waitpid(child, 0)[1]):
            print(number, flush=True)


if __name__ == "__main__":
    main()
