"""Outputs are written whole or not at all: aside first, then renamed into place."""

import os
import secrets
import shutil
from collections.abc import Callable, Sequence
from contextlib import suppress
from pathlib import Path

from reconcile.values.problem import Place, Problem, Unusable, problem

Writer = Callable[[Path], None]
"""Writes one file at the path it is given."""


def write_whole(path: Path, write: Writer, force: bool = False) -> None:
    """Write one file; see ``write_all``."""
    write_all([(path, write)], force)


def write_all(outputs: Sequence[tuple[Path, Writer]], force: bool = False) -> None:
    """Write several files: every one is finished beside its place before the first is renamed into it.

    Raises Unusable: ``output-exists`` for each file that is there already, unless ``force``;
    ``output-locked`` where a file or folder may not be written. Old files are then as they were, and
    nothing is left lying about. Renames follow one another: should a later one fail, its problem says
    which files were already replaced.
    """
    targets = [(path.resolve(), write) for path, write in outputs]
    if not force and (there := [_exists(path) for path, _ in targets if path.exists()]):
        raise Unusable(*there)
    aside: list[tuple[Path, Path]] = []
    try:
        for path, write in targets:
            aside.append((_place_aside(path), path))
            _write_one(*aside[-1], write)
        _rename_all(aside)
    finally:
        for temporary, _ in aside:
            with suppress(OSError):  # whatever stopped the writing is the fault to tell
                temporary.unlink(missing_ok=True)


def _place_aside(path: Path) -> Path:
    """An empty file in the same folder, so that the rename cannot cross disks, with the usual rights."""
    temporary = path.with_name(f".{secrets.token_hex(8)}{path.suffix}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        temporary.touch(exist_ok=False)
    except OSError as fault:
        raise Unusable(_locked(path, fault, did="Nothing was written.")) from fault
    with suppress(OSError):  # some shared folders keep no rights, and an old file may not be there
        shutil.copymode(path, temporary)
    return temporary


def _write_one(temporary: Path, path: Path, write: Writer) -> None:
    try:
        write(temporary)
        with temporary.open("rb+") as written:
            os.fsync(written.fileno())
    except OSError as fault:
        raise Unusable(_locked(path, fault, did="Nothing was written.")) from fault


def _rename_all(aside: list[tuple[Path, Path]]) -> None:
    done: list[str] = []
    for temporary, path in aside:
        try:
            temporary.replace(path)
        except OSError as fault:
            replaced = f" Already written: {', '.join(done)}." if done else ""
            raise Unusable(_locked(path, fault, did=f"The old file is as it was.{replaced}")) from fault
        done.append(path.name)


def _exists(path: Path) -> Problem:
    return problem("output-exists", Place(path.name), f"{path.name} is already there.")


def _locked(path: Path, fault: OSError, *, did: str) -> Problem:
    why = fault.strerror or type(fault).__name__
    return problem("output-locked", Place(path.name), f"{path.name} cannot be written: {why}.", did=did)
