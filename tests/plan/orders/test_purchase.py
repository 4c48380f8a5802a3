"""Orders by supplier and currency: their references, totals, terms and faults."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
import weeks

from reconcile.values.stock.parts import Part, Stock, Supplier


def line(number="A", quantity="1", price="1", currency="EUR", supplier="NORTH", **given):
    """A line to order; ``part`` fields may be given anew."""
    place = {"bins": (weeks.bin_of("A1", 0, 2),)}
    part = Part(number, supplier=supplier, currency=currency, description="bolt", **(place | given))
    return weeks.part_result(
        part, order=Fraction(quantity), packs=1, required_by=weeks.FRI, order_by=weeks.MON,
        unit_price=None if price is None else Decimal(price),
    )  # fmt: skip


def orders(*lines, currency="EUR", **terms):
    """The orders of these lines; ``terms`` are those of the supplier NORTH."""
    money = {name: None if value is None else Decimal(value) for name, value in terms.items()}
    stock = Stock(suppliers={"NORTH": Supplier("NORTH", "Northquay", **money)})
    settings = replace(weeks.week().settings, currency=currency)
    return weeks.week(parts=lines, stock=stock, settings=settings).orders


def test_the_reference_is_period_and_supplier_and_does_not_change():
    once, again = orders(line()), orders(line())
    assert [each.reference for each in once] == ["2026-W49-NORTH"]
    assert [each.reference for each in again] == ["2026-W49-NORTH"]


def test_two_currencies_of_one_supplier_are_two_orders():
    found = orders(line("A", price="2"), line("B", price="3", currency="NOK"))
    assert [(each.reference, each.currency, each.goods) for each in found] == [
        ("2026-W49-NORTH-EUR", "EUR", Decimal("2.00")),
        ("2026-W49-NORTH-NOK", "NOK", Decimal("3.00")),
    ]


def test_a_line_without_a_price_goes_with_its_currency_or_the_settings():
    euro, krone = line("A"), line("B", currency="NOK")
    for own, settings, expected in (("NOK", "EUR", "NOK"), ("", "NOK", "NOK"), ("GBP", "USD", "EUR")):
        found = orders(euro, krone, line("C", price=None, currency=own), currency=settings)
        holds = [order.currency for order in found if "C" in [each.part.number for each in order.lines]]
        assert holds == [expected]


def test_without_any_price_there_is_one_order_and_no_total():
    (found,) = orders(line("A", price=None, currency=""), line("B", price=None, currency="NOK"), currency="")
    assert (found.currency, found.goods, found.total, found.unpriced) == ("NOK", None, None, 2)


def test_references_that_would_be_alike_are_told_apart():
    found = orders(
        line("A"), line("B", currency="NOK"), line("C", supplier="North-EUR"), line("D", supplier="")
    )
    assert [each.reference for each in found] == [
        "2026-W49-North-EUR",
        "2026-W49-NORTH-EUR (2)",
        "2026-W49-NORTH-NOK",
        "",
    ]


def test_lines_are_rounded_half_up_and_the_total_is_their_sum():
    (found,) = orders(line("A", "3", "0.115"), line("B", "1", "0.005"), delivery_charge="6.505")
    assert [each.line_total for each in found.lines] == [Decimal("0.35"), Decimal("0.01")]
    assert (found.goods, found.charge, found.total) == (Decimal("0.36"), Decimal("6.51"), Decimal("6.87"))


def test_a_currency_without_decimals_is_rounded_to_whole_units():
    (found,) = orders(line("A", "3", "0.5", "JPY"), delivery_charge="2.5")
    assert [str(each) for each in (found.goods, found.charge, found.total)] == ["2", "3", "5"]


@pytest.mark.parametrize(
    ("terms", "prices", "charged", "total"),
    [
        ({}, ["10"], False, "10.00"),
        ({"delivery_charge": "0"}, ["10"], False, "10.00"),
        ({"delivery_charge": "4"}, ["10"], True, "14.00"),
        ({"delivery_charge": "4", "free_delivery_from": "10"}, ["10"], False, "10.00"),
        ({"delivery_charge": "4", "free_delivery_from": "10.01"}, ["10"], True, "14.00"),
        # A missing price may yet reach what delivery is free from; then nobody knows.
        ({"delivery_charge": "4", "free_delivery_from": "11"}, ["10", None], None, "10.00"),
        ({"delivery_charge": "4", "free_delivery_from": "9"}, ["10", None], False, "10.00"),
        ({"delivery_charge": "4"}, ["10", None], True, "14.00"),
    ],
)
def test_delivery_is_charged_only_where_that_is_known(terms, prices, charged, total):
    (found,) = orders(*(line(f"P{n}", price=price) for n, price in enumerate(prices)), **terms)
    assert (found.charged, found.total) == (charged, Decimal(total))


def test_the_terms_of_a_supplier_with_two_currencies_are_not_applied():
    found = orders(line("A"), line("B", currency="NOK"), delivery_charge="4", minimum_order_value="1")
    assert [(each.charged, each.charge, each.minimum_reached) for each in found] == [(None, None, None)] * 2


@pytest.mark.parametrize(
    ("given", "quantity", "code", "cell", "named"),
    [
        ({"unit": "blip"}, "2", "order-unit-code", "U", "blip"),
        ({"unit": "pack"}, "2", "order-unit-code", "U", "pack"),
        ({"number": "\x07\u200b"}, "2", "order-item-empty", "P", "\\x07"),
        ({}, "1/3", "order-quantity-endless", "K", "1/3"),
        ({"currency": "€"}, "2", "order-currency-code", "M", "€"),
        ({"currency": "EURO"}, "2", "order-currency-code", "M", "EURO"),
    ],
)
def test_a_line_that_nobody_could_order_by_keeps_its_order_back(given, quantity, code, cell, named):
    place = replace(
        weeks.bin_of("A1", 0, 2).place, columns={"part": "P", "unit": "U", "pack": "K", "currency": "M"}
    )
    bins = (replace(weeks.bin_of("A1", 0, 2), place=place),)
    found = orders(
        line(quantity=quantity, bins=bins, **{"number": "A", **given}), line("Z", supplier="HARBOUR")
    )
    by_name = {each.name: each.faults for each in found}
    assert by_name["HARBOUR"] == ()
    (fault,) = by_name["Northquay"]
    assert (fault.code, str(fault.place)) == (code, f"stock.xlsx!Stock!{cell}2")
    assert named in fault.says
    assert "2026-W49-NORTH" in fault.did


def test_without_a_supplier_nothing_is_said_of_a_file():
    assert [each.faults for each in orders(line(unit="blip", supplier=""))] == [()]


def test_the_faults_of_all_orders_are_gathered():
    week = weeks.week(parts=(line("A", unit="blip"), line("B", unit="blop", supplier="HARBOUR")))
    assert [each.found for order in week.orders for each in order.faults] == ["blop", "blip"]
