"""Laws of months: over any sequence of planning, closing, part closing, moving rows, undoing and holding,

- each unit is taken at most once, and on hand = opening + movements;
- a job is done, planned, held or named as left aside, never none of these and never two;
- of a job that is half done only what is not booked yet is asked for;
- what jobs lack that hang on an order is on the order, or among what is to come;
- how many jobs of each priority get a kit does not depend on the week that is asked about;
- without recovered parts it does not matter whether last week was closed before or after the next one was
  planned, if all went as planned; with them, who plans first is promised no more.

Everything is done through the calls that the commands make, on small workbooks; what should come of it is
reckoned by ``tests/helpers/month.py``, which knows nothing of the ledger.
"""

import os
import shutil
from collections import Counter
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

import pytest
from closing_shop import all_done, copied, fill, on_hand
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from month import (
    BOLTS,
    COUNTING,
    DAYS,
    KINDS,
    LEDGER,
    MONDAYS,
    Account,
    Fill,
    Model,
    Month,
    SheetRow,
    asked_by_line,
    comes_to,
    everyone,
    in_returns,
    in_week,
    kits_by_priority,
    monday_of,
    name_of,
    write_figures,
)

from reconcile.ledger.book import open_ledger
from reconcile.values.week.results import Week

ROWS = st.builds(
    SheetRow,
    st.just(""),
    st.sampled_from(DAYS),
    st.sampled_from([*KINDS, "panel", "wider"]),
    st.sampled_from([1, 1, 1, 2]),
    st.sampled_from([1, 2, 3, 3]),
)
LEADS = st.sampled_from([None, None, 1, 3, 5, 8])
FILLS = st.builds(
    Fill,
    st.sampled_from(["yes", "yes", "yes", "part", "part", ""]),
    st.lists(st.sampled_from(["", "", "half", "all", "spoilt"]), max_size=4).map(tuple),
)
STOCK_HEADINGS = ("part", "bin", "on hand", "unit", "lead time days", "thread", "length", "head")


