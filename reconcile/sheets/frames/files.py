"""Frame files: a folder of TOML files, one a frame, each checked whole before it is used.

Reading has three stages: the walker turns text into typed values as ``frame_keys`` says; checks look
across keys (``frame_checks``); only a file without any error becomes a ``Frame``. So a person sees every
fault of a file in one go, and no half-read frame ever plans a job.
"""

import hashlib
import re
from collections.abc import Iterable
from dataclasses import field
from fractions import Fraction
from pathlib import Path

from reconcile.sheets.fasteners.spellings import canonical_grade
from reconcile.sheets.figures.toml import Codes, KeyTable, NotToml, Spot, TomlTable, parse, read_bytes, walk
from reconcile.sheets.frames.checks import check_frame, protrusion_mm
from reconcile.sheets.frames.keys import FRAME
from reconcile.values.frames.frame import (
    Adjustment,
    After,
    Cover,
    CoverRange,
    Disturbed,
    Engagement,
    Extra,
    Frame,
    Joint,
    Nut,
    Sized,
    SizeRange,
    SpacerKind,
    Washer,
)
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.records import dataclass
from reconcile.values.stock.parts import Thread
from reconcile.values.words import fold

CODES = Codes(unknown="frame-key-unknown", missing="frame-key-missing", value="frame-value")


@dataclass(frozen=True, slots=True)
class FramesRead:
    """A folder of frame files: what may be used, what may not, and why."""

    frames: dict[str, Frame] = field(default_factory=dict)
    """By folded code."""
    faulty: dict[str, tuple[str, ...]] = field(default_factory=dict)
    """Folded code, or the file's stem where no code could be read, to the names of its files."""
    problems: tuple[Problem, ...] = ()
    files: tuple[tuple[str, str], ...] = ()
    """Name and SHA-256 of every file that was read, faulty ones too."""


@dataclass(frozen=True, slots=True)
class _FileRead:
    """One frame file: no frame where it has an error, no code where none could be read."""

    name: str
    frame: Frame | None
    code: str
    problems: tuple[Problem, ...]
    sha256: str = ""


def read_frames(folder: Path) -> FramesRead:
    """Every ``*.toml`` of a folder, in the order of names.

    Raises ``Unusable`` (file-missing) where the folder is not there or holds no frame file.
    """
    read = [_read_file(path) for path in _frame_files(folder)]
    doubled = _doubled(read)
    frames = {
        fold(frame_file.code): frame_file.frame
        for frame_file in read
        if frame_file.frame and fold(frame_file.code) not in doubled
    }
    return FramesRead(
        frames,
        _faulty(read, frames),
        tuple(fault for one in read for fault in (*one.problems, *_doubled_problem(one, doubled))),
        tuple((frame_file.name, frame_file.sha256) for frame_file in read if frame_file.sha256),
    )


def read_frame(path: Path) -> tuple[Frame | None, str, tuple[Problem, ...]]:
    """One frame file: the frame (None if it has any error), its code ("" if unread), every problem."""
    read = _read_file(path)
    return read.frame, read.code, read.problems


def read_frame_text(content: bytes, name: str) -> tuple[Frame | None, tuple[Problem, ...]]:
    """A frame from the content of a file that is not written yet; ``name`` is the one it will have."""
    read = _read_content(content, name)
    return read.frame, read.problems


def _frame_files(folder: Path) -> list[Path]:
    place = Place(folder.name or str(folder))
    do = "Check the name, or give the folder of frame files with --frames."
    try:
        inside = sorted(folder.iterdir(), key=lambda path: path.name)
    except (FileNotFoundError, NotADirectoryError):
        raise Unusable(
            problem("file-missing", place, f"There is no folder {place.file} of frame files.", do=do)
        ) from None
    except OSError as fault:
        reason = (fault.strerror or "unknown reason").lower()
        says = f"The folder {place.file} of frame files cannot be read: {reason}."
        raise Unusable(problem("file-unreadable", place, says)) from None
    # A name that begins with a dot is a file manager's or an editor's own, beside the real one.
    files = [
        path for path in inside if path.suffix.lower() == ".toml" and path.name[0] != "." and path.is_file()
    ]
    if not files:
        says = f"The folder {place.file} holds no frame file; their names end in .toml."
        raise Unusable(problem("file-missing", place, says, do=do))
    return files


def _doubled(read: Iterable[_FileRead]) -> dict[str, list[str]]:
    """Folded codes that several files claim, faulty files too: after mending it would be a draw again."""
    by_code: dict[str, list[str]] = {}
    for frame_file in read:
        if frame_file.code:
            by_code.setdefault(fold(frame_file.code), []).append(frame_file.name)
    return {code: names for code, names in by_code.items() if len(names) > 1}


def _doubled_problem(read: _FileRead, doubled: dict[str, list[str]]) -> tuple[Problem, ...]:
    if not read.code or fold(read.code) not in doubled:
        return ()
    others = " and ".join(name for name in doubled[fold(read.code)] if name != read.name)
    says = f'The code "{read.code}" is also that of {others}.'
    return (problem("frame-doubled", Place(read.name, "", "code"), says),)


