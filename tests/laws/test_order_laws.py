"""A law of orders: whatever is placed, answered, received, cancelled, sent back, undone, in any order,

    ordered − cancelled − received + sent back for replacement = still to come,

line by line, in the sheet, in the ledger and in a plain sum that this test keeps for itself. Beside it: never
is a want ordered twice or forgotten. What an order would be for, with what is on order by the reach, is no
less than the shortfall; and once an order is placed, the next plan asks for nothing more of it.
"""

import os
import shutil
import tempfile
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
from books import csv_file
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from order_shop import FULL_ORDERS, PLAIN_ORDERS, shop, to_come

from reconcile.ledger.book import open_ledger
from reconcile.plan.ordering.standing import lines_of
from reconcile.reports.orders.book import order_name, write_orders
from reconcile.sheets.finding import located
from reconcile.sheets.request import Request
from reconcile.values.ledger.orders import CREDIT, CREDITED, REPLACEMENT
from reconcile.values.problem import Unusable
from reconcile.work.booking import post
from reconcile.work.entries.undoing import undo
from reconcile.work.ordering.answering import book_answer, prepare_answer
from reconcile.work.ordering.arriving import (
    Typed,
    prepare_cancelling,
    prepare_credit,
    prepare_received,
    prepare_sending_back,
)
from reconcile.work.ordering.placing import book_placing, prepare_placing
from reconcile.work.planning import plan

TODAY = date(2026, 11, 27)
COUNTS = st.integers(1, 30).map(Fraction)
Key = tuple[str, str]


