"""The tables of the ledger, format by format. A new ledger is laid out as format 1 and brought up from there,
so that there is one way to a format, and each is written down once.

Triggers refuse to change or delete a row. Quantities are exact: a numerator over a denominator, both whole,
or the same as text, ``7/2``. ``balances`` holds the sum of the movements of each bin by denominator; a
trigger keeps it in the same transaction, so that a check need not add up a million rows.
"""

import sqlite3
from collections.abc import Iterator

FORMAT = 2
"""Of the tables; kept in the database as its ``user_version``."""
GREATEST = 10**15
"""Of a numerator or a denominator: a sum of a thousand of these still fits a column of 64 bits."""


def _append_only(*tables: str) -> str:
    return "".join(
        f"""
CREATE TRIGGER {table}_not_{did} BEFORE {did.upper()} ON {table} BEGIN
    SELECT RAISE (ABORT, 'nothing in the ledger is changed or deleted');
END;
"""
        for table in tables
        for did in ("update", "delete")
    )


def _exact(column: str, *, needed: bool = False) -> str:
    """A column of an exact number as text: ``12``, ``-7/2``."""
    never = f"{column} NOT GLOB '*[^-0-9/]*' AND length({column}) BETWEEN 1 AND 40"
    return f"{column} TEXT {'NOT NULL ' if needed else ''}CHECK ({never})"


def _whole(column: str) -> str:
    """A column of a whole number, or nothing."""
    return f"{column} INTEGER CHECK ({column} IS NULL OR typeof({column}) = 'integer')"


FORMAT_1 = f"""
CREATE TABLE closings (
    id INTEGER PRIMARY KEY, name TEXT NOT NULL, kind TEXT NOT NULL, day TEXT NOT NULL, who TEXT NOT NULL,
    posted TEXT NOT NULL, old_workbook TEXT NOT NULL, new_workbook TEXT NOT NULL, target TEXT NOT NULL,
    aside TEXT NOT NULL, kept TEXT NOT NULL, undoes INTEGER UNIQUE REFERENCES closings (id),
    details TEXT NOT NULL
);
CREATE TABLE finished (closing INTEGER PRIMARY KEY REFERENCES closings (id), how TEXT NOT NULL);
CREATE TABLE movements (
    id INTEGER PRIMARY KEY, closing INTEGER NOT NULL REFERENCES closings (id),
    part TEXT NOT NULL, bin TEXT NOT NULL,
    amount INTEGER NOT NULL CHECK (typeof(amount) = 'integer' AND abs(amount) <= {GREATEST}),
    per INTEGER NOT NULL CHECK (typeof(per) = 'integer' AND per BETWEEN 1 AND {GREATEST}),
    unit TEXT NOT NULL, kind TEXT NOT NULL, day TEXT NOT NULL, who TEXT NOT NULL, job TEXT NOT NULL,
    source TEXT NOT NULL, note TEXT NOT NULL, reverses INTEGER UNIQUE REFERENCES movements (id)
);
CREATE INDEX movements_of_part ON movements (part);
CREATE INDEX movements_of_closing ON movements (closing);
CREATE TABLE uses (
    closing INTEGER NOT NULL REFERENCES closings (id), job TEXT NOT NULL, day TEXT NOT NULL,
    frame TEXT NOT NULL, key TEXT NOT NULL, name TEXT NOT NULL, part TEXT NOT NULL, unit TEXT NOT NULL,
    planned TEXT NOT NULL, used TEXT NOT NULL, reason TEXT NOT NULL
);
CREATE TABLE balances (
    part TEXT NOT NULL, bin TEXT NOT NULL, unit TEXT NOT NULL, per INTEGER NOT NULL,
    amount INTEGER NOT NULL CHECK (typeof(amount) = 'integer'), PRIMARY KEY (part, bin, unit, per)
) WITHOUT ROWID;
CREATE TRIGGER movements_counted AFTER INSERT ON movements BEGIN
    INSERT INTO balances VALUES (new.part, new.bin, new.unit, new.per, new.amount)
    ON CONFLICT DO UPDATE SET amount = amount + excluded.amount;
END;
{_append_only("closings", "finished", "movements", "uses")}"""

LINE_COLUMNS = ("do", "what", "name", "side")
"""That movements have from format 2 on: the line of the job that each belongs to."""

