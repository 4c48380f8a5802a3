"""What a person reads of an order line's size and of a supplier's rounds."""

from dataclasses import replace
from datetime import date
from fractions import Fraction

from weeks import B300
from workshop import FRI, FRIDAY_BEFORE

from reconcile.plan.orders.lot_sizes import choose_lot, next_break
from reconcile.plan.orders.rounds import choose_rounds
from reconcile.reports.week.why_order import (
    alternative_text,
    break_text,
    horizon_text,
    lot_figures,
    offer_text,
    supplier_figures,
)
from reconcile.values.rules import INCREMENTAL
from reconcile.values.week.buying import DeliveryTerms, Holding, LotLine, Offer, PriceStep, SupplierRounds
from reconcile.values.week.results import PartResult

F = Fraction
SCREWS = Offer((PriceStep(F(0), F("0.165")), PriceStep(F(200), F("0.12"))), pack=F(50), order_cost=F(3))
LATER = choose_lot([F(60 * week) for week in range(1, 6)], SCREWS, Holding(share=F(1, 50)))


def line(lot=None):
    zero = F(0)
    part = replace(B300, currency="EUR")
    return PartResult(
        part,
        zero,
        zero,
        zero,
        zero,
        None,
        zero,
        zero,
        date(2026, 12, 4),
        zero,
        zero,
        F(60),
        F(300),
        6,
        None,
        None,
        False,
        (),
        lot=lot,
    )


def text(lines):
    return "\n".join(lines)


def test_the_next_break_in_a_sentence():
    assert break_text(next_break(SCREWS, F(150)), "EUR") == (
        "50 more would bring the price of all to 0.12: 200 cost 24.00, 150 cost 24.75"
    )
    further = next_break(replace(SCREWS, kind=INCREMENTAL), F(150))
    assert break_text(further, "EUR") == (
        "50 more would bring the price of each further one to 0.12: 200 cost 33.00, 150 cost 24.75"
    )


def test_a_line_without_a_horizon_has_nothing_to_tell():
    assert list(lot_figures(line())) == []


def test_the_sizes_looked_at_and_the_one_taken():
    # 100 now and 200 next week: 16.50 + 24.00 + 2 x 3.00; kept 40 x 0.0033, then (180 + 120 + 60) x 0.0024.
    # 200 now and 100 in week 4: 24.00 + 16.50 + 6.00; kept (140 + 80 + 20) x 0.0024, 60 x 0.0033.
    assert text(lot_figures(line(replace(LATER, weekly_use=F(60))))) == "\n".join(
        [
            "  costs over 5 weeks, each later one taken to use 60: 300 to be bought by then;",
            "    price 0.165, 0.12 from 200 (all units); placing an order 3.00",
            "    100 at 0.165: goods 16.50, in all 47.50 (just enough)",
            "    200 at 0.12: goods 24.00, in all 47.27 (at a price break)",
            "    300 at 0.12: goods 36.00, in all 40.44 (cheapest over the horizon): taken",
            "    saves 7.06 against just enough",
            "    of it goods 36.00, placing orders 3.00, keeping stock 1.44; 0 left at the",
            "      end count for nothing",
        ]
    )


def test_later_orders_of_the_plan_are_named_by_week():
    dear = choose_lot([F(60), F(120)], Offer((PriceStep(F(0), F(10)),)), Holding(share=F(1, 50)))
    assert "then 60 for week 2" in text(lot_figures(line(dear)))


def test_a_horizon_of_one_week_names_no_use():
    alone = choose_lot([F(60)], SCREWS, Holding())
    assert horizon_text(alone) == "costs of 1 week"
    assert offer_text(replace(SCREWS, order_cost=F(0)), "EUR") == "price 0.165, 0.12 from 200 (all units)"


def test_an_average_without_an_end_is_rounded_for_the_eye():
    thirds = choose_lot([F(210)], replace(SCREWS, kind=INCREMENTAL, pack=F(210)), Holding())
    assert alternative_text(thirds.taken, "EUR").startswith("210 at 0.1629: goods 34.20")


def test_a_gap_is_told():
    lot = replace(LATER, taken=replace(LATER.taken, plan=replace(LATER.taken.plan, gap=F("1.25"))))
    assert "not proven: a plan may be 1.25 cheaper" in text(lot_figures(line(lot)))


# A supplier's rounds.


def told(terms, *lines, unpriced=()):
    choice = choose_rounds(
        [LotLine(part, F(value), latest) for part, value, latest in lines], terms, Holding(share=F(1, 100))
    )
    return text(supplier_figures(SupplierRounds("NORTH", "EUR", (FRIDAY_BEFORE, FRI), choice, unpriced)))


def test_lines_brought_forward():
    assert told(DeliveryTerms(charge=F(9)), ("A", 32, 0), ("B", 40, 1), unpriced=("C",)) == "\n".join(
        [
            "  Orders to NORTH as a whole, beside the goods (EUR)",
            "    each line as late as it may be: 2 orders, 18.00",
            "    every line now: 1 order, 9.40: taken",
            "    Fri 2026-11-27: A, B (could wait); goods 72.00, delivery 9.00, keeping what",
            "      is early 0.40",
            "    not counted, for they have no price: C",
        ]
    )


def test_lines_that_wait():
    shown = told(DeliveryTerms(F(50), F(9), F(50)), ("A", 60, 0), ("B", 90, 1))
    assert "each line as late as it may be: 2 orders, 0.00: taken" in shown
    assert "Fri 2026-12-04: B; goods 90.00, delivery free" in shown


def test_a_minimum_that_is_missed():
    shown = told(DeliveryTerms(F(50)), ("A", 30, 0))
    assert "1 order, 0.00, 20.00 below the minimum:" in shown
    assert "Fri 2026-11-27: A; goods 30.00, 20.00 below the minimum" in shown
