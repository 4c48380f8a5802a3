"""What is found of a workshop's own sheets before anything is planned by them, and what is made of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from reconcile.values.problem import Problem
from reconcile.values.week.results import Tally

BY_NAME, BY_WORD, BY_NATURE, TOLD = "our own word", "a word for it", "its cells", "your answer"
"""Why a column is taken for one of ours."""


@dataclass(frozen=True, slots=True)
class ColumnSeen:
    """A column of somebody's sheet: its letters, its heading, its first filled cells, what they are."""

    letters: str
    theirs: str
    cells: tuple[str, ...] = ()
    nature: str = ""
    texts: tuple[str, ...] = field(default=(), repr=False)
    """Its cells that hold text, as far as they were looked at."""
    figures: tuple[float, ...] = field(default=(), repr=False)
    """Its cells that hold numbers, likewise."""
    unit: str = ""
    """What stands in brackets behind its heading."""


@dataclass(frozen=True, slots=True)
class Match:
    """A column that is, or may be, one of ours."""

    ours: str
    column: ColumnSeen
    why: str
    sure: bool = True


@dataclass(frozen=True, slots=True)
class SheetSeen:
    """A sheet and what it looks like: a kind by our name for it, "" for none of ours."""

    file: str
    sheet: str
    kind: str = ""
    rows: int = 0
    matches: tuple[Match, ...] = ()
    unmatched: tuple[ColumnSeen, ...] = ()
    missing: tuple[str, ...] = ()
    """Needed headings for which no column was found."""
    single_csv: bool = False

    def column(self, ours: str) -> ColumnSeen | None:
        """The column taken for a heading of ours."""
        return next((match.column for match in self.matches if match.ours == ours), None)


@dataclass(frozen=True, slots=True)
class Looked:
    """A folder looked at."""

    folder: Path
    sheets: tuple[SheetSeen, ...] = ()
    unread: tuple[Problem, ...] = ()
    """Why files could not be read."""


@dataclass(frozen=True, slots=True)
class OpenQuestion:
    """Something that is open: what is asked, what may be answered, what Enter takes ("": leave it open)."""

    asks: str
    choices: tuple[tuple[str, str], ...]
    """Each answer, and what it means."""
    offered: str = ""
    sure: bool = False
    """What is offered is beyond doubt."""


@dataclass(frozen=True, slots=True)
class SettledSheets:
    """What comes of looking and of answers, as settings."""

    plain: Mapping[str, str] = field(default_factory=dict)
    """Keys above the first table."""
    sheets: Mapping[str, str] = field(default_factory=dict)
    headings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    used: tuple[SheetSeen, ...] = ()
    """The sheets that are taken for ours, each with the columns that are."""
    open: tuple[str, ...] = ()
    """What stays open, a sentence each."""


@dataclass(frozen=True, slots=True)
class DryRun:
    """A week planned without writing: rows by sheet, and the faults that stand in the way."""

    rows: Mapping[str, Tally] = field(default_factory=dict)
    faults: tuple[tuple[Problem, int], ...] = ()
    """The first of each kind of fault, and how many there are."""
    refused: tuple[Problem, ...] = ()
    """Why nothing could be planned at all."""


@dataclass(frozen=True, slots=True)
class Begun:
    """What beginning in a folder came to."""

    looked: Looked
    settled: SettledSheets
    text: str
    """The settings, as they are written or would be."""
    written: tuple[Path, ...] = ()
    difference: tuple[str, ...] = ()
    """Where settings were there already: how they differ, line by line; they were left as they are."""
    dry: DryRun | None = None
