"""Outputs are written whole or not at all: aside first, then renamed into place."""

import os
import platform
import re
import shutil
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from hashlib import sha256
from itertools import count
from pathlib import Path

from reconcile.values.problem import Place, Problem, Unusable, problem

Writer = Callable[[Path], None]
"""Writes one file at the path it is given."""

_ASIDE = re.compile(r"\.reconcile-([0-9a-f]{16,})\.(?:new|old)")
_NUMBERS = count(1)
"""How files are named until an output is in its place."""

FORGOTTEN = 24 * 60 * 60
"""Seconds after which such a file belongs to no run that could still finish."""


def unwatched(_stage: str) -> None:
    """For whom nobody watches."""


@dataclass(slots=True)
class _Output:
    """One file on its way: the path it will have, the new file aside, and the old one kept meanwhile."""

    path: Path
    new: Path
    kept: Path | None = None
    there: bool = False
    """The new file is in its place, or may be."""


def write_whole(path: Path, write: Writer, force: bool = False) -> None:
    """Write one file; see ``write_all``."""
    write_all([(path, write)], force)


def write_all(
    outputs: Sequence[tuple[Path, Writer]], force: bool = False, stage: Callable[[str], None] = unwatched
) -> None:
    """Write several files: every one is finished beside its place before the first is renamed into it.

    ``stage`` is told which of them is being written.

    Raises Unusable: ``output-exists`` for each file that is there already, unless ``force``;
    ``output-locked`` where a file or folder may not be written, the disk is full, or the like. All files
    are then as they were, and nothing is left lying about; should even that fail, the problem names the
    files that are new. A run that is killed leaves each file whole, old or new.
    """
    targets = [(_resolved(path), write) for path, write in outputs]
    if not force and (there := [_exists(path) for path, _ in targets if _is_there(path)]):
        raise Unusable(*there)
    made: list[Path] = []
    under_way: list[_Output] = []
    try:
        for number, (path, write) in enumerate(targets, 1):
            stage(f"Writing {path.name} ({number} of {len(targets)})")
            _make_folder(path, made)
            under_way.append(_Output(path, _place_aside(path)))
            _write_one(under_way[-1], write)
        _rename_all(under_way)
    except BaseException:
        _tidy(under_way)
        for folder in reversed(made):
            with suppress(OSError):  # something else may lie in it by now
                folder.rmdir()
        raise
    _tidy(under_way)


def _resolved(path: Path) -> Path:
    try:
        return path.resolve()
    except (OSError, RuntimeError) as fault:  # a link that leads to itself
        raise Unusable(_unwritable(path, fault)) from fault


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError as fault:  # a name too long, or a folder that may not be looked into
        raise Unusable(_unwritable(path, fault)) from fault


def _make_folder(path: Path, made: list[Path]) -> None:
    """The file's folder, those above it first; ``made`` gets every one that was not there."""
    missing = []
    folder = path.parent
    while not _is_there(folder):
        missing.append(folder)
        folder = folder.parent
    clear_forgotten(folder)
    for lack in reversed(missing):
        try:
            lack.mkdir(exist_ok=True)
        except OSError as fault:
            raise Unusable(_unwritable(path, fault)) from fault
        made.append(lack)


def clear_forgotten(folder: Path) -> None:
    """Removes the files, and folders, that a run that was killed here had not finished.

    At once where that run was one of this machine and is no longer there; else after a day.
    """
    with suppress(OSError):
        for path in folder.iterdir():
            found = _ASIDE.fullmatch(path.name)
            if found and (_is_over(found[1]) or path.stat().st_mtime < time.time() - FORGOTTEN):
                if path.is_dir() and not path.is_symlink():
                    shutil.rmtree(path, ignore_errors=True)
                else:
                    path.unlink()


def name_aside(path: Path, ending: str) -> Path:
    """Named by machine, process and a number, so that the next run knows whether it may be cleared."""
    return path.with_name(
        f".reconcile-{_machine()}{os.getpid() & 0xFFFFFFFF:08x}{next(_NUMBERS):04x}.{ending}"
    )


def _machine() -> str:
    return sha256(platform.node().encode()).hexdigest()[:4]


def _is_over(ident: str) -> bool:
    """Whether a process of this machine by which a file aside is named has ended. Not told on Windows."""
    machine, process = ident[:4], int(ident[4:12], 16)
    if os.name != "posix" or machine != _machine() or process == os.getpid() or not process:
        return False
    try:
        os.kill(process, 0)  # asks only
    except ProcessLookupError:
        return True
    except (OSError, OverflowError):
        return False
    return False


def _place_aside(path: Path) -> Path:
    """An empty file in the same folder, so that the rename cannot cross disks, with the usual rights."""
    temporary = name_aside(path, "new")
    try:
        temporary.touch(exist_ok=False)
    except OSError as fault:
        raise Unusable(_unwritable(path, fault)) from fault
    with suppress(OSError):  # some shared folders keep no rights, and an old file may not be there
        shutil.copymode(path, temporary)
    return temporary


def _write_one(output: _Output, write: Writer) -> None:
    try:
        write(output.new)
        with output.new.open("rb+") as written:
            os.fsync(written.fileno())
    except Exception as fault:
        if not _is_of_the_disk(fault):
            raise
        raise Unusable(_unwritable(output.path, fault)) from fault


def _is_of_the_disk(fault: Exception) -> bool:
    """Whether the system refused to write. openpyxl's own writer of XML says so in an error of lxml's."""
    return isinstance(fault, OSError) or type(fault).__module__.partition(".")[0] == "lxml"


def _rename_all(outputs: Sequence[_Output]) -> None:
    """Every new file into its place, or every old one back."""
    for output in outputs:
        try:
            _keep_old(output)
            output.there = True  # said first, in case the run is interrupted just after the rename
            output.new.replace(output.path)
        except OSError as fault:
            output.there = False
            stayed = _put_back(outputs)
            did = f"The old files could not be put back; new are {', '.join(stayed)}." if stayed else ""
            raise Unusable(_unwritable(output.path, fault, did)) from fault
        except BaseException:  # the run was interrupted
            _put_back(outputs)
            raise


def _keep_old(output: _Output) -> None:
    """A second name for the old file, if there is one; a copy on disks where a file has but one name."""
    if not output.path.exists():
        return
    output.kept = name_aside(output.path, "old")
    try:
        output.kept.hardlink_to(output.path)
    except OSError:
        shutil.copy2(output.path, output.kept)


def _put_back(outputs: Sequence[_Output]) -> list[str]:
    """Undoes the renames; returns the names of files that stayed new all the same."""
    stayed = []
    for output in outputs:
        if output.there:
            try:
                output.kept.replace(output.path) if output.kept else output.path.unlink(missing_ok=True)
            except OSError:
                stayed.append(output.path.name)
    return stayed


def _tidy(outputs: Sequence[_Output]) -> None:
    for output in outputs:
        for leftover in (output.new, output.kept):
            if leftover is not None:
                with suppress(OSError):  # whatever stopped the writing is the fault to tell
                    leftover.unlink(missing_ok=True)


def _exists(path: Path) -> Problem:
    return problem("output-exists", Place(path.name), f"{path.name} is already there.")


def _unwritable(path: Path, fault: Exception, did: str = "") -> Problem:
    why = getattr(fault, "strerror", None) or str(fault) or type(fault).__name__
    says = f"{path.name} cannot be written: {why}."
    return problem("output-locked", Place(path.name), says, did=did)


def write_text(content: str, path: Path) -> None:
    """Writes text as UTF-8, its line ends as they are; a ``Writer`` once the content is given."""
    path.write_bytes(content.encode())
