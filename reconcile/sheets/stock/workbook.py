"""The stock workbook: all its sheets to one Stock, with every problem and every row accounted for."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from reconcile.sheets.files.books import Book
from reconcile.sheets.stock.headings import ON_ORDER, PRICE_BREAKS, STOCK, SUPPLIERS, USAGE
from reconcile.sheets.stock.part_rows import read_parts
from reconcile.sheets.stock.supply_rows import Known, read_breaks, read_orders, read_suppliers, read_usage
from reconcile.sheets.tables.headings import SheetKind
from reconcile.sheets.tables.quantities import Measure
from reconcile.sheets.tables.rows import SheetTable, open_table
from reconcile.values.problem import Problem, Unusable
from reconcile.values.settings import Settings
from reconcile.values.stock.parts import Stock
from reconcile.values.week.results import Tally

SHEETS = (STOCK, ON_ORDER, SUPPLIERS, PRICE_BREAKS, USAGE)


@dataclass(frozen=True, slots=True)
class StockRead:
    """The stock as values, and what became of every row of every sheet that is there."""

    stock: Stock
    tallies: dict[str, Tally]
    """By sheet: "stock", "on order", "suppliers", "price breaks", "usage"."""
    problems: tuple[Problem, ...]
    tables: tuple[SheetTable, ...] = ()
    """The sheets that were read, for the account of their cells."""
    measures: Mapping[str, Measure] = field(default_factory=dict)
    """How each part is counted in the sheet."""


def read_stock(book: Book, settings: Settings, today: date, *, for_kits_alone: bool = False) -> StockRead:
    """Reads the sheet Stock and, where they are there, On order, Suppliers, Price breaks and Usage.

    ``for_kits_alone`` leaves out the last three, which say nothing of what a kit needs.

    A faulty row is set aside with all its faults. Raises Unusable with the faults of all sheets that
    cannot be used as a whole (sheet-missing, sheet-empty, heading-missing, heading-doubled, csv-quote).
    """
    tables = _open(book, settings, (STOCK, ON_ORDER) if for_kits_alone else SHEETS)
    parts = read_parts(tables[STOCK.name], settings)
    known = Known(parts.measures, parts.set_aside.keys())
    due = read_orders(tables[ON_ORDER.name], known, settings, today) if ON_ORDER.name in tables else None
    suppliers = read_suppliers(tables[SUPPLIERS.name], settings) if SUPPLIERS.name in tables else None
    breaks = read_breaks(tables[PRICE_BREAKS.name], known, settings) if PRICE_BREAKS.name in tables else None
    usage = read_usage(tables[USAGE.name], known, settings) if USAGE.name in tables else None
    stock = Stock(
        parts.parts,
        due.values if due else (),
        {value.code: value for value in suppliers.values} if suppliers else {},
        breaks.values if breaks else (),
        usage.values if usage else (),
        parts.set_aside,
    )
    tallies = {STOCK.name.lower(): parts.tally}
    problems = list(parts.problems)
    for kind, read in ((ON_ORDER, due), (SUPPLIERS, suppliers), (PRICE_BREAKS, breaks), (USAGE, usage)):
        if read is not None:
            tallies[kind.name.lower()] = read.tally
            problems += read.problems
    return StockRead(stock, tallies, tuple(problems), tuple(tables.values()), parts.measures)


def _open(book: Book, settings: Settings, sheets: Iterable[SheetKind]) -> dict[str, SheetTable]:
    """The sheets that are there, by our name; raises Unusable with what is wrong with any of them."""
    tables: dict[str, SheetTable] = {}
    faults: list[Problem] = []
    for kind in sheets:
        try:
            table, problems = open_table(book, kind, settings, needed=kind is STOCK)
        except Unusable as unusable:
            faults += unusable.problems
            continue
        faults += problems
        if table is not None:
            tables[kind.name] = table
    if faults:
        raise Unusable(*faults)
    return tables
