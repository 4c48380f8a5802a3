"""What a stock row says of a bolt, in its columns and in its description, and whether the two agree."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import TypeVar

from reconcile.sheets.fasteners.descriptions import DescriptionRead, hints_at_bolt, read_description
from reconcile.sheets.fasteners.spellings import canonical_grade, canonical_head, read_thread
from reconcile.sheets.figures.text import CellValue, Unreadable
from reconcile.sheets.figures.units import read_length
from reconcile.sheets.tables.rows import Fault, as_text, fault_of
from reconcile.values.measure import length_text
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Bolt, Thread
from reconcile.values.words import fold

NO_BOLT = ("nut", "washer", "spacer")
FULL = ("full", "fully threaded", "full thread", "all", "all thread")
MADE_BY = ("thread", "length", "head")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class BoltCells:
    """The raw cells of a row that bear on its bolt."""

    description: CellValue = None
    kind: CellValue = None
    thread: CellValue = None
    length: CellValue = None
    thread_length: CellValue = None
    head: CellValue = None
    grade: CellValue = None
    number: CellValue = None
    """The part's number, where there is no description and it may read as one."""

    @property
    def columns(self) -> "BoltCells":
        """The cells without the words: many rows share them."""
        return BoltCells(None, None, self.thread, self.length, self.thread_length, self.head, self.grade)


@dataclass(frozen=True, slots=True)
class BoltRead:
    """The bolt of a row; faults that set the row aside; remarks that do not."""

    bolt: Bolt | None = None
    faults: tuple[Fault, ...] = ()
    notices: tuple[Fault, ...] = ()


@dataclass(frozen=True, slots=True)
class Units:
    """The units of bare lengths in the columns length and thread length; None is an error."""

    length: str | None = None
    thread_length: str | None = None


@dataclass(frozen=True, slots=True)
class Traits:
    """What makes a bolt, as far as it is said; None where it is not."""

    thread: Thread | None = None
    length: Fraction | None = None
    head: str | None = None
    grade: str | None = None
    thread_length: Fraction | str | None = None
    """A length in mm, or "full"."""


def read_bolt(cells: BoltCells, units: Units, settings: Settings) -> BoltRead:
    """The bolt that a row's columns and description describe together, field by field.

    Faults: those of a column that cannot be read, thread-unknown among them, and bolt-contradicted where
    columns and description disagree. Notice: bolt-unread for what looks like a bolt and is not described
    whole, or whose description contradicts itself; description-unread for a bolt whose description, where
    the bolt was read from it, holds figures that were not understood.
    """
    if cells.number is not None:
        return _from_number(cells, units, settings)
    if not _may_be_bolt(cells):
        return BoltRead()
    said = read_description(as_text(cells.description))
    if not _is_bolt(cells, said):
        return BoltRead(notices=_of_two_kinds(cells, said))
    described = _from_description(said)
    columns, faults = _from_columns(cells.columns, units, settings.decimal, described.thread)
    faults += _contradictions(columns, described)
    if faults:
        return BoltRead(None, faults)
    traits = _joined(columns, described)
    lacking = [name for name in MADE_BY if getattr(traits, name) is None]
    if lacking or said.fault is not None:
        return BoltRead(notices=(_unread(cells, lacking, said),))
    return BoltRead(_bolt(traits), notices=_left_over(cells, columns, said))


def _from_number(cells: BoltCells, units: Units, settings: Settings) -> BoltRead:
    """The bolt that the part's number describes whole, with a notice, where the columns make none."""
    alone = read_bolt(replace(cells, number=None), units, settings)
    said = read_description(as_text(cells.number))
    if alone.bolt is not None or alone.faults:
        return alone
    if said.bolt is None and said.looks_like_bolt and said.fault is not None:
        says = f'"{as_text(cells.number)}" looks like a bolt: {said.fault.value}'
        return replace(alone, notices=(*alone.notices, Fault("part", "bolt-unread", says)))
    if said.bolt is None or said.doubts:
        return alone
    found = read_bolt(replace(cells, description=cells.number, number=None), units, settings)
    if found.bolt is None or found.faults or (found.notices and not said.padded):
        return alone
    says = f'"{as_text(cells.number)}" is read as {found.bolt.designation}, since there is no description.'
    return replace(found, notices=(Fault("part", "bolt-from-number", says),))


def _may_be_bolt(cells: BoltCells) -> bool:
    """A cheap look: whether anything in the row could make ``_is_bolt`` say yes."""
    if cells.thread is not None or cells.length is not None or cells.head is not None:
        return True
    return hints_at_bolt(as_text(cells.description)) or _kind_word(as_text(cells.kind)) == "bolt"


def _is_bolt(cells: BoltCells, said: DescriptionRead) -> bool:
    """Whether the row is, or seems to be, a bolt. The column kind has the first word."""
    kind = _kind_word(as_text(cells.kind))
    if kind == "bolt":
        return True
    if kind in NO_BOLT or said.kind in NO_BOLT:
        return False
    filled = sum(cell is not None for cell in (cells.thread, cells.length, cells.head))
    in_columns = cells.thread is not None and (filled > 1 or not kind)
    in_words = said.looks_like_bolt and (said.thread is not None or (said.kind == "bolt" and not kind))
    return in_columns or in_words or (filled > 1 and said.kind == "bolt")


