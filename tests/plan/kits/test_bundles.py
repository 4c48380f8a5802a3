"""Jobs in the numbers that the choosing works with, and back."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from workshop import MON, TUE, WED, kit_job, part

from reconcile.plan.flows.supply import FROM_THE_START, Arrival, Demand, Supply
from reconcile.plan.kits.bundles import Bundles, marks_of, small_units
from reconcile.plan.solver.packing import Ask, Option, Yield
from reconcile.values.week.jobs import Choice, Line
from reconcile.values.week.results import ORDER, Source

PO_1 = Source(ORDER, "PO-1")
TENTH = Fraction(1, 10)


def choice(substitute=False, **parts):
    """``choice(A=1)``: one A for each unit."""
    return Choice(tuple((number, Fraction(each)) for number, each in parts.items()), substitute)


def line(quantity, *choices, do="fit", what="bolt", name="joint", side="left", off=None):
    pieces = tuple((number, Fraction(count)) for number, count in (off or {}).items())
    return Line(do, what, name, side, Fraction(quantity), "each", None, choices, pieces=pieces)


def demand(number, day, *lines, gives=None, **given):
    kind = hash(tuple(map(repr, lines)))  # equal lines, one kind
    return Demand(kit_job(number, day, "F", **given), lines, gives or {}, date(2026, 12, 3), kind, day)


def numbered(demands, **supplies):
    """Bundles over parts A, B and so on: each a count on the shelf, or a whole supply."""
    made = {
        number: each if isinstance(each, Supply) else Supply(Fraction(each))
        for number, each in supplies.items()
    }
    return Bundles(demands, made, {number: part(number) for number in made})


def day(when):
    return when.toordinal()


# --- asks -----------------------------------------------------------------------------------------------


def test_a_line_with_one_choice_is_one_unit_that_takes_all_of_it():
    # 2 for each of 3 chairs; the choice takes 2 of A and 1 of B for each.
    one = demand("J-1", MON, line(2, choice(A=2, B=1)), chairs=3)
    assert numbered([one], A=0, B=0).asks(one) == (Ask(1, (Option(((0, 12), (1, 6)), 0),)),)


TWO_WAYS = (choice(A=1), choice(substitute=True, B=2))


def test_a_joint_with_several_choices_is_a_share_for_each_chair():
    # 2 bolts a chair, three chairs: three shares, each of 2 of A, or of 4 of B, which are two substitutes.
    one = demand("J-1", MON, line(2, *TWO_WAYS), chairs=3)
    assert numbered([one], A=0, B=0).asks(one) == (Ask(3, (Option(((0, 2),), 0), Option(((1, 4),), 2))),)


def test_sides_that_ask_for_the_same_are_one_share():
    one = demand("J-1", MON, line(2, *TWO_WAYS), line(2, *TWO_WAYS, side="right"))
    assert numbered([one], A=0, B=0).asks(one) == (Ask(1, (Option(((0, 4),), 0), Option(((1, 8),), 4))),)


def test_what_is_no_joints_is_served_unit_by_unit():
    one = demand("J-1", MON, line(2, *TWO_WAYS, what="disturbed"), chairs=3)
    assert numbered([one], A=0, B=0).asks(one) == (Ask(6, (Option(((0, 1),), 0), Option(((1, 2),), 1))),)


def test_a_substitute_counts_by_units_with_one_choice_as_with_several():
    alone = demand("J-1", MON, line(2, choice(substitute=True, A=1)), chairs=3)
    (ask,) = numbered([alone], A=0).asks(alone)
    assert (ask.units, ask.options[0].penalty) == (1, 6)
    both = demand("J-1", MON, line(2, choice(substitute=True, A=1), choice(substitute=True, B=1)), chairs=3)
    (ask,) = numbered([both], A=0, B=0).asks(both)
    assert (ask.units, [option.penalty for option in ask.options]) == (3, [2, 2])


def test_lines_to_remove_and_lines_that_nothing_serves_ask_for_nothing():
    one = demand("J-1", MON, line(1, choice(A=1), do="remove"), line(1), line(1, choice(A=1)))
    assert numbered([one], A=0).asks(one) == (Ask(1, (Option(((0, 1),), 0),)),)


# --- small units -----------------------------------------------------------------------------------------


def test_a_tenth_of_a_millilitre_is_a_whole_number_of_small_units():
    # 0.1 mL for each of 4 bolts; 2.5 mL on the shelf: 4 of 25 tenths.
    one = demand("J-1", MON, line(4, choice(TL=TENTH), what="extra"))
    bundles = numbered([one], TL=Fraction("2.5"))
    assert bundles.scales == {"TL": 10}
    assert bundles.asks(one) == (Ask(1, (Option(((0, 4),), 0),)),)
    assert bundles.resources[0].supply == {FROM_THE_START: 25}


def test_the_small_unit_fits_the_shelf_what_is_due_what_is_taken_and_what_is_given_back():
    supply = Supply(Fraction(1, 2), (Arrival(TUE, Fraction(1, 3), PO_1),))
    one = demand("J-1", MON, line(1, choice(A=Fraction(1, 5))), gives={"A": Fraction(1, 7)})
    bundles = numbered([one], A=supply)
    assert bundles.scales == {"A": 2 * 3 * 5 * 7}
    assert bundles.resources[0].supply == {FROM_THE_START: 105, day(TUE): 70}
    assert bundles.asks(one)[0].options[0].uses == ((0, 42),)
    assert bundles.yields(one) == (Yield(0, 30, day(date(2026, 12, 3))),)


def test_each_part_has_a_small_unit_of_its_own_unless_a_line_is_cut_finer():
    # A third of a line that takes 2 of A for each: 2/3.
    one = demand("J-1", MON, line(Fraction(1, 3), choice(A=2)), line(1, choice(B=1)))
    bundles = numbered([one], A=1, B=1)
    assert bundles.scales == {"A": 3, "B": 1}
    assert [ask.options[0].uses for ask in bundles.asks(one)] == [((0, 2),), ((1, 1),)]


def test_small_units_are_those_of_every_kind_of_job():
    kinds = [demand("J-1", MON, line(1, choice(A=Fraction(1, n)))) for n in (4, 6)]
    assert small_units(kinds, {"A": Supply(Fraction(0))}) == {"A": 12}


def test_one_unit_weighs_the_same_whatever_its_small_unit():
    # A in tenths, B whole: ten small units of A weigh as one of B. Money is counted in millionths.
    one = demand("J-1", MON, line(1, choice(A=TENTH)), line(1, choice(B=1)))
    supplies = {"A": Supply(Fraction(0)), "B": Supply(Fraction(0))}
    parts = {"A": part("A", price="0.50"), "B": part("B", price="2")}
    first, second = Bundles([one], supplies, parts).resources
    assert 10 * first.weight == second.weight
    assert second.cost == 4 * 10 * first.cost == Decimal(2) * 1_000_000 * second.weight


def test_a_part_without_a_price_costs_nothing():
    assert numbered([demand("J-1", MON, line(1, choice(A=1)))], A=0).resources[0].cost == 0


# --- time -----------------------------------------------------------------------------------------------


def test_what_is_due_on_one_day_is_added_up():
    supply = Supply(
        Fraction(2), (Arrival(TUE, Fraction(1), PO_1), Arrival(TUE, Fraction(4), Source(ORDER, "PO-2")))
    )
    assert numbered([], A=supply).resources[0].supply == {FROM_THE_START: 2, day(TUE): 5}


def test_the_shelf_is_there_before_any_day():
    assert day(date.min) > FROM_THE_START


# --- equal jobs ------------------------------------------------------------------------------------------


def test_jobs_of_one_kind_day_and_priority_make_one_bundle():
    lines = (line(1, choice(A=1)),)
    gives: dict[str, Fraction] = {}
    demands = [
        replace(demand(number, when, row=row, priority=priority, chairs=chairs), lines=lines, gives=gives)
        for number, when, row, priority, chairs in (
            ("J-1", MON, 9, 3, 1),
            ("J-2", MON, 4, 3, 1),
            ("J-3", TUE, 5, 3, 1),
            ("J-4", MON, 6, 1, 1),
            ("J-5", MON, 7, 3, 2),
        )
    ]
    made = numbered(demands, A=0).bundles(range(5))
    assert [(each.rank, each.period, each.marks) for each in made] == [
        (3, day(MON), (4, 9)),
        (3, day(TUE), (5,)),
        (1, day(MON), (6,)),
        (3, day(MON), (7,)),
    ]
    assert [each.asks[0].options[0].uses for each in made] == [((0, 1),)] * 3 + [((0, 2),)]


def test_only_the_demands_asked_for_are_bundled():
    demands = [
        demand("J-1", MON, line(1, choice(A=1)), row=2),
        demand("J-2", MON, line(1, choice(A=1)), row=3),
    ]
    assert [each.marks for each in numbered(demands, A=0).bundles([1])] == [(3,)]


def test_marks_are_rows_or_places_where_rows_are_not_told_apart():
    rows = [demand("J-1", MON, row=7), demand("J-2", MON, row=3)]
    assert marks_of(rows) == [7, 3]
    assert marks_of([*rows, demand("J-3", MON, row=7)]) == [0, 1, 2]
    assert numbered(rows, A=0).at == {7: 0, 3: 1}


# --- and back ---------------------------------------------------------------------------------------------


def served_parts(serving):
    return [dict(each.parts) for each in serving.lines]


def test_the_units_served_come_back_as_parts_of_the_lines():
    one = demand(
        "J-1", WED, line(1, *TWO_WAYS), line(Fraction(2, 3), choice(C=TENTH), what="extra"), chairs=3
    )
    bundles = numbered([one], A=0, B=0, C=0)
    serving = bundles.serving(one, ((2, 1), (1,)))
    assert served_parts(serving) == [{"A": 2, "B": 2}, {"C": Fraction(1, 5)}]
    assert serving.takes == {"A": 2, "B": 2, "C": Fraction(1, 5)}
    assert [each.substitute for each in serving.lines] == [True, False]
    assert [count for _, count in serving.lines[0].served] == [2, 1]


@pytest.mark.parametrize(("units", "substitute"), [((3, 0), False), ((2, 1), True), ((0, 3), True)])
def test_a_line_partly_served_by_a_substitute_is_one(units, substitute):
    one = demand("J-1", WED, line(1, *TWO_WAYS), chairs=3)
    (served,) = numbered([one], A=0, B=0).serving(one, (units,)).lines
    assert served.substitute is substitute


def test_without_units_every_line_is_served_by_its_first_choice():
    one = demand("J-1", WED, line(3, *TWO_WAYS), chairs=2)
    assert served_parts(numbered([one], A=0, B=0).serving(one)) == [{"A": 6}]


def test_lines_keep_their_order_and_what_comes_off_takes_nothing():
    one = demand("J-1", WED, line(2, do="remove", off={"B": 2}), line(1), line(1, choice(A=1)))
    serving = numbered([one], A=0, B=0).serving(one, ((1,),))
    assert served_parts(serving) == [{"B": 2}, {}, {"A": 1}]
    assert serving.takes == {"A": 1}


def test_a_part_that_serves_two_lines_is_taken_for_both():
    one = demand("J-1", WED, line(1, choice(A=1)), line(2, choice(A=1)))
    assert numbered([one], A=0).serving(one).takes == {"A": 3}