def _faulty(read: Iterable[_FileRead], frames: dict[str, Frame]) -> dict[str, tuple[str, ...]]:
    """Codes that a job may name but whose files are not used, to the names of those files."""
    files: dict[str, list[str]] = {}
    for frame_file in read:
        code = fold(frame_file.code) or fold(Path(frame_file.name).stem)
        if code not in frames:
            files.setdefault(code, []).append(frame_file.name)
    return {code: tuple(names) for code, names in files.items()}


def _read_file(path: Path) -> _FileRead:
    content = read_bytes(path, "frame file")
    if isinstance(content, Problem):
        return _FileRead(path.name, None, "", (content,))
    return _read_content(content, path.name)


def _read_content(content: bytes, name: str) -> _FileRead:
    sha256 = hashlib.sha256(content).hexdigest()
    try:
        raw = parse(content)
    except NotToml as fault:
        line = f"line {fault.line}" if fault.line else ""
        unread = problem("frame-unreadable", Place(name, "", line), fault.says)
        return _FileRead(name, None, _salvaged_code(content), (unread,), sha256)
    frame, code, problems = _frame(raw, name)
    return _FileRead(name, frame, code, problems, sha256)


def _salvaged_code(content: bytes) -> str:
    """The code of a file that is not TOML, so that its jobs can name the file that is to be mended."""
    found = re.search(rb"""^\s*code\s*=\s*(["'])([^"'\r\n]+)\1""", content, re.MULTILINE)
    return found[2].decode("utf-8", "replace").strip() if found else ""


def _frame(raw: TomlTable, file: str) -> tuple[Frame | None, str, tuple[Problem, ...]]:
    spot = Spot(file, CODES)
    table = walk(raw, FRAME, spot)
    _settle_grades(table)
    check_frame(table)
    frame = _built_frame(table, file) if spot.sound else None
    return frame, table["code"] or "", tuple(spot.found)


def _settle_grades(frame: KeyTable) -> None:
    """Grades in their one spelling, which depends on whether the thread is inch or metric."""
    for adjustment in frame["adjustment"] or ():
        for joint in adjustment["joint"] or ():
            thread, torque = joint["thread"], joint["torque"]
            if thread is not None and joint["grades"] is not None:
                grades = (canonical_grade(grade, thread) for grade in joint["grades"])
                # The same grade in two spellings is one grade.
                joint.values["grades"] = tuple(dict.fromkeys(grades))
            if thread is not None and isinstance(torque, dict):
                joint.values["torque"] = _by_grade(torque, thread, joint.at("torque"))


def _by_grade(torque: dict[str, str], thread: Thread, spot: Spot) -> dict[str, str]:
    """Torques by grade in its one spelling; a grade in two spellings with two torques is reported."""
    settled: dict[str, str] = {}
    for grade, figure in torque.items():
        one = canonical_grade(grade, thread)
        if settled.setdefault(one, figure) != figure:
            spot.at(grade).report("frame-value", f'The grade "{one}" has two torques.', "Remove one of them.")
    return settled


# From sound tables to values.


def _built_frame(table: KeyTable, file: str) -> Frame:
    adjustments = table["adjustment"]
    return Frame(
        code=table["code"],
        name=table["name"],
        source=table["source"],
        unit=adjustments[0]["minimum"].unit,
        adjustments=tuple(map(_adjustment, adjustments)),
        file=file,
    )


def _adjustment(table: KeyTable) -> Adjustment:
    return Adjustment(
        name=table["name"],
        minimum=table["minimum"].mm,
        maximum=table["maximum"],
        step=table["step"],
        sides=table["sides"],
        joints=tuple(_joint(row, table["step"]) for row in table["joint"]),
        covers=tuple(map(_cover, table["cover"])),
        sized=tuple(map(_sized, table["sized"])),
        disturbed=tuple(Disturbed(**row.values) for row in table["disturbed"]),
        after=tuple(After(**row.values) for row in table["after"]),
    )


def _joint(table: KeyTable, step: Fraction) -> Joint:
    engagement, torque, nut = table["engagement"], table["torque"], table["nut"]
    settled = {
        "stacks": table["bolts"] if table["stacks"] is None else table["stacks"],
        "per_step": step if table["per_step"] is None else table["per_step"],
        "lengthen": tuple((row["option"], row["by"]) for row in table["lengthen"]),
        "engagement": None if engagement is None else Engagement(**engagement.values),
        "spacers": tuple(SpacerKind(**row.values) for row in table["spacers"]),
        "extras": tuple(Extra(**row.values) for row in table["extras"]),
        "nut": None if nut is None else _nut(nut, table["thread"]),
        "washers": tuple(Washer(**row.values) for row in table["washers"]),
        "torque": torque if isinstance(torque, str) else "",
        "torques": () if isinstance(torque, str) else tuple(torque.items()),
        "key": table.spot.key,
    }
    return Joint(**(table.values | settled))


def _nut(table: KeyTable, thread: Thread) -> Nut:
    return Nut(**(table.values | {"protrusion": protrusion_mm(table["protrusion"], thread)}))


def _cover(table: KeyTable) -> Cover:
    ranges = (CoverRange(row["from"], row["to"], row["part"]) for row in table["steps"])
    return Cover(table["name"], tuple(ranges), table["reuse"])


def _sized(table: KeyTable) -> Sized:
    ranges = (SizeRange(row["from"], row["to"], row["part"]) for row in table["sizes"])
    return Sized(table["name"], tuple(ranges), table["when"], table["reuse"])
