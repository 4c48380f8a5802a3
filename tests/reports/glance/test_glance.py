"""The page that is read standing: verdict, five figures, days, at most ten things to do, order value."""

from dataclasses import replace
from decimal import Decimal

import pytest
import weeks
from bench_week import planned_demo
from openpyxl import load_workbook

from reconcile.reports.glance.facts import MOST_SUPPLIERS, glance_of, totals
from reconcile.reports.glance.form import MARKS, MOST_DAY_ROWS, glance_form
from reconcile.reports.glance.table import glance
from reconcile.reports.glance.todo import BUYER, CLERK, MOST_TO_DO, TECHNICIAN, to_do
from reconcile.reports.paper.sizes import LEAST_SCALE, room_of
from reconcile.reports.week.book import write_report
from reconcile.values.week.results import SHORT


def words(week) -> list[str]:
    return [str(each.value) for fields, _ in glance_form(glance_of(week)).rows for each in fields]


def test_the_verdict_and_what_it_leaves_open_come_first():
    said = words(weeks.week())
    assert said[0].startswith("Not every job can be done: 2 of 4 kits complete")
    assert said[1].startswith("Not in this answer: ")


def test_five_figures_count_chairs_each_with_what_it_counts():
    shown = glance_of(weeks.week()).figures
    assert [(each.state, each.chairs) for each in shown] == [
        ("complete", 3), ("waits", 1), ("order", 0), ("short", 1), ("left over", 0),
    ]  # fmt: skip
    jobs = {result.job.number: result for result in weeks.week().jobs}
    assert sum(each.chairs for each in shown) == sum(result.job.chairs for result in jobs.values())


def test_a_day_is_a_row_of_jobs_each_with_its_mark_and_number():
    shown = glance_of(weeks.week())
    assert [(str(day), [job.text for job in jobs]) for day, jobs in shown.days] == [
        (str(day), [result.job.number + (f" ({n})" if (n := result.job.chairs) > 1 else "")
                    for result in sorted(weeks.week().jobs, key=lambda each: each.job.order)
                    if result.job.day == day])
        for day in sorted({result.job.day for result in weeks.week().jobs})
    ]  # fmt: skip
    short = next(result.job.number for result in weeks.week().jobs if result.kit == SHORT)
    assert f"{MARKS[SHORT]} {short}" in words(weeks.week())


def test_what_is_to_be_done_says_who_and_what_hangs_on_it_the_most_chairs_first():
    found = to_do(planned_demo())
    chairs = [each.chairs or 0 for each in found]
    assert chairs == sorted(chairs, reverse=True)
    assert {each.who for each in found} == {BUYER, CLERK, TECHNICIAN}
    told = {each.what: each for each in found}
    assert told["Mend 7 rows of jobs"].who == CLERK
    assert told["Mend 12 rows of stock"].chairs is None, "what hangs on a row of stock nobody can say"
    assert told["Look at the chair of J-4114 first"].who == TECHNICIAN
    assert "could be done from" in told["Give J-4106 another day"].why


def test_an_order_is_to_be_done_today_only_if_it_cannot_wait():
    week = planned_demo()
    ordered = [each.what for each in to_do(week) if each.what.startswith("Order ")]
    for order in week.orders:
        for line in order.lines:
            due = line.at_risk and (line.order_by is None or line.order_by <= week.today)
            assert any(f" {line.part.number} today" in what for what in ordered) == bool(due)


def test_at_most_ten_things_are_on_the_page_and_it_says_of_how_many():
    week = planned_demo()
    said = words(week)
    assert f"Do today, 10 of {len(to_do(week))}: most chairs at stake first" in said
    assert "10." in said
    assert "11." not in said
    quiet = weeks.week(jobs=(weeks.complete_job(),), parts=(), rows={})
    assert "Do today: nothing" in words(quiet)


def test_order_value_is_given_with_and_without_delivery():
    harbour, north, unnamed = sorted(glance_of(weeks.week()).values, key=lambda each: each.name)[:3]
    assert (harbour.goods, harbour.total) == (Decimal("129.00"), Decimal("129.00"))
    assert harbour.delivery == "free", "it is from 60 on"
    assert unnamed.goods is None or north.goods is None
    for total in totals(planned_demo().orders):
        own = [each for each in planned_demo().orders if each.currency == total.currency]
        assert total.goods == sum(each.goods for each in own if each.goods is not None)
        assert total.total == sum(each.total for each in own if each.total is not None)
        assert total.total - total.goods == Decimal(total.delivery)


def test_the_table_for_other_programs_has_every_thing_to_do():
    week = planned_demo()
    rows = [row for row in glance(week).rows() if row[0] == "do today"]
    assert len(rows) == len(to_do(week)) > 10


@pytest.mark.parametrize("times", [1, 8, 60])
def test_a_week_of_any_length_stays_on_one_page(times):
    week = planned_demo()
    jobs = tuple(
        replace(each, job=replace(each.job, number=f"{each.job.number}-{n}"))
        for n in range(times)
        for each in week.jobs
    )
    form = glance_form(glance_of(replace(week, jobs=jobs)))
    assert form.height <= room_of(landscape=False).points(LEAST_SCALE)
    assert sum(form.widths) <= room_of(landscape=False).characters()


def test_ten_long_reasons_beside_full_days_and_orders_stay_on_one_page():
    shown = glance_of(planned_demo())
    day, jobs = shown.days[0]
    days, values = ((day, jobs[:4]),) * MOST_DAY_ROWS, shown.values[:1] * (MOST_SUPPLIERS + 1)
    for task in shown.to_do:
        form = glance_form(replace(shown, days=days, values=values, to_do=(task,) * (MOST_TO_DO + 1)))
        assert form.height <= room_of(landscape=False).points(LEAST_SCALE), task.what


def test_the_sheet_says_why_and_the_table_for_other_programs_what_more_there_is():
    week = planned_demo()
    told = {row[1]: str(row[2]) for row in glance(week).rows() if row[0] == "do today"}
    for task in to_do(week)[:MOST_TO_DO]:
        assert task.why in words(week)
        assert told[task.what].endswith(f"{task.why} {task.more}".rstrip())


def test_nothing_stands_on_the_page_that_belongs_about_the_run(tmp_path):
    write_report(weeks.week(), tmp_path / "report.xlsx")
    book = load_workbook(tmp_path / "report.xlsx")
    page = " ".join(str(cell.value) for row in book["At a glance"] for cell in row)
    about = " ".join(str(cell.value) for row in book["About this run"] for cell in row)
    for belongs in (
        "SHA-256",
        "read: ",
        "working days",
        "reconcile 0" if "reconcile 0" in about else "program",
    ):
        assert belongs not in page
        assert belongs in about
    assert book.sheetnames[0] == "At a glance"
    assert book.sheetnames[-1] == "About this run"
