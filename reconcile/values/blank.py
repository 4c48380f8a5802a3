"""What a blank workbook is made of: sheets of columns, each with a note, a kind and an example."""

from datetime import date

from reconcile.values.records import dataclass

TEXT, DATE, WHOLE, NUMBER, MONEY = "text", "date", "whole", "number", "money"
"""Kinds of column. A column of text keeps ``1/2 in`` as it is typed; a number may have its unit beside it."""

FREE, WARN, ONLY = "free", "warn", "only"
"""What a drop-down does with another entry: takes it, asks whether it is meant, refuses it."""

Cell = str | int | date | None


@dataclass(frozen=True, slots=True)
class BlankColumn:
    """One column of a blank sheet."""

    heading: str
    needed: bool
    note: str
    """What it means, in a sentence or two."""
    kind: str = TEXT
    example: Cell = None
    """What stands in the example row; None leaves the cell blank."""
    like: str = ""
    """An example for the note, where the row's own is not enough."""
    least: int = 0
    """Of a whole number."""
    offered: tuple[str, ...] = ()
    """The entries of its drop-down."""
    others: str = FREE


@dataclass(frozen=True, slots=True)
class BlankSheet:
    name: str
    columns: tuple[BlankColumn, ...]
