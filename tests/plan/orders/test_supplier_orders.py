"""A supplier's lines over weekly rounds: minimum, delivery charge, free delivery. Worked by hand."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from reconcile.plan.orders.rounds import choose_rounds, last_round, terms_of
from reconcile.values.stock.parts import Supplier
from reconcile.values.week.buying import ALL_NOW, AS_LATE, BEST_ROUNDS, DeliveryTerms, Holding, LotLine

F = Fraction
WEEKLY = Holding(share=F(1, 100))
"""Keeping goods costs a hundredth of their value a week: easy to reckon with."""


def line(part, value, latest=0):
    return LotLine(part, F(value), latest)


def terms(minimum=0, charge=0, free_from=None):
    return DeliveryTerms(F(minimum), F(charge), None if free_from is None else F(free_from))


def divided(plan):
    return {each.period: "".join(line.part for line in each.lines) for each in plan.rounds}


# What a supplier asks.


def test_what_a_supplier_does_not_ask_is_nothing():
    assert terms_of(Supplier("N")) == terms()
    given = Supplier("N", "", Decimal(50), Decimal("9.00"), Decimal(100))
    assert terms_of(given) == terms(50, 9, 100)


@pytest.mark.parametrize(("goods", "charge"), [("99.99", 9), (100, 0)])
def test_delivery_is_free_from_its_value_on(goods, charge):
    assert terms(0, 9, 100).charge_on(F(goods)) == charge


ROUNDS = [date(2026, 11, 27), date(2026, 12, 4), date(2026, 12, 11)]


@pytest.mark.parametrize(
    ("order_by", "expected"),
    [
        (None, 0),
        (date(2026, 11, 20), 0),  # late: now
        (date(2026, 11, 27), 0),
        (date(2026, 12, 3), 0),
        (date(2026, 12, 4), 1),
        (date(2027, 1, 4), 2),
    ],
)
def test_the_last_round_that_is_in_time(order_by, expected):
    assert last_round(order_by, ROUNDS) == expected


# Which line in which round.


def test_lines_are_brought_forward_to_save_a_delivery():
    # A alone costs 9, B and C next week 9 more. Together it is one charge; keeping 40 for a week costs 0.40.
    choice = choose_rounds([line("A", 32), line("B", 25, 1), line("C", 15, 1)], terms(0, 9), WEEKLY)
    assert [(each.why, divided(each), each.cost) for each in choice.alternatives] == [
        (AS_LATE, {0: "A", 1: "BC"}, 18),
        (ALL_NOW, {0: "ABC"}, F("9.40")),
        (BEST_ROUNDS, {0: "ABC"}, F("9.40")),
    ]
    assert (choice.saving, [each.part for each in choice.brought_forward]) == (F("8.60"), ["B", "C"])
    assert choice.taken.gap == 0


def test_only_as_much_is_brought_forward_as_free_delivery_asks_for():
    # Free from 50. A needs 18 more: C (20), and B is free by itself next week.
    lines = [line("A", 32), line("B", 60, 1), line("C", 20, 1), line("D", 30, 1)]
    choice = choose_rounds(lines, terms(0, 9, 50), WEEKLY)
    assert (divided(choice.taken), choice.taken.cost) == ({0: "AC", 1: "BD"}, F("0.20"))


def test_a_line_that_may_wait_waits_where_that_saves():
    # All were to be ordered today. D is not required before the order of next week, which goes out anyway.
    lines = [line("A", 60), line("B", 60, 1), line("D", 90, 1)]
    choice = choose_rounds(lines, terms(0, 9, 50), WEEKLY)
    assert (divided(choice.taken), choice.taken.cost) == ({0: "A", 1: "BD"}, 0)
    assert choice.alternatives[1].cost == F("1.50")


def test_dear_goods_are_not_kept_to_save_a_small_charge():
    choice = choose_rounds([line("A", 32), line("B", 4000, 1)], terms(0, 9), WEEKLY)
    assert (divided(choice.taken), choice.saving) == ({0: "A", 1: "B"}, 0)


def test_the_minimum_is_reached_even_where_that_costs():
    # A misses the minimum of 50 by 20. Bringing B forward costs 0.80 of keeping and reaches it.
    choice = choose_rounds([line("A", 30), line("B", 80, 1)], terms(50), WEEKLY)
    assert (divided(choice.taken), choice.taken.below_minimum, choice.taken.cost) == ({0: "AB"}, 0, F("0.80"))
    assert choice.alternatives[0].below_minimum == 20
    assert choice.saving == F("-0.80")


def test_no_more_is_brought_forward_than_the_minimum_asks_for():
    # A misses it by 20: B reaches it, and C does alone next week.
    lines = [line("A", 30), line("B", 25, 1), line("C", 60, 1)]
    choice = choose_rounds(lines, terms(50), WEEKLY)
    assert (divided(choice.taken), choice.taken.cost) == ({0: "AB", 1: "C"}, F("0.25"))


def test_a_minimum_that_cannot_be_reached_is_told():
    choice = choose_rounds([line("A", 30), line("B", 12, 1)], terms(50, 5), WEEKLY)
    assert (divided(choice.taken), choice.taken.below_minimum) == ({0: "AB"}, 8)


def test_the_cost_of_placing_an_order_counts_too():
    lines = [line("A", 10), line("B", 10, 2)]
    assert divided(choose_rounds(lines, terms(), WEEKLY).taken) == {0: "A", 2: "B"}
    choice = choose_rounds(lines, terms(), WEEKLY, F(4))
    assert (divided(choice.taken), choice.taken.cost) == ({0: "AB"}, F("4.20"))


def test_middle_rounds_are_used():
    # B may wait until round 1 and C until 2; an order costs 3; A is dear to hold up with nothing.
    choice = choose_rounds(
        [line("A", 10), line("B", 200, 1), line("C", 100, 2)], terms(0, 3), Holding(share=F(2, 100))
    )
    # Each alone 9; A+B 6 + 4; B+C in round 1: 6 + 2; all now 3 + 4 + 4.
    assert (divided(choice.taken), choice.taken.cost) == ({0: "A", 1: "BC"}, 8)


def test_everything_urgent_is_one_order():
    choice = choose_rounds([line("A", 10), line("B", 10)], terms(50, 9), WEEKLY)
    assert (divided(choice.taken), choice.taken.cost, choice.taken.below_minimum) == ({0: "AB"}, 9, 30)


def test_without_patience_the_gap_is_told():
    lines = [line("A", 32), line("B", 25, 1), line("C", 15, 2)]
    choice = choose_rounds(lines, terms(0, 9), WEEKLY, patience=0)
    best = choose_rounds(lines, terms(0, 9), WEEKLY)
    assert best.taken.gap == 0
    assert choice.taken.gap > 0
    assert choice.taken.cost - choice.taken.gap <= best.taken.cost <= choice.taken.cost
