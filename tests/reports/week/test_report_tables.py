"""The tables behind every report, on the small hand-made week."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
import weeks

from reconcile.reports.week.tables import (
    about_run,
    glance,
    jobs,
    kit_lines,
    order_tables,
    problems,
    report_tables,
    shelf,
    shortfalls,
)
from reconcile.reports.writing.grid import Table
from reconcile.values.week.results import Solution


def records(table: Table) -> list[dict[str, object]]:
    return [dict(zip(table.headings, row, strict=True)) for row in table.rows()]


def pick(table: Table, *headings: str) -> list[tuple[object, ...]]:
    return [tuple(record[heading] for heading in headings) for record in records(table)]


def answers(week, about: str) -> list[tuple[object, ...]]:
    return told(glance(week), about)


def told(table, about: str) -> list[tuple]:
    return [row[1:] for row in table.rows() if row[0] == about]


def test_each_table_counts_its_rows_and_names_each_column_once():
    for table in [*report_tables(weeks.week()), *order_tables(weeks.week())]:
        rows = list(table.rows())
        assert len(rows) == table.count
        assert len(set(table.headings)) == len(table.headings)
        assert {len(row) for row in rows} <= {len(table.columns)}
        assert list(table.rows()) == rows, "rows can be made again"


def test_kit_lines_are_made_one_by_one():
    week = weeks.week(jobs=(weeks.complete_job(),) * 3)
    rows = kit_lines(week).rows()
    assert next(rows)[0] == "J-101"
    assert kit_lines(week).count == 24


def test_the_verdict_comes_first_and_in_words():
    assert next(glance(weeks.week()).rows()) == (
        "verdict",
        "week 2026-W49",
        "Not every job can be done: 2 of 4 kits complete, 1 relies on parts that have yet to come, "
        "1 short of parts.",
    )


def test_the_verdict_when_all_is_well_or_on_its_way():
    complete, waiting = weeks.complete_job(), weeks.waiting_job()
    assert answers(weeks.week(jobs=(complete,)), "verdict")[0][1] == (
        "Every kit is complete: 1 job, served from the shelf."
    )
    assert answers(weeks.week(jobs=(complete, waiting)), "verdict")[0][1] == (
        "No job is short: 1 of 2 kits complete, 1 relies on parts that have yet to come."
    )


def test_a_choice_that_is_not_proven_says_by_how_much_it_may_miss():
    facts = told(about_run(weeks.week(solution=Solution(proven=False, gap=2))), "choice of kits")
    assert (
        "how good it is",
        "Time ran out: up to 2 more kits might be complete: 4 chairs, 4 more than first come, first served.",
    ) in facts


def test_rows_and_inputs_are_accounted_for():
    about = about_run(weeks.week())
    assert told(about, "rows") == [
        ("jobs", "6 read: 4 used, 1 set aside, 1 that do not count"),
        ("stock", "9 read: 9 used, 0 set aside"),
    ]
    assert ("jobs.xlsx (jobs)", "SHA-256 " + "a1" * 32) in told(about, "inputs")


def test_jobs_go_by_day_with_sides_sizes_and_what_they_wait_for():
    assert pick(jobs(weeks.week()), "job", "date", "to", "sides now to wanted", "kit", "waits for") == [
        ("J-104", weeks.MON, "16 in", "left 2 to 2, right 2 to 2", "complete", ""),
        ("J-101", weeks.TUE, "17 in", "left 2 to 3, right 2 to 3", "complete", ""),
        (
            "J-102",
            weeks.WED,
            "17 in",
            "left 2 to 3, right 2 to 3",
            "waits",
            "2 of B-14-300 (order PO-12, 2026-12-02)",
        ),
        ("J-103", weeks.THU, "16 1/2 in", "left 2 to 2, right 2 to 3", "short", ""),
    ]


def test_a_short_job_says_what_is_missing_and_when_it_could_be_done():
    short = records(jobs(weeks.week()))[-1]
    assert short["missing"] == "1 of 1/4-20 UNC x 3 1/2 in, socket cap, SAE 8; 2 of SP-050"
    assert short["earliest"] == date(2026, 12, 8)
    assert short["notices"] == "The sides will differ by one step. Assumed split: check the chair."
    assert short["adjustment"] == "seat width"
    assert short["figures from"] == "build sheet 12 rev C"


def test_a_bolt_to_fit_has_its_bin_designation_and_torque():
    first = records(kit_lines(weeks.week()))[0]
    expected = {
        "do": "fit",
        "what": "bolt",
        "quantity": 1,
        "length asked": "3 in",
        "parts": "B-14-300: 1",
        "bins": "A3",
        "designation": "1/4-20 UNC x 3 in, socket cap, SAE 8",
        "substitute": "",
        "torque": "9 N*m",
        "figures from": "build sheet 12 rev C",
        "goes to": "the chair",
        "technician": "bench 2",
        "asset": "W-0417",
        "notes": "=collect at noon",
    }
    assert {heading: first[heading] for heading in expected} == expected


def test_what_comes_off_goes_to_the_shelf_or_is_not_reused_and_is_checked():
    removed = [line for line in records(kit_lines(weeks.week())) if line["do"] == "remove"]
    assert {(line["goes to"], line["parts"], line["designation"]) for line in removed} == {
        ("back to stock after inspection", "B-14-250: 1", "1/4-20 UNC x 2 1/2 in, socket cap, SAE 8"),
        ("do not use again", "", "1/4-20 UNC x 2 1/2 in, socket cap"),
    }
    assert {line["cautions"] for line in removed} == {"Check what comes off."}
    assert {line["torque"] for line in removed} == {""}


def test_a_substitute_is_marked_in_words():
    marked = [line for line in records(kit_lines(weeks.week())) if line["substitute"]]
    assert [(line["job"], line["side"], line["substitute"]) for line in marked] == [
        ("J-102", "left", "substitute: agree it")
    ]


def test_a_torque_that_the_frame_maker_does_not_give_is_not_invented():
    from dataclasses import replace

    served = weeks.fit_bolt("left", weeks.B300)
    bare = replace(served, line=replace(served.line, joint=replace(weeks.JOINT, torque="")))
    week = weeks.week(jobs=(replace(weeks.complete_job(), lines=(bare,)),))
    assert pick(kit_lines(week), "torque") == [("not given",)]


def test_a_fraction_of_a_unit_is_said_with_its_unit():
    extra = next(line for line in records(kit_lines(weeks.week())) if line["what"] == "used with the bolt")
    assert (extra["quantity"], extra["unit"], extra["parts"]) == (Fraction(1, 10), "mL", "TL-MED: 0.1 mL")


def test_shortfalls_go_by_first_short_day():
    assert pick(
        shortfalls(weeks.week()), "part", "short", "first short day", "jobs at risk", "order", "late"
    ) == [
        ("CP-6", 2, weeks.TUE, "J-101 (2)", 2, "late"),
        ("B-14-300", 2, weeks.WED, "J-102 (2)", 50, "late"),
        (weeks.NEW.number, 1, weeks.THU, "J-103 (1)", 1, "lead time not known"),
    ]


def test_the_shelf_shows_only_what_runs_short_or_low():
    rows = pick(shelf(weeks.week()), "part", "day", "left", "state")
    assert {part for part, *_ in rows} == {"B-14-300", "SP-050", "CP-6", "PAN-18", weeks.NEW.number}
    assert [row[1:] for row in rows if row[0] == "SP-050"] == [
        (weeks.TUE, 8, "enough"),
        (weeks.WED, 6, "low"),
        (weeks.THU, 5, "low"),
        (weeks.FRI, 5, "low"),
    ]


def test_problems_put_errors_first_and_leave_room_for_a_remark():
    assert pick(problems(weeks.week()), "severity", "code", "place", "remark") == [
        ("error", "date-ambiguous", "jobs.xlsx!Jobs!B7", None),
        ("error", "cell-blank", "stock.xlsx!Stock!K11", None),
        ("notice", "part-not-listed", "NQ-T1.toml!adjustment[1].cover[1]", None),
    ]


def test_an_order_is_late_lines_first_with_a_total_by_currency():
    summary, _, _, north, unnamed = order_tables(weeks.week())
    assert pick(
        north, "supplier part", "our part", "packs", "quantity", "line total", "currency", "late"
    ) == [
        ("00417", "B-14-300", 1, 50, Decimal("22.5"), "EUR", "late"),
        ("=SP050", "SP-050", 1, 10, Decimal("12"), "EUR", "in time"),
    ]
    totals = [dict(zip(north.headings, row, strict=True)) for row in north.totals]
    assert [(row["supplier part"], row["line total"], row["currency"]) for row in totals] == [
        ("Goods", Decimal("34.5"), "EUR"),
        ("Delivery charge", Decimal("6.5"), "EUR"),
        ("Total", Decimal("41"), "EUR"),
    ]
    assert unnamed.name == "No supplier named"
    assert unnamed.totals == ()
    assert pick(summary, "supplier", "lines", "late lines", "total", "minimum", "delivery", "email") == [
        ("Harbour: frames/parts", 2, 1, Decimal("129"), "none given", "free from 60.00", ""),
        ("Northquay Fixings", 2, 1, Decimal("41"), "not reached", "charged", "orders@north.example"),
        ("No supplier named", 1, 0, None, "none given", "none given", ""),
    ]


def test_money_of_two_currencies_is_never_added_up():
    from dataclasses import replace

    parts = weeks.part_results()
    foreign = replace(parts[3], part=replace(weeks.SP050, currency="NOK"))
    summary, _, *orders = order_tables(weeks.week(parts=(parts[1], foreign)))
    assert pick(summary, "currency", "total", "minimum") == [
        ("EUR", Decimal("22.5"), "not compared: several currencies"),
        ("NOK", Decimal("12"), "not compared: several currencies"),
    ]
    assert [each.name for each in orders] == ["Northquay Fixings EUR", "Northquay Fixings NOK"]
    assert [[row[1] for row in each.totals] for each in orders] == [["Total"], ["Total"]]
    assert orders[0].notes == ("Not in the total: delivery at 6.50, not compared: several currencies.",)


def test_a_minimum_is_not_known_to_be_missed_while_a_price_is_missing():
    from dataclasses import replace

    parts = weeks.part_results()
    unpriced = replace(parts[3], part=replace(weeks.SP050, price=None), unit_price=None)
    summary, *_ = order_tables(weeks.week(parts=(parts[1], unpriced)))
    assert pick(summary, "without a price", "minimum") == [(1, "not known: some prices missing")]


@pytest.mark.slow
def test_a_data_frame_keeps_quantities_exact_and_numbers_text():
    frame = kit_lines(weeks.week()).frame()
    assert set(map(type, frame["quantity"])) == {int, Fraction}
    assert frame["quantity"].sum() == sum(row[7] for row in kit_lines(weeks.week()).rows())
    assert "00417" in set(frame["asset"])


def test_an_empty_week_says_so_on_each_table():
    week = weeks.week(jobs=(), parts=(), problems=(), rows={}, files=())
    notes = {table.name: table.notes for table in report_tables(week)}
    assert notes["Jobs"] == ("No job of the period could be planned.",)
    assert notes["Shortfalls"] == ("Nothing is short.",)
    assert notes["Shelf by day"] == ("No part runs short or low.",)
    assert notes["Problems"] == ("Nothing is wrong with the inputs.",)
    assert order_tables(week)[0].notes == ("Nothing needs to be ordered.",)
