"""A plain table: columns with a kind, rows made when they are asked for."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
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
    bare: bool = False
    """No filter arrow stands over it, so it may be as narrow as its heading's longest word."""


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


@dataclass(frozen=True, slots=True)
class Look:
    """How a field of a form looks: points of its letters, and lines around it."""

    size: int = 10
    bold: bool = False
    serif: bool = False
    align: str = "left"
    fill: str = ""
    """A colour, ``E8E8E8``, or none."""
    over: str = ""
    """The line above it: "thick", "thin", "hair" or none."""
    box: str = ""
    """The line all around it: "thin", "dashed", "dotted", "double" or none."""


PLAIN = Look()


@dataclass(frozen=True, slots=True)
class Field:
    """What stands in columns ``first`` to ``last`` (A is 0) of a form's row, as in one."""

    first: int
    last: int
    value: Cell = None
    look: Look = PLAIN


@dataclass(frozen=True, slots=True)
class RuledForm:
    """A sheet ruled like a form: rows of fields, with their heights in points; no table of equal rows."""

    widths: tuple[int, ...]
    """Of its columns, in characters."""
    rows: tuple[tuple[tuple[Field, ...], float], ...]

    @property
    def height(self) -> float:
        return sum(height for _, height in self.rows)


def table(name: str, title: str, columns: tuple[Column, ...], rows: list[Row], *notes: str) -> Table:
    """A table whose rows are few enough to be kept."""
    return Table(name, title, columns, lambda: iter(rows), len(rows), notes=notes)


def arranged(given: Table, first: tuple[str, ...]) -> Table:
    """The table with the columns of these headings ``first``, in this order, and after them the others."""
    others = [heading for heading in given.headings if heading not in first]
    order = [given.headings.index(heading) for heading in (*first, *others)]

    def placed(row: Row) -> Row:
        return tuple(row[place] for place in order)

    return replace(
        given,
        columns=tuple(given.columns[place] for place in order),
        rows=lambda: map(placed, given.rows()),
        totals=tuple(map(placed, given.totals)),
    )


def _exact(row: Row) -> Row:
    return tuple(
        cell.numerator if isinstance(cell, Fraction) and cell.denominator == 1 else cell for cell in row
    )
