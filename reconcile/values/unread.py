"""Columns of a sheet that nothing is read of, with what their cells look like."""

from dataclasses import dataclass

from reconcile.values.problem import Place

SIZES, SIDES, LENGTHS, THREADS, BINS = "sizes", "sides", "lengths", "threads", "bins"


@dataclass(frozen=True, slots=True)
class UnreadColumn:
    """A column with filled cells that is not read, and that the settings do not leave out on purpose."""

    place: Place
    """The cell of its heading."""
    letters: str
    heading: str
    """"" where it has none."""
    cells: int
    """Filled cells below the heading."""
    looks: str = ""
    """What most of its cells look like, if that bears on a chair: SIZES, SIDES, LENGTHS, THREADS or BINS."""
    may_be: tuple[str, ...] = ()
    """Our headings that its cells may stand for, of those that the sheet has no column for."""