class Months(RuleBasedStateMachine):
    """A workshop from Friday before the first week on."""

    @initialize(
        rows=st.lists(ROWS, min_size=3, max_size=6),
        counts=st.fixed_dictionaries({"CLIP": st.integers(4, 20), "PAN-14": st.integers(0, 3),
                                      "PAN-10": st.integers(0, 2), "SP-050": st.integers(0, 8),
                                      **dict.fromkeys(BOLTS, st.integers(0, 6))}),
        leads=st.fixed_dictionaries(dict.fromkeys(["CLIP", "PAN-14", "PAN-10", "SP-050", *BOLTS], LEADS)),
        orders=st.lists(
            st.tuples(st.sampled_from(["CLIP", "B-150", "SP-050"]), st.integers(1, 6), st.sampled_from(DAYS)),
            max_size=3,
        ),
        weeks=st.integers(0, 3), recovered=st.booleans(), closes=st.sampled_from([True, True, True, False]),
    )  # fmt: skip
    def open(self, *, rows, counts, leads, orders, weeks, recovered, closes) -> None:
        numbered = [replace(row, number=f"J-{n}") for n, row in enumerate(rows, 1)]
        shelf = Counter({**counts, "GLUE": 25, "LOCK": 25})
        self.model = Model(numbered, {}, shelf, weeks=weeks, closes=closes)
        self.recovered, self.last_number, self.turn = recovered, len(rows), 0
        self.orders = Counter({(f"PO-{n}", part): count for n, (part, count, _) in enumerate(orders, 1)})
        self.full: dict[tuple[str, int], Counter] = {}
        told = [f"look_ahead_weeks = {weeks}", f"use_recovered = {str(recovered).lower()}"]
        told += [f"closing = {str(closes).lower()}"]
        stock = [STOCK_HEADINGS]
        for part, count in shelf.items():
            bolt = ("1/4-20 UNC", BOLTS[part], "socket cap") if part in BOLTS else (None, None, None)
            unit = "mL" if part in {"GLUE", "LOCK"} else "each"
            stock.append((part, f"bin {part}", count, unit, leads.get(part), *bolt))
        on_order = [("order", "part", "quantity", "due")]
        on_order += [(f"PO-{n}", *each) for n, each in enumerate(orders, 1)]
        self.month = Month(self.model, stock, on_order, "\n".join(told) + "\n")

    def teardown(self) -> None:
        if hasattr(self, "month"):
            self.month.remove()

    # --- what people do

    @rule(days=st.sampled_from([1, 3, 7]))
    def time_goes_by(self, days) -> None:
        if self.model.today < MONDAYS[-1]:
            self.model.today += timedelta(days=days)

    @rule(monday=st.sampled_from(MONDAYS[:3]), data=st.data())
    def close(self, monday, data) -> None:
        self.close_week(monday, data)

    def close_week(self, monday, data) -> None:
        if name_of(monday) in self.model.closings:
            return
        planned, path = self.month.write(monday)
        self.looked_at(planned, monday)
        have = {each.job.number for each in everyone(planned) if each.kit not in {"short", "done"}}
        listed = [str(row["job"]) for row in in_returns(path, "Done")]
        fills = {number: data.draw(FILLS) for number in listed if number in have}
        received = {
            order: Fraction(data.draw(st.sampled_from([0, 0, count, count, 1])))
            for (order, _), count in self.still_due().items()
            if count
        }
        self.book(monday, path, fills, received)

    @precondition(lambda self: self.model.today >= MONDAYS[0])
    @rule(data=st.data())
    def close_the_week_that_is(self, data) -> None:
        self.close_week(monday_of(self.model.today), data)

    def book(self, monday, path, fills, received) -> None:
        """Nothing is booked that cannot have happened: more than was there, or nothing at all."""
        counted = self.model.counted(in_week(name_of(monday)))
        came = comes_to(path, fills, received, counted)
        after = self.model.shelf()
        for part, quantity in came.shelf.items():
            after[part] += quantity
        if min(after.values()) < 0 or not (came.done or came.booked or came.received):
            path.unlink()
            return
        write_figures(path, fills, received)
        self.month.close(monday)
        path.unlink()  # filed away: closed anew, the week is filled in anew
        self.model.closings[name_of(monday)] = came
        self.model.note_overtaken()

    @precondition(lambda self: self.model.closings)
    @rule(data=st.data())
    def undo(self, data) -> None:
        name = data.draw(st.sampled_from(sorted(self.model.closings)))
        after = self.model.shelf()
        after.subtract(self.model.closings[name].shelf)
        if min(after.values()) < 0:
            return  # what came in with it is used up
        self.month.undo(name)
        del self.model.closings[name]

    @rule(
        row=ROWS,
        at=st.integers(0, 99),
        what=st.sampled_from(["move", "move", "copy", "delete", "mend", "add"]),
    )
    def change_the_jobs_sheet(self, row, at, what) -> None:
        """A row gets another day, a second one, goes, or says something else; or there is a new one.

        A sheet without rows is refused, and a row pasted twice is a fault of its own: neither is tried here.
        """
        rows = list(self.model.rows)
        at %= len(rows)
        if what == "add":
            rows.append(replace(row, number=f"J-{self.last_number + 1}"))
        elif what == "delete":
            del rows[at]
        elif what == "copy":
            rows.append(replace(rows[at], day=row.day))
        else:
            rows[at] = replace(rows[at], **({"day": row.day} if what == "move" else {"kind": row.kind}))
        if not rows or len(set(rows)) < len(rows):
            return
        self.last_number += what == "add"
        self.model.rows[:] = rows
        self.month.write_jobs()

    @rule(row=ROWS)
    def hold(self, row) -> None:
        """A job that is held gets its kit, and nobody more urgent loses one."""
        self.last_number += 1
        row = replace(row, number=f"H-{self.last_number}")
        monday = monday_of(row.day)
        if row.day < self.model.today:
            return
        before = self.month.plan(monday)
        if not self.month.hold(row):
            return
        self.model.note_overtaken()
        self.model.held[row.number] = row
        after = self.month.plan(monday)
        (held,) = [each for each in everyone(after) if each.job.number == row.number]
        assert held.job.held
        assert held.kit != "short"
        expected = list(kits_by_priority(before))
        expected[row.priority - 1] += 1
        assert kits_by_priority(after) >= tuple(expected)

    @precondition(lambda self: self.model.held)
    @rule(data=st.data(), day=st.sampled_from(DAYS), gets_a_row=st.booleans())
    def end_a_hold(self, data, day, gets_a_row) -> None:
        held = self.model.held[data.draw(st.sampled_from(sorted(self.model.held)))]
        if not gets_a_row:
            self.month.release(held.number)
            del self.model.held[held.number]
        elif held.number not in {row.number for row in self.model.rows}:
            self.model.rows.append(replace(held, day=day))
            self.month.write_jobs()

    @precondition(lambda self: self.model.closes and self.model.today < MONDAYS[-1])
    @rule()
    def close_before_or_after(self) -> None:
        """The next week is planned on this week's Friday, before its closing and after it."""
        monday = max(monday_of(self.model.today), MONDAYS[0])
        friday, then = monday + timedelta(days=4), monday + timedelta(days=7)
        if name_of(monday) in self.model.closings or self.model.today > friday:
            return
        self.model.today = friday
        planned, path = self.month.write(monday)
        first = self.month.plan(then)
        listed = {str(row["job"]) for row in in_returns(path, "Done")}
        own = [each for each in everyone(first) if each.job.number in listed]
        lines = {each.job.number: each.lines for each in everyone(planned)}
        as_planned = all(each.kit == "complete" and each.lines == lines[each.job.number] for each in own)
        if not listed or not as_planned or len(own) < len(listed):  # some are doubled over both weeks
            return
        apart = copied(self.month.folder, self.month.folder.with_name(f"{self.month.folder.name}-apart"))
        try:
            filled = all_done(apart / "reports" / path.name)
            if not self.recovered:  # nothing that came off is put back on the shelf either
                fill(filled, "Lines", spoilt_when_it_came_off)
            self.month.close(monday, apart)
            after = self.month.plan(then, apart)
        finally:
            shutil.rmtree(apart)
        if self.recovered:
            gone = Counter(each.job.priority for each in own)
            counts = [before - gone[n] for n, before in enumerate(kits_by_priority(first), 1)]
            assert tuple(counts) <= kits_by_priority(after)
        else:
            before, then_told = told(first, without=listed), told(after, without=listed)
            for number in sorted({*before, *then_told}):
                assert before.get(number) == then_told.get(number), number
            assert ordered(first) == ordered(after)

    # --- what holds whatever was done

    def looked_at(self, week: Week, monday) -> None:
        self.every_job_is_somewhere_once(week, monday)
        assert Account(week).given_out_twice() == []
        assert Account(week).not_ordered() == []
        self.what_is_booked_is_not_asked_for_again(week)
        self.the_week_asked_about_changes_no_number_of_kits(week, monday)

    def every_job_is_somewhere_once(self, week: Week, monday) -> None:
        groups = self.model.counts(in_week(name_of(monday)))
        assert week.period == in_week(name_of(monday))
        listed = sorted((each.job.number, each.kit == "done") for each in week.jobs)
        inside = [(row.number, False) for row in groups.get("in the period", ())]
        assert listed == sorted([*inside, *((row.number, True) for row in groups.get("done", ()))])
        beside = sorted((row.number, why) for why in COUNTING[1:] for row in groups.get(why, ()))
        assert sorted((each.job.number, each.job.beside) for each in week.others) == beside
        for each in everyone(week):
            assert each.job.standing == self.model.standing(each.job.number)
            numbers = {row.number for row in self.model.rows}
            assert each.job.held == (each.job.number not in numbers)
        self.what_does_not_count_is_named(week, groups)

    def what_does_not_count_is_named(self, week: Week, groups) -> None:
        def of_rows(why: str) -> list[SheetRow]:
            return [row for row in groups.get(why, ()) if row in self.model.rows]

        assert week.taken_as_done == len(of_rows("taken as done"))
        assert week.later == len(of_rows("later"))
        codes = Counter(each.code for each in week.problems)
        assert codes["job-doubled"] == len(of_rows("doubled"))
        assert codes["job-history"] == len(of_rows("history"))
        assert codes["job-left-over"] == len(groups.get("left over", ()))
        weeks = {monday_of(row.day) for row in groups.get("not closed", ())}
        assert codes["week-not-closed"] == len(weeks)
        aside = [row for why in ("taken as done", "later") for row in groups.get(why, ())]
        assert codes["hold-not-counted"] == sum(row not in self.model.rows for row in aside)
        tally = week.rows["jobs"]
        assert tally.read == len(self.model.rows)
        assert tally.used == len(of_rows("in the period"))
        assert tally.beside == sum(len(of_rows(why)) for why in COUNTING[1:])
        assert tally.done == len(of_rows("done"))
        assert tally.set_aside == len(of_rows("doubled"))
        assert tally.read == tally.used + tally.beside + tally.done + tally.set_aside + tally.outside_period

    def what_is_booked_is_not_asked_for_again(self, week: Week) -> None:
        rows = self.model.counted(week.period)
        results = [each for each in everyone(week) if each.kit != "done"]
        booked = {each.job.number: self.model.part_done(rows[each.job.number]) for each in results}
        for each in results:
            if booked[each.job.number] is None:
                whole = self.full.setdefault(rows[each.job.number].says, asked_by_line(each))
                assert asked_by_line(each) == whole
        for each in results:
            whole, gone = self.full.get(rows[each.job.number].says), booked[each.job.number]
            if gone is not None and whole is not None:
                assert asked_by_line(each) == whole - gone

    def the_week_asked_about_changes_no_number_of_kits(self, week: Week, monday) -> None:
        end = self.model.today + timedelta(days=7 * self.model.weeks)
        ahead = [each for each in MONDAYS if self.model.today <= each and each + timedelta(days=4) <= end]
        if monday in ahead:
            for other in ahead:
                assert kits_by_priority(self.month.plan(other)) == kits_by_priority(week)

    def still_due(self) -> Counter:
        due = Counter(self.orders)
        for each in self.model.closings.values():
            due.subtract({(order, part): quantity for order, part, quantity in each.received})
        return due

    @invariant()
    def the_plan_is_sound(self) -> None:
        """One week after the other is asked about, as things come and go."""
        if hasattr(self, "month"):
            self.turn += 1
            monday = MONDAYS[self.turn % len(MONDAYS)]
            self.looked_at(self.month.plan(monday), monday)

    @invariant()
    def on_hand_is_opening_and_movements(self) -> None:
        if not hasattr(self, "month"):
            return
        found = Counter({part: count for (part, _), count in on_hand(self.stock).items()})
        assert found == self.model.shelf()
        ledger = open_ledger(self.month.folder / LEDGER, create=False)
        if ledger is not None:
            with ledger:
                assert ledger.audit() == []
                assert {part: n for (part, _), n in ledger.balances().items()}.items() <= {**found}.items()

    @property
    def stock(self) -> Path:
        return self.month.folder / "stock.xlsx"


def spoilt_when_it_came_off(row: dict[str, object]) -> dict[str, object]:
    return {"scrapped": row["planned"]} if row["do"] == "remove" else {}


def told(week: Week, without: set[str]) -> dict[str, tuple]:
    return {
        each.job.number: (
            each.kit, each.lines, each.missing, each.awaited, each.earliest, each.order_by, each.notices,
        )
        for each in everyone(week)
        if each.job.number not in without
    }  # fmt: skip


def ordered(week: Week) -> dict[str, tuple]:
    return {
        each.part.number: (each.order, each.packs, each.required_by, each.order_by, each.late, each.position)
        for each in week.parts
        if each.order
    }


MONTHS = int(os.environ.get("MONTHS_TRIED", "16"))
"""Of months a run; 120 were held once."""
Months.TestCase.settings = settings(
    max_examples=MONTHS, stateful_step_count=15,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)  # fmt: skip
TestMonths = pytest.mark.slow(Months.TestCase)
