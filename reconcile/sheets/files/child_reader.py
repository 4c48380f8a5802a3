"""The fast reader in a process of its own, where running out of memory ends that process and not ours.

Some files make the fast reader ask for more memory than there is, and the whole process is then ended by
the system. Those kinds whose reach cannot be seen beforehand are therefore read by a child, which gets a
copy of the file, is asked for one sheet after another, and hands the rows back.
"""

import contextlib
import io
import os
import pickle
import shutil
import subprocess
import sys
import tempfile
import threading
import weakref
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from reconcile.sheets.files.fast_reader import (
    TOO_FAR,
    CellValue,
    Extent,
    FastBook,
    ReaderFailed,
    TooManyCells,
)
from reconcile.values.settings import MEGABYTE, Limits

Answer = tuple[Any, ...]
"""What a child says: a word for its kind, and what that kind brings."""

SECONDS = 60
"""Longest time for one answer."""
ROOM, ROOM_FOR_CELL = 300 * MEGABYTE, 80
"""Bytes of memory for the program itself, and for each cell that a sheet may have."""
MOST_ROOM = 1 << 40
_CODE = "import sys; sys.path[:] = {path!r}; from reconcile.sheets.files.child_reader import serve; serve()"
_SHEETS, _BATCH, _END, _FAILED, _TOO_MANY = "sheets", "batch", "end", "failed", "too many"


class ChildBook:
    """A workbook opened by the fast reader in a child process; used, and raises, as ``FastBook``."""

    def __init__(self, data: bytes, ending: str, limits: Limits, seconds: float = SECONDS) -> None:
        self._limits, self._seconds = limits, seconds
        # A copy, since the file itself may change under us, and since its own ending may be in capitals.
        try:
            folder = tempfile.mkdtemp(prefix="reconcile-")
            weakref.finalize(self, shutil.rmtree, folder, ignore_errors=True)
            self._copy = Path(folder) / f"workbook{ending}"
            self._copy.write_bytes(data)
        except OSError as why:
            says = f"is read from a copy in the folder for temporary files, which failed ({why.strerror})"
            raise ReaderFailed("file-unreadable", says) from why
        self._child: _Child | None = None
        self._start()
        self.sheets: list[tuple[str, bool]] = self._answer()[1]

    def read(self, name: str, most_cells: int) -> tuple[Extent, list[list[CellValue]]]:
        """All rows of a sheet."""
        if self._child is None:
            self._start()
            self._answer()
        self._ask((name, most_cells))
        extent: Extent = self._answer()[1]
        rows: list[list[CellValue]] = []
        while (answer := self._answer())[0] == _BATCH:
            rows += answer[1]
        return extent, rows

    def _start(self) -> None:
        size = self._copy.stat().st_size
        room = min(ROOM + ROOM_FOR_CELL * self._limits.cells + 2 * size, MOST_ROOM)
        try:
            self._child = _Child(self._seconds)
        except OSError as why:
            says = f"is read by a process of its own, which did not start ({why.strerror})"
            raise ReaderFailed("file-unreadable", says) from why
        self._ask((str(self._copy), room))

    def _ask(self, question: object) -> None:
        assert self._child is not None
        with contextlib.suppress(OSError):  # it has ended, which its answer will show
            self._child.ask(question)

    def _answer(self) -> Answer:
        """The child's next answer; raises what it says, or what its end means."""
        assert self._child is not None
        answer = self._child.answer()
        if answer is None:
            why = self._child.why_it_ended()
            self._child = None
            raise why
        if answer[0] == _FAILED:
            raise ReaderFailed(*answer[1:])
        if answer[0] == _TOO_MANY:
            raise TooManyCells(*answer[1:])
        return answer


