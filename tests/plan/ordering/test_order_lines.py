"""Lines of orders by all that was booked of them, and the sheet held against them."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from reconcile.plan.ordering.standing import (
    Matcher,
    lines_of,
    opened,
    order_difference_problem,
    order_differences,
    overdrawn,
    taken_over,
    with_events,
)
from reconcile.values.ledger.orders import (
    ANSWERED,
    CANCELLED,
    CLOSED_SHORT,
    CREDIT,
    CREDITED,
    PLACED,
    RECEIVED,
    REPLACEMENT,
    SENT_BACK,
    UNASKED,
    WRITTEN,
    OrderEntry,
    OrderEvent,
)
from reconcile.values.orders.lines import ANSWERED as IS_ANSWERED
from reconcile.values.orders.lines import (
    ENDED,
    OVERDUE,
    PART_RECEIVED,
    key_of,
)
from reconcile.values.orders.lines import PLACED as IS_PLACED
from reconcile.values.problem import RowPlace
from reconcile.values.stock.parts import Due, Part, Stock

MON, TUE, WED, THU, FRI = (date(2026, 11, 30), *(date(2026, 12, day) for day in range(1, 5)))
KEY = key_of("PO-1", "1", "A")


def event(what: str, quantity: object = None, day: date = MON, **said: object) -> OrderEvent:
    count = None if quantity is None else Fraction(str(quantity))
    return OrderEvent("PO-1", "1", what, day, "buyer", "A", "each", count, **said)


def line(*events: OrderEvent):
    return with_events({}, events)[KEY]


ORDERED = (event(WRITTEN, 50, due=TUE), event(PLACED, 50, due=WED, price=Decimal("0.12"), currency="EUR"))


@pytest.mark.parametrize(
    ("events", "figures", "to_come", "standing"),
    [
        ((), (50, 0, 0, 0), 50, IS_PLACED),
        ((event(ANSWERED, 50, TUE, due=FRI),), (50, 0, 0, 0), 50, IS_ANSWERED),
        ((event(ANSWERED, 40),), (40, 0, 0, 0), 40, IS_ANSWERED),
        ((event(ANSWERED, 0),), (0, 0, 0, 0), 0, ENDED),
        ((event(ANSWERED),), (50, 0, 0, 0), 50, IS_ANSWERED),
        ((event(CANCELLED, 10), event(ANSWERED, 40)), (50, 10, 0, 0), 40, IS_ANSWERED),
        ((event(RECEIVED, 20),), (50, 0, 20, 0), 30, PART_RECEIVED),
        ((event(RECEIVED, 20), event(CLOSED_SHORT, 30)), (50, 30, 20, 0), 0, ENDED),
        ((event(RECEIVED, 50), event(SENT_BACK, 5, expected=REPLACEMENT)), (50, 0, 50, 5), 5, PART_RECEIVED),
        ((event(RECEIVED, 50), event(SENT_BACK, 5, expected=CREDIT)), (50, 0, 50, 0), 0, ENDED),
        ((event(RECEIVED, 50), event(UNASKED, 3)), (50, 0, 50, 0), 0, ENDED),
    ],
)
def test_what_is_ordered_less_what_is_gone_is_to_come(events, figures, to_come, standing) -> None:
    found = line(*ORDERED, *events)
    assert (found.ordered, found.cancelled, found.received, found.replaced) == figures
    assert (found.to_come, found.standing(TUE)) == (to_come, standing)


def test_a_line_whose_day_has_passed_is_overdue() -> None:
    assert line(*ORDERED).standing(THU) == OVERDUE


def test_a_line_keeps_the_last_word_on_day_price_and_reason() -> None:
    found = line(*ORDERED, event(ANSWERED, due=FRI, price=Decimal("0.15"), reason="rolled late"))
    assert (found.wanted, found.due, found.price, found.note) == (TUE, FRI, Decimal("0.15"), "rolled late")


def test_a_credit_is_expected_until_it_came() -> None:
    back = (event(RECEIVED, 50), event(SENT_BACK, 5, expected=CREDIT))
    assert line(*ORDERED, *back).credit == 5
    assert line(*ORDERED, *back, event(CREDITED, 5)).credit == 0
    assert line(*ORDERED, *back).kept == 45


@pytest.mark.parametrize(
    "events", [(event(CANCELLED, 60),), (event(CREDITED, 1),), (event(SENT_BACK, 1, expected=REPLACEMENT),)]
)
def test_a_line_of_which_more_went_than_came_is_overdrawn(events) -> None:
    assert list(overdrawn([line(*ORDERED, *events)])) == [line(*ORDERED, *events)]
    assert list(overdrawn([line(*ORDERED)])) == []


def test_entries_are_folded_in_the_order_of_booking() -> None:
    entries = [OrderEntry(number, each) for number, each in enumerate((*ORDERED, event(RECEIVED, 20)), 1)]
    assert lines_of(entries)[KEY].to_come == 30


# --- the sheet ------------------------------------------------------------------------------------


def due(quantity: object, day: date = WED, order: str = "PO-1", number: str = "1", row: int = 2) -> Due:
    place = RowPlace("stock.xlsx", "On order", row, {"order": "A", "quantity": "C"})
    return Due(order, "A", Fraction(str(quantity)), day, place, line=number)


def sheet(*rows: Due) -> Stock:
    return Stock({"A": Part("A", supplier="NORD")}, rows)


BOOKED = with_events({}, ORDERED)


@pytest.mark.parametrize(
    ("order", "number", "found"),
    [
        ("po-1", "1", KEY),
        ("PO-1", "", KEY),
        ("PO-1", "2", key_of("PO-1", "2", "A")),
        ("PO-2", "1", key_of("PO-2", "1", "A")),
    ],
)
def test_a_row_belongs_to_the_line_of_its_number_or_the_only_one_of_its_part(order, number, found) -> None:
    assert Matcher(BOOKED).key(order, number, "A") == found


def test_a_sheet_that_says_the_same_differs_in_nothing() -> None:
    assert order_differences(sheet(due(20), due(30, row=3)), BOOKED, "stock.xlsx") == []


@pytest.mark.parametrize(("rows", "says"), [((due(20),), 20), ((), 0)])
def test_a_figure_changed_by_hand_is_told_and_taken_over(rows, says) -> None:
    (found,) = order_differences(sheet(*rows), BOOKED, "stock.xlsx")
    told = order_difference_problem(found, noticed=False)
    assert told.code == "order-differs"
    assert told.says == f"The sheet has {says} each of A to come on PO-1 line 1; the ledger has 50."
    assert str(told.place) == ("stock.xlsx!On order!C2" if rows else "stock.xlsx")
    after = with_events(BOOKED, taken_over([found], THU, "clerk"))
    assert after[KEY].to_come == says


def test_a_line_first_met_in_the_sheet_is_opened_with_what_it_says() -> None:
    (found,) = opened(sheet(due(7, FRI, "PO-9")), {}, MON, "clerk")
    assert (found.order, found.quantity, found.due, found.supplier) == ("PO-9", 7, FRI, "NORD")
    assert with_events({}, [found])[key_of("PO-9", "1", "A")].placed is None


def test_a_day_changed_by_hand_is_kept_and_changes_no_quantity() -> None:
    (found,) = opened(sheet(due(50, FRI)), BOOKED, THU, "clerk")
    after = with_events(BOOKED, [found])[KEY]
    assert (after.due, after.to_come) == (FRI, 50)


def test_a_day_that_has_passed_is_the_one_of_the_sheet() -> None:
    row = due(50, FRI)
    moved = Due(row.order, row.part, row.quantity, FRI, row.place, said=WED, line="1")
    assert list(opened(sheet(moved), BOOKED, THU, "clerk")) == []
