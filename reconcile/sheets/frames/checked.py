"""Frame files checked by themselves, each fault with its line."""

from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from reconcile.sheets.figures.toml import MOST_BYTES, NotToml, parse
from reconcile.sheets.files.plain import read_plain
from reconcile.sheets.frames.files import FramesRead, read_frame, read_frames
from reconcile.sheets.frames.lines import key_lines
from reconcile.values.frames.checked import CheckedFile
from reconcile.values.frames.frame import Frame
from reconcile.values.measure import length_text
from reconcile.values.problem import Place, Problem, Unusable, problem


def check_files(paths: list[Path]) -> list[CheckedFile]:
    """Every file, and every frame file of every folder, in the order given.

    Raises ``Unusable`` with file-missing for each path that is not there.
    """
    if gone := [path for path in paths if not path.exists()]:
        raise Unusable(*(_missing(path) for path in gone))
    return [checked for path in paths for checked in (_folder(path) if path.is_dir() else [check_file(path)])]


def check_file(path: Path) -> CheckedFile:
    frame, _, problems = read_frame(path)
    return checked_file(path, CheckedFile(path.name, frame, (*problems, *doubts(frame))))


def doubts(frame: Frame | None) -> Iterator[Problem]:
    """What only whoever has the build sheet can tell, asked when a file is checked and not at every run."""
    if frame is None:
        return
    for joint in (joint for adjustment in frame.adjustments for joint in adjustment.joints):
        if joint.engagement is not None and (most := joint.engagement.maximum) is not None:
            place = Place(frame.file, "", f"{joint.key}.engagement.maximum")
            length = length_text(most, frame.unit)
            says = f"The most engagement of {joint.name} is {length}: is that really the depth of the thread?"
            yield problem("frame-most-or-depth", place, says)


def _folder(folder: Path) -> list[CheckedFile]:
    """A folder's files, which must also have codes of their own."""
    read = read_frames(folder)
    used = {frame.file: frame for frame in read.frames.values()}
    own = {
        name: (*(fault for fault in read.problems if fault.place.file == name), *doubts(used.get(name)))
        for name in files_of(read)
    }
    return [
        checked_file(folder / name, CheckedFile(name, used.get(name), problems))
        for name, problems in own.items()
    ]


def files_of(read: FramesRead) -> list[str]:
    """Every file of a folder, those too that could not be opened."""
    return sorted({*(name for name, _ in read.files), *(fault.place.file for fault in read.problems)})


def checked_file(path: Path, found: CheckedFile) -> CheckedFile:
    """The same with the lines of the keys at fault."""
    if not found.problems:
        return found
    with suppress(OSError, UnicodeDecodeError, NotToml):  # such a file has its own problem, which says so
        content = read_plain(path, MOST_BYTES)
        keys = [fault.place.cell for fault in found.problems]
        lines = key_lines(content.decode("utf-8-sig"), parse(content), keys)
        return CheckedFile(found.name, found.frame, found.problems, lines)
    return found


def _missing(path: Path) -> Problem:
    return problem("file-missing", Place(path.name), f"There is no frame file {path}.")
