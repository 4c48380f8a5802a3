"""Kits that were given out can be picked: whole, on their day, each part only once.

The laws keep their own book of each part, from nothing but the answer: shelf, receipts, and what the
chosen jobs take and give back.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import DAYS, FEW, FRAMES, MORE, Case, cases
from workshop import AS_OF, inputs_of, kit_job, stock

from reconcile.values.week.results import JobResult, Week
from reconcile.week import plan_week, promise

NOTHING, PLENTY = Fraction(0), Fraction(10**9)
SPACERS = {"SP-050": Fraction("12.7"), "SP-100": Fraction("25.4")}


def parts_in(result: JobResult, do: str) -> dict[str, Fraction]:
    found: dict[str, Fraction] = {}
    for line in result.lines:
        if line.line.do == do:
            for number, quantity in line.parts:
                found[number] = found.get(number, NOTHING) + quantity
    return found


@dataclass
class Book:
    """What is left of every part up to a day, when the chosen jobs alone are done."""

    case: Case
    week: Week
    orders: bool = True
    """What can still be ordered for a day bounds nothing on it."""

    def __post_init__(self) -> None:
        settings = self.week.settings
        self.days = settings.days
        self.everyone = [*self.week.jobs, *self.week.others]
        self.chosen = [each for each in self.everyone if each.kit != "short"]
        self.moves: list[tuple[date, str, Fraction]] = [
            (due.day, due.part, due.quantity) for due in self.case.dues
        ]
        for each in self.chosen:
            day = self.when(each)
            self.moves += [(day, number, -count) for number, count in parts_in(each, "fit").items()]
            if settings.use_recovered:
                usable = self.days.after(day, settings.inspection_days)
                self.moves += [(usable, number, count) for number, count in parts_in(each, "remove").items()]

    def when(self, result: JobResult) -> date:
        """Its day; of one that has passed the first working day from today on."""
        day = max(result.job.day, self.week.today)
        while result.job.day < self.week.today and not self.days.worked(day):
            day += timedelta(days=1)
        return day

    def lead_time(self, number: str) -> int | None:
        part = self.week.stock.parts.get(number)
        if part is None:
            return None
        return self.week.settings.lead_time_days if part.lead_time is None else part.lead_time

    def in_time(self, number: str, day: date) -> bool:
        """Whether it can be ordered for the day: today or later so many working days before it."""
        lead_time = self.lead_time(number)
        return lead_time is not None and self.days.before(day, lead_time) >= self.week.today

    def bounded(self, number: str, day: date) -> bool:
        return not (self.orders and self.in_time(number, day))

    def turn(self, result: JobResult) -> tuple[object, ...]:
        return (self.when(result), result.job.priority, result.job.day, result.job.place.row)

    def shelf(self, number: str) -> Fraction:
        part = self.week.stock.parts.get(number)
        return NOTHING if part is None else max(part.on_hand - part.allocated, NOTHING)

    def left(self, number: str, day: date) -> Fraction:
        moved = (count for when, part, count in self.moves if part == number and when <= day)
        return self.shelf(number) + sum(moved, NOTHING)

    def least_from(self, number: str, day: date) -> Fraction:
        """The least that is left on the day or on any later one on which it cannot be ordered."""
        later = {when for when, part, _ in self.moves if part == number and when > day}
        bounded = (each for each in {day, *later} if self.bounded(number, each))
        return min((self.left(number, each) for each in bounded), default=PLENTY)

    def excess(self, number: str, day: date | None = None, wanted: Fraction = NOTHING) -> Fraction:
        """The greatest excess of what is taken over what is there; with so much more wanted on a day."""
        days = {when for when, part, _ in self.moves if part == number} | ({day} if day else set())
        lacks = (-self.left(number, each) + (wanted if day and each >= day else 0) for each in days)
        return max([NOTHING, *lacks])

    def could_start(self, wants: dict[str, Fraction], day: date) -> bool:
        return all(self.least_from(number, day) >= count for number, count in wants.items())


@pytest.mark.slow
@FEW
@given(cases())
def test_no_part_is_given_out_twice_on_any_day(case):
    book = Book(case, case.week())
    for when, number, _ in book.moves:
        assert book.left(number, when) >= 0 or book.in_time(number, when)


@pytest.mark.slow
@FEW
@given(cases())
def test_every_kit_that_is_given_out_is_whole(case):
    for result in Book(case, case.week()).chosen:
        for served in result.lines:
            if served.line.do == "remove":
                continue
            assert served.quantity == served.line.quantity * result.job.chairs
            if served.line.what == "spacer":
                pieces = sum(SPACERS[number] * count for number, count in served.parts)
                assert pieces == served.quantity * served.line.length
            else:
                assert sum(count for _, count in served.parts) == served.quantity
            offered = {number for choice in served.line.choices for number, _ in choice.parts}
            assert {number for number, _ in served.parts} <= offered


@pytest.mark.slow
@FEW
@given(cases())
def test_complete_waits_and_order_as_found_by_going_round_the_shelf(case):
    week = case.week()
    book = Book(case, week)
    shelf: dict[str, Fraction] = {}
    gone: dict[str, Fraction] = {}
    for result in sorted(book.chosen, key=book.turn):
        beside, lacking = {}, {}
        for number, count in parts_in(result, "fit").items():
            on_shelf = shelf.get(number, book.shelf(number))
            shelf[number] = max(on_shelf - count, NOTHING)
            come = sum(
                n for day, part, n in book.moves if part == number and n > 0 and day <= book.when(result)
            )
            found = min(book.shelf(number) + come - gone.get(number, NOTHING), count)
            gone[number] = gone.get(number, NOTHING) + found
            if found < count:
                lacking[number] = count - found
            if on_shelf < found:
                beside[number] = found - on_shelf
        assert result.kit == ("order" if lacking else "waits" if beside else "complete")
        awaited: dict[str, Fraction] = {}
        for each in result.awaited:
            awaited[each.part] = awaited.get(each.part, NOTHING) + each.quantity
        assert awaited == beside
        assert {each.part: each.quantity for each in result.missing} == lacking
        assert all(each.in_time and book.in_time(each.part, book.when(result)) for each in result.missing)
        by = [book.days.before(book.when(result), book.lead_time(number)) for number in lacking]
        assert result.order_by == (min(by) if by else None)


@pytest.mark.slow
@FEW
@given(cases())
def test_what_is_relied_on_is_there_by_the_day_and_relied_on_once(case):
    week = case.week()
    book = Book(case, week)
    relied: dict[tuple[str, date], Fraction] = {}
    for result in book.chosen:
        for each in result.awaited:
            assert each.day <= result.job.day
            key = (each.part, each.day)
            relied[key] = relied.get(key, NOTHING) + each.quantity
    for (number, day), quantity in relied.items():
        come = sum(count for when, part, count in book.moves if (when, part) == (day, number) and count > 0)
        assert quantity <= come


@pytest.mark.slow
@FEW
@given(cases())
def test_a_short_job_misses_exactly_the_least_beside_the_chosen(case):
    book = Book(case, case.week())
    for result in book.week.jobs:
        if result.kit != "short":
            assert result.earliest is None
            assert bool(result.missing) == bool(result.order_by) == (result.kit == "order")
            continue
        day = book.when(result)
        lacking = {
            number: book.excess(number, day, count) - book.excess(number)
            for number, count in parts_in(result, "fit").items()
        }
        expected = {(number, lack, book.in_time(number, day)) for number, lack in lacking.items() if lack > 0}
        assert {(each.part, each.quantity, each.in_time) for each in result.missing} == expected
        assert not all(each.in_time for each in result.missing)
        assert result.order_by is None


@pytest.mark.slow
@FEW
@given(cases())
def test_the_earliest_day_is_the_first_that_takes_from_no_chosen_job(case):
    book = Book(case, case.week())
    for result in book.week.jobs:
        if result.kit != "short":
            continue
        wants = parts_in(result, "fit")
        days = (book.when(result) + timedelta(days=n) for n in range(60))
        day = next((each for each in days if book.days.worked(each) and book.could_start(wants, each)), None)
        if all(len(served.line.choices) < 2 for served in result.lines):
            assert result.earliest == day
        elif day is not None:
            # Another choice than the first may serve it sooner.
            assert result.earliest is not None
            assert result.earliest <= day


@pytest.mark.slow
@MORE
@given(cases())
def test_a_job_without_its_kit_could_not_be_added_to_the_chosen(case):
    # Not even with what it would itself recover: that comes after its own day.
    book = Book(case, case.week())
    for result in book.week.jobs:
        if result.kit == "short":
            assert not book.could_start(parts_in(result, "fit"), result.job.day)


@pytest.mark.slow
@FEW
@given(cases(), st.sampled_from(DAYS), st.sampled_from(["F1", "F2", "F3", "F4"]), st.integers(1, 3))
def test_a_job_that_only_asks_is_promised_what_the_others_leave(case, day, code, priority):
    given_in = inputs_of(case.jobs, FRAMES, stock(*case.parts, due=case.dues), **case.settings)
    guest = kit_job("GUEST", day, code, row=99, priority=priority)
    (answer,) = promise(given_in, AS_OF, guest=guest).jobs
    book = Book(case, plan_week(given_in, AS_OF))
    if all(len(served.line.choices) < 2 for served in answer.lines):
        assert (answer.kit != "short") == book.could_start(parts_in(answer, "fit"), day)
    elif answer.kit != "short":
        assert book.could_start(parts_in(answer, "fit"), day)


@pytest.mark.slow
@FEW
@given(cases())
def test_the_promise_for_a_planned_job_is_what_the_week_says(case):
    given_in = inputs_of(case.jobs, FRAMES, stock(*case.parts, due=case.dues), **case.settings)
    for result in plan_week(given_in, AS_OF).jobs:
        assert promise(given_in, AS_OF, result.job.number).jobs == (result,)


@pytest.mark.slow
@FEW
@given(cases(most_jobs=1))
def test_a_job_alone_is_chosen_if_the_shelf_and_what_is_due_serve_it(case):
    week = case.week()
    (result,) = week.jobs
    nobody = Book(case, week)
    nobody.moves = [(due.day, due.part, due.quantity) for due in case.dues]
    assert (result.kit != "short") == nobody.could_start(parts_in(result, "fit"), result.job.day)
