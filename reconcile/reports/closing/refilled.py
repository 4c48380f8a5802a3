"""A returns workbook written anew keeps what was filled in, each cell in its row and under its heading.

A job that is marked as done, wholly or in part, keeps its rows as they were: what was left blank in them went
as was planned then. What is filled in and no longer planned stays, on a row that says so.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from reconcile.reports.writing.grid import TEXT, Cell, Column, Row, Table
from reconcile.values.stock.filled import (
    DONE_SHEET,
    KEYS,
    REMARK,
    FilledReturns,
    FilledRow,
    each_job,
    key_of,
    text_of,
)
from reconcile.values.words import fold

NO_LONGER = "no longer planned; kept as it was filled in"
REMARKS = Column(REMARK, TEXT, 44)


def refilled(table: Table, kept: FilledReturns, planned: set[str]) -> Table:
    """The table with what was filled in. ``planned``: the jobs that are listed anew, folded."""
    rows = list(_rows(table, kept, planned))
    remarked = any(remark for _, remark in rows)
    columns = (*table.columns, REMARKS) if remarked else table.columns
    made: list[Row] = [(*_as_kinds(table, cells), *((remark,) if remarked else ())) for cells, remark in rows]
    return replace(table, columns=columns, rows=lambda: iter(made), count=len(made))


def _rows(table: Table, kept: FilledReturns, planned: set[str]) -> Iterator[tuple[Mapping[str, Cell], str]]:
    """Each row by heading, with its remark."""
    old = kept.of(table.name)
    whole = {job for job in kept.done() if each_job(old, job)}
    gone = {row.job for row in kept.of(DONE_SHEET)} & kept.told() - planned
    left: dict[tuple[str, ...], list[FilledRow]] = {}
    for row in old:
        if row.job not in whole | gone:
            left.setdefault(row.key, []).append(row)
    told: set[str] = set()
    for cells in (dict(zip(table.headings, row, strict=True)) for row in table.rows()):
        job = fold(text_of(_plain(cells.get("job"))))
        if job in whole:
            yield from ((row.cells, "") for row in each_job(old, job) if job not in told)
            told.add(job)
            continue
        same = left.get(key_of(table.name, {name: _plain(cell) for name, cell in cells.items()}))
        yield ({**cells, **same.pop(0).kept} if same else cells), ""
    for row in old:
        if row.job in whole | gone:
            if row.job not in told:
                yield row.cells, NO_LONGER if row.job in gone and table.name in KEYS else ""
        elif row.filled and any(row is spare for spare in left.get(row.key, ())):
            yield row.cells, NO_LONGER


def _plain(cell: Cell) -> str:
    return "" if cell is None else cell if isinstance(cell, str) else f"{cell}"


def _as_kinds(table: Table, cells: Mapping[str, Cell]) -> Row:
    """The cells in the order of the columns; a number in a column of text is a text."""
    found = ((column, cells.get(column.heading)) for column in table.columns)
    return tuple(_plain(cell) if column.kind == TEXT and cell is not None else cell for column, cell in found)