class Desk(RuleBasedStateMachine):
    """A shop whose orders go through the book, and beside them the plain sum of what was done."""

    @initialize(full=st.booleans())
    def open(self, full: bool) -> None:
        self.folder = shop(
            Path(tempfile.mkdtemp(prefix="orders-")) / "shop", FULL_ORDERS if full else PLAIN_ORDERS
        )
        self.sum: dict[Key, Fraction] = {("PO-1", "PAN-14"): Fraction(4)}
        self.closings: list[tuple[str, dict[Key, Fraction]]] = []

    def teardown(self) -> None:
        if hasattr(self, "folder"):
            shutil.rmtree(self.folder.parent)

    @property
    def request(self) -> Request:
        return Request(self.folder, today=TODAY, week="2026-W49")

    def line(self, data: st.DataObject) -> tuple[Key, object]:
        ledger = open_ledger(self.folder / "stock-ledger.sqlite", create=False)
        with ledger:  # type: ignore[union-attr]
            lines = list(lines_of(ledger.order_entries()).values())  # type: ignore[union-attr]
        line = data.draw(st.sampled_from(lines))
        return (line.order, line.part), line

    def kept(self, name: str, change: dict[Key, Fraction]) -> None:
        self.closings.append((name, change))
        for key, quantity in change.items():
            self.sum[key] = self.sum.get(key, Fraction(0)) + quantity

    def booked(self, prepared, change: dict[Key, Fraction]) -> None:
        post(prepared.desk, prepared.posting, in_place=True)
        self.kept(prepared.posting.closing.name, change)

    has_ledger = precondition(lambda self: (self.folder / "stock-ledger.sqlite").exists())

    @rule()
    def plan_and_place(self) -> None:
        reports = self.folder / "reports"
        reports.mkdir(exist_ok=True)
        week = plan(self.request)
        write_orders(week, reports / order_name(week))  # the other workbooks are not asked for here
        try:
            prepared = prepare_placing(self.request, "all")
        except Unusable as unusable:
            assert {each.code for each in unusable.problems} <= {"order-placed-already", "order-unknown"}
            return
        book_placing(prepared, in_place=True)
        change = {
            (each.written.reference, line.part): line.quantity
            for each in prepared.orders
            for line in each.written.lines
        }
        self.kept(prepared.posting.closing.name, change)
        again = plan(self.request)
        assert [part.part.number for part in again.parts if part.order] == []

    @has_ledger
    @rule(data=st.data(), quantity=COUNTS, finished=st.booleans())
    def receive(self, data: st.DataObject, quantity: Fraction, finished: bool) -> None:
        key, line = self.line(data)
        typed = Typed(quantity, finished=finished, reason="counted at the door")
        prepared = prepare_received(self.request, f"{line.order}/{line.part}", typed)
        left = line.to_come
        self.booked(prepared, {key: -left if finished else -min(left, quantity)})

    @has_ledger
    @rule(data=st.data(), quantity=COUNTS)
    def cancel(self, data: st.DataObject, quantity: Fraction) -> None:
        key, line = self.line(data)
        typed = Typed(quantity, reason="not wanted")
        prepared = prepare_cancelling(self.request, f"{line.order}/{line.part}", typed)
        try:
            self.booked(prepared, {key: -quantity})
        except Unusable as unusable:
            assert {each.code for each in unusable.problems} == {"order-overdrawn"}
            assert quantity > line.to_come

    @has_ledger
    @rule(data=st.data(), quantity=COUNTS, expected=st.sampled_from([REPLACEMENT, CREDIT]))
    def send_back(self, data: st.DataObject, quantity: Fraction, expected: str) -> None:
        key, line = self.line(data)
        try:
            prepared = prepare_sending_back(
                self.request, f"{line.order}/{line.part}", Typed(quantity, reason="bent"), expected
            )
            self.booked(prepared, {key: quantity if expected == REPLACEMENT else Fraction(0)})
        except Unusable as unusable:
            codes = {each.code for each in unusable.problems}
            assert codes <= {"sent-back-more", "order-overdrawn"}
            assert quantity > line.kept or quantity > line.received - line.replaced

    @has_ledger
    @rule(data=st.data())
    def credit(self, data: st.DataObject) -> None:
        key, line = self.line(data)
        if line.credit:
            prepared = prepare_credit(self.request, f"{line.order}/{line.part}", CREDITED, Typed())
            self.booked(prepared, {key: Fraction(0)})

    @has_ledger
    @rule(data=st.data(), quantity=st.integers(0, 40), days=st.integers(0, 30))
    def answer(self, data: st.DataObject, quantity: int, days: int) -> None:
        key, line = self.line(data)
        due = date.fromordinal(TODAY.toordinal() + days)
        path = csv_file(
            self.folder / "answer.csv",
            f"order,part,quantity,due\n{line.order},{line.part},{quantity},{due}\n",
        )
        try:
            prepared = prepare_answer(self.request, path)
        except Unusable as unusable:
            assert {each.code for each in unusable.problems} == {"answer-below-received"}
            assert quantity < line.received - line.replaced
            return
        book_answer(prepared, in_place=True)
        after = Fraction(quantity) - line.received + line.replaced if quantity else Fraction(0)
        self.kept(prepared.posting.closing.name, {key: after - line.to_come})

    @has_ledger
    @precondition(lambda self: self.closings)
    @rule(data=st.data())
    def undo(self, data: st.DataObject) -> None:
        place = data.draw(st.integers(0, len(self.closings) - 1))
        name, change = self.closings[place]
        try:
            undo(name, located(self.request), in_place=True)
        except Unusable as unusable:
            assert {each.code for each in unusable.problems} <= {"order-overdrawn"}
            return
        del self.closings[place]
        answers = any(each.startswith("answer") for each, _ in [(name, change), *self.closings])
        if answers:  # an answer says how much in all: what it changed depends on what stands before it
            self.sum = self.lines_to_come()
        else:
            for key, quantity in change.items():
                self.sum[key] -= quantity

    def lines_to_come(self) -> dict[Key, Fraction]:
        ledger = open_ledger(self.folder / "stock-ledger.sqlite", create=False)
        if ledger is None:
            return {("PO-1", "PAN-14"): Fraction(4)}
        with ledger:
            lines = lines_of(ledger.order_entries()).values()
        for line in lines:
            assert line.to_come == line.ordered - line.cancelled - line.received + line.replaced >= 0
        return {(line.order, line.part): line.to_come for line in lines}

    @invariant()
    def sheet_ledger_and_sum_say_the_same(self) -> None:
        if hasattr(self, "folder"):
            own = {key: quantity for key, quantity in self.sum.items() if quantity}
            assert to_come(self.folder) == own
            assert {key: number for key, number in self.lines_to_come().items() if number} == own

    @invariant()
    def no_want_is_forgotten_or_ordered_twice(self) -> None:
        if not hasattr(self, "folder"):
            return
        week = plan(self.request)
        for part in week.parts:
            by_reach = sum(
                (
                    due.quantity
                    for due in week.stock.due
                    if due.part == part.part.number and due.day <= part.reach
                ),
                Fraction(0),
            )
            assert part.want + by_reach >= part.shortfall
            assert part.order == 0 or part.want > 0


TestOrders = Desk.TestCase
TestOrders.settings = settings(
    max_examples=int(os.environ.get("MONTHS_TRIED", "16")), stateful_step_count=12, deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)  # fmt: skip
TestOrders.pytestmark = [pytest.mark.slow]


def test_a_short_sequence_keeps_the_law() -> None:
    """The same by hand, so that a quick run has it too."""
    desk = Desk()
    try:
        desk.open(full=True)
        desk.plan_and_place()
        desk.sheet_ledger_and_sum_say_the_same()
        desk.no_want_is_forgotten_or_ordered_twice()
    finally:
        desk.teardown()
