"""Odd prices, price breaks and recorded use: each with its cell and code."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from workshop import FRIDAY_BEFORE, part

from reconcile.plan.orders.price_checks import price_problems
from reconcile.values.problem import RowPlace
from reconcile.values.stock.parts import PriceBreak, Stock, Supplier, Usage

BREAK_COLUMNS = {"part": "A", "from quantity": "B", "price": "C"}
PRICED = {"price": "0.25", "currency": "EUR"}


def found(*parts, breaks=(), suppliers=(), usage=()):
    made = tuple(
        PriceBreak(
            number, Fraction(start), Decimal(price), RowPlace("s.xlsx", "Price breaks", row, BREAK_COLUMNS)
        )
        for row, (number, start, price) in enumerate(breaks, 2)
    )
    columns = {"date": "A", "part": "B"}
    use = tuple(
        Usage(day, number, Fraction(1), "", RowPlace("s.xlsx", "Usage", row, columns))
        for row, (day, number) in enumerate(usage, 2)
    )
    shelf = Stock(
        {each.number: each for each in parts}, (), {each.code: each for each in suppliers}, made, use
    )
    return list(price_problems(shelf, FRIDAY_BEFORE))


@pytest.mark.parametrize(
    ("breaks", "expected"),
    [
        ([("A", 100, "0.21"), ("A", 500, "0.18")], []),
        ([("A", 500, "0.18"), ("A", 100, "0.21")], [("B3", "break-order", "100")]),
        ([("A", 100, "0.21"), ("A", 100, "0.21")], [("B3", "break-doubled", "100")]),
        ([("A", 100, "0.21"), ("A", 500, "0.23")], [("C3", "break-dearer", "0.23")]),
        ([("A", 100, "0.30")], [("C2", "break-dearer", "0.30")]),  # dearer than the price itself
        ([("A", 0, "0.30"), ("A", 100, "0.28")], []),  # a break from nothing stands for the price
        ([("A", 100, "0.00")], [("C2", "price-zero", "0.00")]),
        ([("B", 100, "0.21"), ("B", 500, "0.18")], [("A2", "break-part-unknown", "B")]),
        # Each fault on its own row: 500 stands above 100, and is dearer.
        (
            [("A", 500, "0.23"), ("A", 100, "0.21")],
            [("B3", "break-order", "100"), ("C2", "break-dearer", "0.23")],
        ),
    ],
)
def test_odd_breaks(breaks, expected):
    problems = found(part("A", **PRICED), breaks=breaks)
    assert [(each.place.cell, each.code, each.found) for each in problems] == expected
    assert {each.severity for each in problems} <= {"notice"}


def test_what_is_said_of_a_dearer_break():
    (problem,) = found(part("A", **PRICED), breaks=[("A", 100, "0.21"), ("A", 500, "0.23")])
    assert problem.says == "From 500 on A costs 0.23, which is more than the 0.21 below."


def test_a_part_may_have_breaks_alone():
    assert found(part("A"), breaks=[("A", 100, "0.21")]) == []


def test_a_part_that_costs_nothing():
    (problem,) = found(part("A", price="0"))
    assert (problem.code, problem.says) == ("price-zero", "The price of A is 0.")


TERMS = Supplier("NORTH", "", Decimal(50))


@pytest.mark.parametrize(
    ("suppliers", "codes"),
    [([TERMS], ["supplier-currencies"]), ([Supplier("NORTH")], []), ([], [])],
)
def test_a_supplier_with_prices_in_two_currencies(suppliers, codes):
    euros = [part(number, price="1", currency="EUR", supplier="North") for number in "AB"]
    francs = [part(number, price="1", currency="CHF", supplier="North") for number in "CD"]
    problems = found(*euros, *francs, suppliers=suppliers)
    assert [each.code for each in problems] == codes
    assert all("A in EUR and C in CHF" in each.says for each in problems)


def test_use_to_come():
    days = (FRIDAY_BEFORE, date(2026, 11, 28), date(2027, 3, 2))
    problems = found(part("A"), usage=[(day, "A") for day in days])
    assert [(each.place.cell, each.code, each.found) for each in problems] == [
        ("A3", "usage-to-come", "2026-11-28"),
        ("A4", "usage-to-come", "2027-03-02"),
    ]


def test_use_of_a_part_that_stock_does_not_list_is_told_once_at_its_first_row():
    listed = (part("00417"), part("A"))
    problems = found(*listed, usage=[(FRIDAY_BEFORE, each) for each in ("A", "417", "NO-SUCH", "417")])
    assert [(each.place.cell, each.code, each.found) for each in problems] == [
        ("B3", "usage-part-unknown", "417"),
        ("B4", "usage-part-unknown", "NO-SUCH"),
    ]
    assert "Nearest: 00417." in problems[0].says
