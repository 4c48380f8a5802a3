"""ABC classes and cycle counts against figures published elsewhere."""

from datetime import date
from fractions import Fraction

from count_cases import TODAY, part, stock

from reconcile.plan.counting.sheets import classes, turn_of
from reconcile.values.rules import CLASSES, Counting

TEN_PARTS = {
    "10286": ("1000", "90.00"),
    "11526": ("500", "154.00"),
    "12760": ("1550", "17.00"),
    "10867": ("350", "42.86"),
    "10500": ("1000", "12.50"),
    "12572": ("600", "14.17"),
    "14075": ("2000", "0.60"),
    "01036": ("100", "8.50"),
    "01307": ("1200", "0.42"),
    "10572": ("250", "0.60"),
}
"""Yearly units and unit cost: Heizer and Render, *Operations Management*, ch. 12, example of an ABC analysis
(from memory). Printed: 232,057 in all, the shares below, and the classes A, A, B, B, B, C, C, C, C, C."""
PRINTED_SHARES = ["38.8", "33.2", "11.3", "6.4", "5.4", "3.7", "0.5", "0.4", "0.2", "0.1"]
PRINTED_CLASSES = "AABBBCCCCC"


def ranked(shares):
    of = stock(
        *(part(number, price=cost) for number, (_, cost) in TEN_PARTS.items()),
        used=[(number, units) for number, (units, _) in TEN_PARTS.items()],
    )
    percent = dict(zip(CLASSES, shares, strict=True))
    rules = Counting(shares={name: Fraction(each, 100) for name, each in percent.items()})
    return classes(of, rules, TODAY)


def test_yearly_values_and_shares_of_a_textbook_table():
    known = ranked((80, 15, 5))
    total = sum(each.value for each in known.values())
    assert round(total) == 232057
    # 11.355 and 6.464 stand there as 11.3 and 6.4, so that the column adds up to 100.
    for each, printed in zip(known.values(), PRINTED_SHARES, strict=True):
        assert abs(100 * each.value / total - Fraction(printed)) < Fraction("0.07")


def test_the_books_own_classes_come_out_where_a_takes_70_and_b_25_percent():
    assert "".join(each.name for each in ranked((70, 25, 5)).values()) == PRINTED_CLASSES


def test_with_80_15_5_the_part_that_crosses_80_percent_is_still_in_a():
    # 72.0 % lie above 12760, which takes the sum to 83.3 %; the book itself calls it B.
    assert "".join(each.name for each in ranked((80, 15, 5)).values()) == "AAABBCCCCC"


def test_daily_counts_of_a_textbook_plan():
    """500, 1,750 and 2,750 parts, every 20, 60 and 120 working days: 25, 29 and 23 a day, 77 in all.

    Heizer and Render, *Operations Management*, ch. 12, example of cycle counting (from memory). 120 days
    hold six, two and one counts; printed are the daily figures, rounded.
    """
    daily = []
    for parts, times in ((500, 6), (1750, 2), (2750, 1)):
        counts = [len(turn_of([str(n) for n in range(parts)], times, 120, day)) for day in range(120)]
        assert sum(counts) == parts * times
        assert max(counts) - min(counts) <= 1
        daily.append(Fraction(sum(counts), 120))
    assert [round(each) for each in daily] == [25, 29, 23]
    assert round(sum(daily)) == 77


def test_yearly_counts_at_twelve_four_and_one():
    """100, 300 and 600 parts at 12, 4 and 1 times a year: 3,000 counts, 12 a day of 250.

    The frequencies are common practice, no source; the arithmetic is 100 x 12 + 300 x 4 + 600 = 3,000.
    """
    rules = Counting()
    total = sum(
        len(turn_of([str(n) for n in range(parts)], rules.times[name], 250, day))
        for name, parts in zip(CLASSES, (100, 300, 600), strict=True)
        for day in range(250)
    )
    assert total == 3000
    assert total / 250 == 12


def test_2026_begins_in_week_one_and_has_53_by_the_iso_calendar():
    """ISO 8601: a year whose 1 January is a Thursday has 53 weeks; 2026 is one."""
    assert date(2026, 1, 1).isoweekday() == 4
    assert date(2026, 12, 31).isocalendar().week == 53