@lru_cache(maxsize=1024)
def _kind_word(kind: str) -> str:
    """What the column kind calls the part: "bolt", "nut", "washer", "spacer", else its own word."""
    return read_description(kind).kind or fold(kind)


@lru_cache(maxsize=65_536)
def _from_columns(
    cells: BoltCells, units: Units, decimal: str | None, described: Thread | None
) -> tuple[Traits, tuple[Fault, ...]]:
    """What the columns alone say; the thread of the description tells how a bare grade is meant."""
    faults: list[Fault] = []

    def attempt(heading: str, cell: CellValue, read: Callable[[CellValue], T]) -> T | None:
        try:
            return read(cell) if as_text(cell) else None
        except Unreadable as why:
            faults.append(fault_of(heading, why))
            return None

    def length_in(unit: str | None) -> Callable[[CellValue], Fraction]:
        return lambda cell: read_length(cell, unit, decimal)[0]

    def thread_length(cell: CellValue) -> Fraction | str:
        return "full" if fold(as_text(cell)) in FULL else length_in(units.thread_length)(cell)

    thread = attempt("thread", cells.thread, lambda cell: read_thread(as_text(cell)))
    traits = Traits(
        thread,
        attempt("length", cells.length, length_in(units.length)),
        attempt("head", cells.head, lambda cell: canonical_head(as_text(cell))),
        attempt("grade", cells.grade, lambda cell: canonical_grade(as_text(cell), thread or described)),
        attempt("thread length", cells.thread_length, thread_length),
    )
    return traits, tuple(faults)


def _from_description(said: DescriptionRead) -> Traits:
    return Traits(
        said.thread.value if said.thread else None,
        said.length.value if said.length else None,
        said.head.value if said.head else None,
        said.grade.value if said.grade else None,
        "full" if said.fully_threaded else None,
    )


def _contradictions(columns: Traits, described: Traits) -> tuple[Fault, ...]:
    """A fault for each trait that the columns and the description give differently."""
    thread = columns.thread or described.thread
    unit = thread.unit if thread else "mm"
    length = columns.length or described.length
    pairs: list[tuple[str, object, object]] = [
        ("thread", columns.thread, described.thread),
        ("length", columns.length, described.length),
        ("head", columns.head, described.head),
        ("grade", fold(columns.grade or "") or None, fold(described.grade or "") or None),
        ("thread length", _in_full(columns.thread_length, length), _in_full(described.thread_length, length)),
    ]
    return tuple(
        Fault(heading, "bolt-contradicted", _against(heading, ours, theirs, unit))
        for heading, ours, theirs in pairs
        if ours is not None and theirs is not None and ours != theirs
    )


def _in_full(thread_length: Fraction | str | None, length: Fraction | None) -> Fraction | str | None:
    """The threaded length of a fully threaded bolt is its own."""
    return length if thread_length == "full" and length is not None else thread_length


def _against(heading: str, ours: object, theirs: object, unit: str) -> str:
    first, second = (
        length_text(each, unit) if isinstance(each, Fraction) else str(each) for each in (ours, theirs)
    )
    return f"The column {heading} says {first}, the description {second}."


def _joined(columns: Traits, described: Traits) -> Traits:
    return Traits(
        columns.thread or described.thread,
        described.length if columns.length is None else columns.length,
        columns.head or described.head,
        columns.grade or described.grade,
        described.thread_length if columns.thread_length is None else columns.thread_length,
    )


def _bolt(traits: Traits) -> Bolt:
    assert traits.thread is not None and traits.length is not None and traits.head is not None
    threaded = _in_full(traits.thread_length, traits.length)
    return Bolt(
        traits.thread,
        traits.length,
        traits.head,
        traits.grade or "",
        threaded if isinstance(threaded, Fraction) else None,
    )


def _left_over(cells: BoltCells, columns: Traits, said: DescriptionRead) -> tuple[Fault, ...]:
    """The remark on what a description leaves in doubt; none where the columns say all that makes a bolt."""
    if all(getattr(columns, name) is not None for name in MADE_BY):
        return ()
    if said.padded and columns.length is None:
        says = f'"{said.padded[0].value}" in "{as_text(cells.description)}" is read without its nought.'
        return (Fault("description", "description-unread", says),)
    if not said.doubts:
        return ()
    parts = " and ".join(f'"{doubt.value}"' for doubt in said.doubts)
    verb = "is" if len(said.doubts) == 1 else "are"
    says = f'{parts} in "{as_text(cells.description)}" {verb} not understood.'
    return (Fault("description", "description-unread", says),)


def _of_two_kinds(cells: BoltCells, said: DescriptionRead) -> tuple[Fault, ...]:
    """The remark that what is kept as a nut or the like names a bolt as well, where no column settles it."""
    if said.kind not in NO_BOLT or not said.doubts or _kind_word(as_text(cells.kind)):
        return ()
    both = f"a {said.kind} and a {said.doubts[0].value}"
    says = f'"{as_text(cells.description)}" names {both}; it serves no joint.'
    return (Fault("description", "bolt-unread", says),)


def _unread(cells: BoltCells, lacking: list[str], said: DescriptionRead) -> Fault:
    """The remark that no bolt was made, at the description where there is one."""
    text = as_text(cells.description)
    shown = f'"{text}"' if text else "The row"
    why = said.fault.value if said.fault else f"{' and '.join(lacking)} cannot be told."
    heading = "description" if text else lacking[0]
    return Fault(heading, "bolt-unread", f"{shown} looks like a bolt: {why}")
