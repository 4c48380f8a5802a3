"""Small stocks, sheets and counts for the tests of counting."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.plan.counting.sheets import check_code, classes
from reconcile.plan.counting.verdicts import Shelf
from reconcile.values.problem import RowPlace
from reconcile.values.rules import Counting
from reconcile.values.stock.counting import CountRow, PartClass, SheetBack, SheetMark
from reconcile.values.stock.parts import Bin, Part, Stock, Usage

TODAY = date(2026, 11, 27)
MONDAY = date(2026, 11, 30)
RULES = Counting()
PLACE = RowPlace("stock.xlsx", "Stock", 2)
OLD_STOCK, NEW_STOCK = "a" * 64, "b" * 64


def part(number, *bins, price="1", **given):
    """A part with bins of (name, on hand) or (name, on hand, allocated)."""
    made = tuple(
        Bin(name, Fraction(hand), Fraction(held[0]) if held else Fraction(0), PLACE)
        for name, hand, *held in bins or (("A1", 10),)
    )
    cost = None if price is None else Decimal(price)
    return Part(number, bins=made, price=cost, currency=given.pop("currency", "EUR"), **given)


def stock(*parts, used=()):
    """Parts, and usage of (part, quantity) a week before the tests' today, or of (part, quantity, day)."""
    usage = tuple(
        Usage(day[0] if day else date(2026, 11, 20), number, Fraction(quantity), "", PLACE)
        for number, quantity, *day in used
    )
    return Stock({each.number: each for each in parts}, usage=usage)


def row(number, name, counted, book, *, at=9, by="KM"):
    """A row that was written when the bin's book was ``book``; ``counted`` None: left blank."""
    return CountRow(
        number, name, None if counted is None else Fraction(counted), by, "",
        check_code(number, name, Fraction(book)), RowPlace("count.xlsx", "Count", at, {"counted": "F"}),
    )  # fmt: skip


def sheet(*rows, digest=OLD_STOCK):
    return SheetBack(SheetMark("2026-W49", "2026-W49-00000000", digest), rows)


def shelf(of, steps=(), classed=None, rules=RULES):
    """``steps``: the ledger's movements by (part, bin); ``classed``: part to class, else by value."""
    known = classes(of, rules, TODAY)
    known |= {
        name: PartClass(name, which, Fraction(0), Fraction(0), "EUR")
        for name, which in (classed or {}).items()
    }
    return Shelf(
        of,
        known,
        rules,
        {key: tuple(map(Fraction, each)) for key, each in dict(steps).items()},
        NEW_STOCK,
    )
