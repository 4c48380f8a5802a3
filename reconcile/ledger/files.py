"""What ledger and workbooks need of a folder: digests, names aside, copies kept, waiting for the disk."""

import hashlib
import os
import secrets
import shutil
import stat
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from itertools import chain, count
from pathlib import Path

from reconcile.ledger.trust import ASIDE
from reconcile.values.problem import Place, Unusable, problem


def digest(path: Path) -> str:
    """The SHA-256 of a plain file; "" where there is none."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return ""
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except FileNotFoundError:
        return ""


def free_path(path: Path) -> Path:
    """The path, or with a number where a file has that name already: ``stock before 2026-W49 (2).xlsx``."""
    numbered = (path.with_name(f"{path.stem} ({number}){path.suffix}") for number in count(2))
    return next(each for each in chain((path,), numbered) if not each.exists())


def aside_name(ending: str) -> str:
    """A name for a file that is not in its place yet; a stopped run's are cleared away by the next one."""
    return f".reconcile-closing-{secrets.token_hex(8)}.{ending}"


def litter(folder: Path) -> list[Path]:
    """Files aside that a stopped run left."""
    with suppress(OSError):
        return [path for path in folder.iterdir() if ASIDE.fullmatch(path.name)]
    return []


def sync_folder(folder: Path) -> None:
    """Waits until the folder's entries are on the disk, where the system can say so."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def write_aside(path: Path, data: bytes, like: Path) -> None:
    """A new file, with the rights of another, waited for until the disk has it."""
    with path.open("xb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())
    with suppress(OSError):  # some shared folders keep no rights
        shutil.copymode(like, path)
    sync_folder(path.parent)


def keep_copy(old: Path, kept: Path) -> None:
    """A copy of the old workbook under its second name.

    No hard link: a program that writes over the old file in place would change both names' content.
    """
    if digest(kept) == digest(old):
        return
    kept.parent.mkdir(exist_ok=True)
    aside = old.with_name(aside_name("old"))  # where what a stop leaves is looked for
    write_aside(aside, old.read_bytes(), like=old)
    aside.replace(free_path(kept))
    sync_folder(kept.parent)


def put_in_place(
    path: Path, data: bytes, seen: str, kept: Path | None, code: str = "jobs-changed-meanwhile"
) -> None:
    """A changed workbook in the place of the one it was made from, of which a copy is ``kept``, if any.

    Stopped at whatever moment, the workbook is whole, old or new. Within ``Ledger.held``, so that nobody
    takes the file aside for litter. ``seen``: the digest of what it was made from. Raises Unusable:
    ``code`` where it is another one by now; output-locked.
    """
    aside = path.with_name(aside_name("new"))
    with disk(path):
        try:
            write_aside(aside, data, like=path)
            if digest(path) != seen:
                says = f"{path.name} was changed after it was read."
                raise Unusable(problem(code, Place(path.name), says))
            if kept is not None:
                keep_copy(path, kept)
            aside.replace(path)
        finally:
            aside.unlink(missing_ok=True)
        sync_folder(path.parent)


@contextmanager
def disk(path: Path, did: str = "") -> Iterator[None]:
    """What the disk refuses within, as a problem. Raises Unusable (output-locked)."""
    try:
        yield
    except OSError as fault:
        says = f"{path.name} cannot be read or written: {fault.strerror or fault}."
        raise Unusable(problem("output-locked", Place(path.name), says, did=did)) from fault
