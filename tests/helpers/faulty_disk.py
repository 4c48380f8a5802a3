"""A disk on which one call fails: the n-th that opens for writing, writes, syncs, makes, links or renames.

Only calls made through Python are seen. What a library writes by itself is tried on a disk that is really
full; see ``test_faults_of_disk.py``.
"""

import builtins
import io
import os
import shutil
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


class Kept(Disk):
    """Keeps what lies in a folder at each call, each different state once: what a kill then leaves."""

    def __init__(self, folder: str, keep_as: str) -> None:
        super().__init__(sys.maxsize, killed)
        self.folder, self.keep_as = folder, keep_as
        self.last: dict[str, bytes] = {}
        self.busy = False
        """It keeps files itself, by the calls that it watches."""

    def reached(self, what: str, path: object) -> None:
        if self.busy:
            return
        self.busy = True
        try:
            super().reached(what, path)
            self.keep()
        finally:
            self.busy = False

    def keep(self) -> None:
        files = {str(each): each.read_bytes() for each in Path(self.folder).rglob("*") if each.is_file()}
        if files != self.last:
            self.last = files
            shutil.copytree(self.folder, f"{self.keep_as}-{len(self.calls)}")
            print(len(self.calls), flush=True, file=sys.__stdout__)


def main() -> None:
    """``faulty_disk.py SHOP WORDS...``: what a kill at call N leaves, in SHOP-N, for every N that differs.

    Prints every N. SHOP-0 is a run that nobody kills.
    """
    from reconcile.cli import app

    shop, *words = sys.argv[1:]

    def run(folder: str, disk: Disk) -> None:
        shutil.copytree(shop, folder)
        Path(folder, "tmp").mkdir()
        os.environ["RECONCILE_CACHE"] = f"{folder}/cache"
        os.environ["TMPDIR"] = f"{folder}/tmp"
        with redirect_stdout(io.StringIO()), faulty(disk):
            app([word.replace(shop, folder) for word in words], standalone_mode=False)

    run(f"{shop}-0", Disk(sys.maxsize, killed))
    run(f"{shop}-run", Kept(f"{shop}-run", shop))


if __name__ == "__main__":
    main()
