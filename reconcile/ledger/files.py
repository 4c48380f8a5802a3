"""What ledger and workbooks need of a folder: digests, free names, names aside, waiting for the disk."""

import hashlib
import os
import re
import secrets
from contextlib import suppress
from itertools import chain, count
from pathlib import Path

_ASIDE = re.compile(r"\.reconcile-closing-[0-9a-f]{16}\.(?:new|old)")


def digest(path: Path) -> str:
    """The SHA-256 of a file; "" where there is none."""
    try:
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
        return [path for path in folder.iterdir() if _ASIDE.fullmatch(path.name)]
    return []


def sync_folder(folder: Path) -> None:
    """Waits until the folder's entries are on the disk, where the system can say so."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
