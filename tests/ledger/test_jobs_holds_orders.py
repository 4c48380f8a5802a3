"""Jobs as booked, holds and orders come back as they went in; an undo takes back what its closing booked."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.ledger.book import Beside, Ledger, open_ledger
from reconcile.ledger.schema import GREATEST
from reconcile.values.ledger.holds import OVERTAKEN, RELEASED, HeldRow, HoldEnd
from reconcile.values.ledger.jobs import (
    PART_DONE,
    CheckDone,
    JobBooked,
    JobLine,
    JobRow,
    JointFound,
    SideSteps,
)
from reconcile.values.ledger.orders import CREDIT, EVENTS, PLACED, RECEIVED, SENT_BACK, OrderEvent
from reconcile.values.measure import inches
from reconcile.values.problem import Unusable
from reconcile.values.stock.lines import LineKey
from reconcile.values.stock.movements import UNDO, WEEK, Closing

DAY = date(2026, 12, 1)
W49 = Closing("2026-W49", WEEK, DAY, "clerk")
UNDONE = Closing("undo of 2026-W49", UNDO, DAY, "clerk", undoes="2026-W49")
ROW = JobRow(
    "J-1",
    DAY,
    frame="NQ-T1",
    adjustment="seat width",
    size_from=inches(16),
    size_to=inches("33/2"),
    unit="in",
    side="both",
    left_now=2,
    right_now=2,
    steps=(SideSteps("left", 2, 2), SideSteps("right", 2, 3)),
    spacers_now="left: single; right: SP-100",
    options=("front rigging", "café"),
    asset="WC-0443",
    technician="bench 1",
)
BOLT = JobLine(
    LineKey("fit", "bolt", "upper front", "right"),
    "B14-300",
    "each",
    Fraction(1),
    Fraction(2),
    None,
    Fraction(0),
    "one spoilt",
    "adjustment[1].joint[1].bolts",
    inches(3),
)
UNKNOWN = JobLine(
    LineKey("remove", "spacer", "upper front", "left"),
    "",
    "step",
    Fraction(2),
    steps=2,
    came_off="one long one",
)
JOB = JobBooked(
    ROW,
    (BOLT, UNKNOWN),
    (
        JointFound(
            "upper front",
            "right",
            "adjustment[1].joint[1]",
            1,
            2,
            {"SP-100": Fraction(1)},
            "B14-250",
            inches("5/2"),
        ),
        JointFound("upper front", "left", stack={}),
        JointFound("lower rear", "left"),
    ),
    (
        CheckDone("wheel locks hold, both sides", True, "", "second", date(2026, 12, 2)),
        CheckDone("overall width", None, "640 mm"),
        CheckDone("castors square", False),
    ),
)


@pytest.fixture
def ledger(tmp_path: Path):
    with open_ledger(tmp_path / "stock-ledger.sqlite") as opened:
        yield opened


def posted(ledger: Ledger, closing: Closing = W49, **beside) -> None:
    with ledger.held():
        ledger.post([], closing, beside=Beside(**beside))


def test_a_job_comes_back_as_it_was_booked(ledger: Ledger) -> None:
    posted(ledger, jobs=[JOB, JobBooked(JobRow("J-2", DAY, PART_DONE))])
    first, second = ledger.booked_jobs()
    assert first.booked == JOB
    assert (first.closing, first.number, first.closed, first.who) == ("2026-W49", 1, DAY, "clerk")
    assert second.booked == JobBooked(JobRow("J-2", DAY, PART_DONE))


def test_an_undo_takes_it_back_and_the_week_may_be_closed_anew(ledger: Ledger) -> None:
    posted(ledger, jobs=[JOB])
    posted(ledger, UNDONE)
    assert ledger.booked_jobs() == ()
    posted(ledger, jobs=[replace(JOB, checks=())])
    (only,) = ledger.booked_jobs()
    assert (only.number, only.booked.checks) == (3, ())


def test_a_length_that_no_column_holds_is_refused_and_nothing_is_booked(ledger: Ledger) -> None:
    fine = replace(JOB, row=replace(ROW, size_to=Fraction(1, GREATEST + 1)))
    with pytest.raises(Unusable) as refused:
        posted(ledger, jobs=[fine])
    assert refused.value.problems[0].code == "movement-too-fine"
    assert ledger.count() == 0


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("job_rows", "standing = 'nearly'"),
        ("job_rows", "size_from = '16 in'"),
        ("job_rows", "left_after = NULL"),
        ("job_rows", "options = '{}'"),
        ("job_rows", "options = '[1]'"),
        ("job_rows", "chairs = 0"),
        ("job_rows", "day = 3"),
        ("job_lines", "planned = '1/0'"),
        ("job_lines", "steps = 'two'"),
        ("job_joints", "stack = '[]' WHERE stack IS NOT NULL"),
        ("job_joints", 'stack = \'{"SP-100": "many"}\''),
        ("job_joints", "stack = '{\"SP-100\": 1}'"),
        ("checks", "tried = '2026-02-30'"),
        ("checks", "passed = 'yes'"),
    ],
)
def test_what_is_no_value_of_its_column_is_told(ledger: Ledger, table: str, change: str) -> None:
    posted(ledger, jobs=[JOB])
    with closing(sqlite3.connect(ledger.path)) as other:
        other.execute("PRAGMA ignore_check_constraints = ON")
        other.execute(f"DROP TRIGGER {table}_not_update")
        other.execute(f"UPDATE {table} SET {change}")
        other.commit()
    with pytest.raises(Unusable) as refused:
        ledger.booked_jobs()
    assert refused.value.problems[0].code == "ledger-broken"
    assert f"{table}, row " in refused.value.problems[0].says


@settings(deadline=None, max_examples=30)  # a ledger on the disk for each
@given(
    planned=st.fractions(min_value=0, max_value=10**6, max_denominator=10**6),
    used=st.none() | st.fractions(min_value=0, max_value=10**6, max_denominator=10**6),
    words=st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
)
def test_any_quantity_and_any_words_come_back(
    tmp_path_factory: pytest.TempPathFactory, planned: Fraction, used: Fraction | None, words: str
) -> None:
    line = JobLine(LineKey("fit", "extra", words, "left"), words, "mL", planned, used, used, None, words)
    with open_ledger(tmp_path_factory.mktemp("any") / "stock-ledger.sqlite") as ledger:
        posted(ledger, jobs=[JobBooked(ROW, (line,))])
        assert ledger.booked_jobs()[0].booked.lines == (line,)


# --- holds ------------------------------------------------------------------------------------------

HELD = HeldRow(
    "J-4200",
    DAY,
    "NQ-T1",
    inches(17),
    inches(16),
    "in",
    "seat width",
    (),
    "left",
    2,
    2,
    "single",
    1,
    1,
    "WC-0443",
    "bench 2",
    "for Friday",
)
AT = datetime(2026, 11, 27, 9, 30, tzinfo=UTC)


def test_a_hold_stands_until_it_is_released_or_overtaken(ledger: Ledger) -> None:
    with ledger.held():
        first = ledger.hold(HELD, "clerk", AT)
        second = ledger.hold(replace(HELD, job="J-4201", options=None, size_from=None), "clerk", AT)
    assert ledger.holds() == (first, second)
    assert (first.row, first.stands, first.number) == (HELD, True, 1)
    released, overtaken = HoldEnd(RELEASED, AT, "store"), HoldEnd(OVERTAKEN, AT, "store", "jobs.xlsx!Jobs!A9")
    with ledger.held():
        ledger.end_hold(first, released)
        ledger.end_hold(first, overtaken)  # it has ended: nothing more happens to it
        ledger.end_hold(second, overtaken)
    assert [hold.end for hold in ledger.holds()] == [released, overtaken]


# --- orders -----------------------------------------------------------------------------------------

EVENT = OrderEvent(
    "2026-W49-QUIL",
    "2",
    PLACED,
    DAY,
    "buyer",
    "B14-250",
    "each",
    Fraction(50),
    date(2026, 12, 9),
    Decimal("0.12"),
    "EUR",
    "QUIL",
    source="order-2026-W49.xlsx!QUIL!A3",
)


def test_what_happened_to_an_order_comes_back_in_its_order(ledger: Ledger) -> None:
    events = [
        replace(EVENT, event=event, quantity=None if event == PLACED else Fraction(7, 2)) for event in EVENTS
    ]
    sent = replace(EVENT, event=SENT_BACK, expected=CREDIT, reason="bent", due=None, price=None)
    with ledger.held():
        ledger.add_order_events([*events, sent])
    assert [entry.event for entry in ledger.order_entries()] == [*events, sent]
    assert [entry.number for entry in ledger.order_entries()] == list(range(1, len(EVENTS) + 2))


def test_what_a_closing_received_is_taken_back_with_it(ledger: Ledger) -> None:
    with ledger.held():
        ledger.add_order_events([EVENT])
    posted(ledger, orders=[replace(EVENT, event=RECEIVED)])
    assert [(entry.event.event, entry.closing) for entry in ledger.order_entries()] == [
        (PLACED, ""),
        (RECEIVED, "2026-W49"),
    ]
    posted(ledger, UNDONE)
    assert [entry.event.event for entry in ledger.order_entries()] == [PLACED]