TABLES_2 = f"""
CREATE TABLE job_rows (
    id INTEGER PRIMARY KEY, closing INTEGER NOT NULL REFERENCES closings (id),
    job TEXT NOT NULL, day TEXT NOT NULL, standing TEXT NOT NULL CHECK (standing IN ('done', 'part')),
    frame TEXT NOT NULL, adjustment TEXT NOT NULL, {_exact("size_from")}, {_exact("size_to")},
    unit TEXT NOT NULL, side TEXT NOT NULL, {_whole("left_now")}, {_whole("right_now")},
    {_whole("left_before")}, {_whole("left_after")}, {_whole("right_before")}, {_whole("right_after")},
    {_whole("single_before")}, {_whole("single_after")}, spacers_now TEXT NOT NULL, options TEXT NOT NULL,
    chairs INTEGER NOT NULL CHECK (typeof(chairs) = 'integer'), asset TEXT NOT NULL,
    technician TEXT NOT NULL, UNIQUE (closing, job)
);
CREATE TABLE job_lines (
    id INTEGER PRIMARY KEY, job_row INTEGER NOT NULL REFERENCES job_rows (id),
    do TEXT NOT NULL, what TEXT NOT NULL, name TEXT NOT NULL, side TEXT NOT NULL, part TEXT NOT NULL,
    unit TEXT NOT NULL, {_exact("planned", needed=True)}, {_exact("used")}, {_exact("returned")},
    {_exact("scrapped")}, reason TEXT NOT NULL, frame_key TEXT NOT NULL, {_exact("length")},
    {_whole("steps")}, came_off TEXT NOT NULL
);
CREATE TABLE job_joints (
    id INTEGER PRIMARY KEY, job_row INTEGER NOT NULL REFERENCES job_rows (id),
    name TEXT NOT NULL, side TEXT NOT NULL, frame_key TEXT NOT NULL,
    stacks INTEGER NOT NULL CHECK (typeof(stacks) = 'integer'),
    bolts INTEGER NOT NULL CHECK (typeof(bolts) = 'integer'), stack TEXT, bolt TEXT NOT NULL,
    {_exact("bolt_length")}
);
CREATE TABLE checks (
    id INTEGER PRIMARY KEY, job_row INTEGER NOT NULL REFERENCES job_rows (id),
    said TEXT NOT NULL, passed INTEGER CHECK (passed IS NULL OR passed IN (0, 1)), reading TEXT NOT NULL,
    second_person TEXT NOT NULL, tried TEXT
);
CREATE TABLE holds (
    id INTEGER PRIMARY KEY, job TEXT NOT NULL, day TEXT NOT NULL, frame TEXT NOT NULL,
    adjustment TEXT NOT NULL, {_exact("size_from")}, {_exact("size_to", needed=True)}, unit TEXT NOT NULL,
    options TEXT, side TEXT NOT NULL, {_whole("left_now")}, {_whole("right_now")}, spacers_now TEXT NOT NULL,
    chairs INTEGER NOT NULL CHECK (typeof(chairs) = 'integer'),
    priority INTEGER NOT NULL CHECK (typeof(priority) = 'integer'), asset TEXT NOT NULL,
    technician TEXT NOT NULL, notes TEXT NOT NULL, at TEXT NOT NULL, who TEXT NOT NULL
);
CREATE TABLE hold_ends (
    hold INTEGER PRIMARY KEY REFERENCES holds (id),
    how TEXT NOT NULL CHECK (how IN ('released', 'overtaken')), at TEXT NOT NULL, who TEXT NOT NULL,
    row TEXT NOT NULL
);
CREATE TABLE order_events (
    id INTEGER PRIMARY KEY, closing INTEGER REFERENCES closings (id), order_number TEXT NOT NULL,
    line TEXT NOT NULL, event TEXT NOT NULL, day TEXT NOT NULL, who TEXT NOT NULL, part TEXT NOT NULL,
    unit TEXT NOT NULL, {_exact("quantity")}, due TEXT, price TEXT, currency TEXT NOT NULL,
    supplier TEXT NOT NULL, reason TEXT NOT NULL, expected TEXT NOT NULL, source TEXT NOT NULL
);
CREATE TABLE identity (one INTEGER PRIMARY KEY CHECK (one = 1), identity TEXT NOT NULL);
"""
APPENDED_2 = (
    "job_rows", "job_lines", "job_joints", "checks", "holds", "hold_ends", "order_events", "identity",
)  # fmt: skip
ADDED_IN_2 = f"""
{"".join(f"ALTER TABLE movements ADD COLUMN {column} TEXT NOT NULL DEFAULT '';" for column in LINE_COLUMNS)}
{TABLES_2}
CREATE INDEX job_rows_of_job ON job_rows (job);
CREATE INDEX job_rows_of_asset ON job_rows (asset);
CREATE INDEX job_lines_of_row ON job_lines (job_row);
CREATE INDEX job_joints_of_row ON job_joints (job_row);
CREATE INDEX checks_of_row ON checks (job_row);
CREATE INDEX order_events_of_order ON order_events (order_number);
{_append_only(*APPENDED_2)}"""


def statements(text: str) -> Iterator[str]:
    """One by one: ``executescript`` would end the transaction that they are to stand in."""
    whole = ""
    for piece in text.split(";"):
        whole += f"{piece};"
        if sqlite3.complete_statement(whole):
            if whole.strip() != ";":
                yield whole
            whole = ""