class _Child:
    """A running child, ended when it is no longer wanted or takes too long."""

    def __init__(self, seconds: float) -> None:
        self._seconds = seconds
        self._late = threading.Event()
        self._errors = tempfile.TemporaryFile()  # noqa: SIM115 - it lives as long as the child
        code = _CODE.format(path=[each or str(Path.cwd()) for each in sys.path])
        try:
            self._process = subprocess.Popen(
                [sys.executable, "-c", code],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=self._errors,
            )
        except OSError:
            self._errors.close()
            raise
        self._ended = weakref.finalize(self, _end, self._process, self._errors)

    def ask(self, question: object) -> None:
        stdin = self._process.stdin
        assert stdin is not None
        with self._hurried():
            pickle.dump(question, stdin)
            stdin.flush()

    def answer(self) -> Answer | None:
        """The next answer; None if the child has ended without one."""
        assert self._process.stdout is not None
        with self._hurried():
            try:
                answer: Answer = _Plain(self._process.stdout).load()
            except (EOFError, OSError, pickle.UnpicklingError):
                return None
        return answer

    def why_it_ended(self) -> ReaderFailed:
        self._process.kill()
        self._process.wait()
        self._errors.seek(0)
        said = self._errors.read(1 << 16)
        self._ended()
        if self._late.is_set():
            return ReaderFailed("file-too-large", f"takes longer to read than {self._seconds:g} seconds")
        if b"memory allocation" in said or b"MemoryError" in said or b"capacity overflow" in said:
            return ReaderFailed("file-too-large", TOO_FAR)
        return ReaderFailed("file-broken", "is damaged; its reader gave up")

    @contextlib.contextmanager
    def _hurried(self) -> Iterator[None]:
        """Runs a clock that ends the child when it takes too long."""
        timer = threading.Timer(self._seconds, _end_late, (self._process, self._late))
        timer.daemon = True
        timer.start()
        try:
            yield
        finally:
            timer.cancel()


def _end_late(process: subprocess.Popen[bytes], late: threading.Event) -> None:
    late.set()
    process.kill()


def _end(process: subprocess.Popen[bytes], errors: IO[bytes]) -> None:
    process.kill()
    for stream in (process.stdin, process.stdout, errors):
        with contextlib.suppress(OSError):
            if stream is not None:
                stream.close()
    process.wait()


class _Plain(pickle.Unpickler):
    """Takes plain values alone from a process that has read a stranger's file."""

    def find_class(self, module: str, name: str) -> object:
        if module == "datetime" or (module, name) == (Extent.__module__, Extent.__name__):
            return super().find_class(module, name)
        raise pickle.UnpicklingError(f"{module}.{name}")


# in the child


def serve() -> None:
    """Answers on standard output what is asked on standard input, until that ends."""
    answers = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    questions = sys.stdin.buffer
    path, room = pickle.load(questions)
    _keep_within(room)
    book = _open(path, answers)
    while book is not None:
        try:
            name, most_cells = pickle.load(questions)
        except EOFError:
            return
        _read(book, name, most_cells, answers)


def _keep_within(room: int) -> None:
    try:
        import resource
    except ImportError:  # where there is no such limit, the system's own must do
        return
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    allowed = room if most == resource.RLIM_INFINITY else min(room, most)
    resource.setrlimit(resource.RLIMIT_AS, (allowed, most))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _say(answers: IO[bytes], *answer: object) -> None:
    packed = io.BytesIO()
    pickle.dump(answer, packed, pickle.HIGHEST_PROTOCOL)
    answers.write(packed.getbuffer())
    answers.flush()


def _open(path: str, answers: IO[bytes]) -> FastBook | None:
    try:
        book = FastBook(path)
    except ReaderFailed as why:
        _say(answers, _FAILED, why.code, why.says)
        return None
    _say(answers, _SHEETS, book.sheets)
    return book


def _read(book: FastBook, name: str, most_cells: int, answers: IO[bytes]) -> None:
    try:
        extent, batches = book.batches(name, most_cells)
        _say(answers, _SHEETS, extent)
        for batch in batches:
            _say(answers, _BATCH, batch)
        _say(answers, _END)
    except ReaderFailed as why:
        _say(answers, _FAILED, why.code, why.says)
    except TooManyCells as why:
        _say(answers, _TOO_MANY, why.rows, why.columns)
