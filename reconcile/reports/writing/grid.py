"""A plain table: columns with a kind, rows made when they are asked for."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import pandas as pd

DataFrame: TypeAlias = "pd.DataFrame"

TEXT, NUMBER, DATE, MONEY, QUANTITY = "text", "number", "date", "money", "quantity"

Cell = str | int | Fraction | Decimal | date | None
Row = tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A heading, the kind of its cells, and the widest it may become (characters) before text wraps."""

    heading: str
    kind: str = TEXT
    width: int = 40


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under headings; the one source of workbooks, csv files and data frames.

    ``rows`` makes the rows anew each time it is called, one by one: a week may have two million kit
    lines, and none of the reports needs them all at once.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: Callable[[], Iterator[Row]]
    count: int
    """How many rows there are, known without making them."""
    totals: tuple[Row, ...] = ()
    """Rows for the foot of a sheet; no part of the data."""
    notes: tuple[str, ...] = ()
    """Sentences for the foot of a sheet; no part of the data."""

    @property
    def headings(self) -> tuple[str, ...]:
        return tuple(column.heading for column in self.columns)

    def frame(self) -> "pd.DataFrame":
        """The rows as a pandas DataFrame: whole quantities are ints, others Fractions, never floats."""
        import pandas as pd

        return pd.DataFrame([_exact(row) for row in self.rows()], columns=list(self.headings), dtype=object)


def table(name: str, title: str, columns: tuple[Column, ...], rows: list[Row], *notes: str) -> Table:
    """A table whose rows are few enough to be kept."""
    return Table(name, title, columns, lambda: iter(rows), len(rows), notes=notes)


def _exact(row: Row) -> Row:
    return tuple(
        cell.numerator if isinstance(cell, Fraction) and cell.denominator == 1 else cell for cell in row
    )
