"""The order workbook: a page head with both parties, totals, late lines first, jobs at risk."""

import re
from dataclasses import replace
from fractions import Fraction

import pytest
import weeks
from openpyxl import load_workbook

from reconcile.reports.orders.book import order_outputs, write_orders, write_sent_order
from reconcile.reports.orders.tables import NO_ADDRESS, jobs_at_risk, order_tables
from reconcile.reports.writing.files import write_all
from reconcile.values.settings import Settings, Workshop
from reconcile.values.week.buying import NextBreak
from reconcile.values.week.results import AtRisk

WORKSHOP = Workshop(
    name="Tern Lane Frame Workshop",
    address=("Yard 3", "12 Tern Lane"),
    city="Ostwick",
    postal_code="00417",
    country="NO",
    phone="555 0100",
    vat_id="XX1234",
    deliver_to=("Gate B", "14 Tern Lane"),
)


def book(week, folder):
    write_orders(week, folder / "order.xlsx")
    return load_workbook(folder / "order.xlsx")


def head_of(sheet) -> list[list[str]]:
    """The texts above the headings, row by row, blanks left out."""
    top = int(re.search(r"\d+", sheet.auto_filter.ref)[0])
    rows = sheet.iter_rows(max_row=top - 1, values_only=True)
    return [[text for text in row if text] for row in rows]


def test_the_page_head_names_both_parties_reference_currency_and_day(tmp_path):
    settings = Settings(currency="EUR", workshop=WORKSHOP)
    assert head_of(book(weeks.week(settings=settings), tmp_path)["Northquay Fixings"]) == [
        ["Order 2026-W49-NORTH"],
        ["Buyer", "Tern Lane Frame Workshop", "Supplier", "Northquay Fixings"],
        ["Yard 3", "Supplier code", "NORTH"],
        ["12 Tern Lane", "Email", "orders@north.example"],
        ["00417 Ostwick, NO", "Date", "Fri 2026-11-27"],
        ["Phone", "555 0100", "Currency", "EUR"],
        ["VAT number", "XX1234", "Wanted by", "Wed 2026-12-02"],
        ["Deliver to", "Gate B"],
        ["14 Tern Lane"],
        [],
    ]


def test_without_settings_the_head_names_nobody(tmp_path):
    assert head_of(book(weeks.week(), tmp_path)["No supplier named"]) == [
        ["No supplier named"],
        ["Date", "Fri 2026-11-27"],
        ["Currency", "EUR"],
        ["Wanted by", "Thu 2026-12-03"],
        [],
    ]


def test_every_page_of_an_order_names_it(tmp_path):
    sheet = book(weeks.week(), tmp_path)["Northquay Fixings"]
    assert sheet.oddHeader.left.text == "Order 2026-W49-NORTH: Northquay Fixings"


def test_a_long_name_goes_on_below_and_is_whole(tmp_path):
    name = "The Community Workshop for the Repair and Refitting of Frames and Seats, Ostwick " * 3
    week = weeks.week(settings=Settings(workshop=Workshop(name=name.strip(), city="=Ostwick")))
    sheet = book(week, tmp_path)["Northquay Fixings"]
    rows = sheet.iter_rows(min_row=2, max_row=len(head_of(sheet)))
    cells = [row[2] for row in rows if row[2].value]
    # The place of delivery is the address where no other is given.
    assert " ".join(cell.value for cell in cells) == f"{name}'=Ostwick '=Ostwick"
    assert {cell.data_type for cell in cells} == {"s"}


@pytest.mark.parametrize(("lines", "frozen"), [(8, "A21"), (30, None)])
def test_a_head_too_tall_for_a_screen_does_not_stand_still(tmp_path, lines, frozen):
    address = tuple(f"line {number}" for number in range(lines))
    week = weeks.week(settings=Settings(workshop=Workshop(name="Tern Lane", address=address)))
    assert book(week, tmp_path)["Northquay Fixings"].freeze_panes == frozen


def test_a_job_at_risk_has_a_line_of_its_own_late_ones_first():
    rows = list(jobs_at_risk(weeks.week(), weeks.week().orders).rows())
    assert [(row[0], row[1], row[2], row[4], row[6], row[7], row[8], row[11]) for row in rows] == [
        ("J-101", weeks.TUE, "CP-6", 2, "Harbour: frames/parts", "2026-W49-HARBOUR", 1, "late"),
        ("J-102", weeks.WED, "B-14-300", 2, "Northquay Fixings", "2026-W49-NORTH", 1, "late"),
        ("J-103", weeks.THU, weeks.NEW.number, 1, "No supplier named", "", 1, "lead time not known"),
    ]


def test_an_order_in_time_puts_no_job_at_risk():
    in_time = replace(weeks.part_results()[1], late=False)
    week = weeks.week(parts=(in_time,))
    table = jobs_at_risk(week, week.orders)
    assert (table.count, list(table.rows())) == (0, [])
    assert table.notes == ("No order that may be late puts a job at risk.",)


def test_the_summary_counts_a_job_once_and_gives_total_day_and_file():
    (summary, *_) = order_tables(weeks.week())
    twice = replace(weeks.part_results()[4], part=replace(weeks.CP6, number="CP-7"))
    (again, *_) = order_tables(weeks.week(parts=(*weeks.part_results(), twice)))
    wanted = ("order", "jobs at risk", "delivery by", "goods", "total", "order file")

    def told(table):
        places = [table.headings.index(each) for each in wanted]
        return [tuple(row[place] for place in places) for row in table.rows()]

    assert [tuple(map(str, row)) for row in told(summary)] == [
        ("2026-W49-HARBOUR", "1", "2026-12-01", "129.00", "129.00", "order-2026-W49-HARBOUR.xml"),
        ("2026-W49-NORTH", "1", "2026-12-02", "34.50", "41.00", "order-2026-W49-NORTH.xml"),
        ("", "1", "2026-12-03", "None", "None", "none: no supplier"),
    ]
    assert told(again)[0][1] == 1


@pytest.mark.parametrize(
    ("place", "notes"),
    [
        (2, ("Not in the total: lines without a price (1).",)),
        (3, ("Below the supplier's minimum order value of 50.00.",)),
        (
            4,
            (
                "Not in the total: lines without a price (1).",
                "No order file: no supplier is named for these parts in stock.",
            ),
        ),
    ],
)
def test_what_a_buyer_must_know_stands_below_the_lines(place, notes):
    assert order_tables(weeks.week())[place].notes == notes


def test_jobs_at_risk_too_many_for_a_sheet_go_to_csv_and_the_sheet_says_so(tmp_path):
    risks = tuple(AtRisk(f"J-{n}", weeks.WED, Fraction(1)) for n in range(30))
    week = weeks.week(parts=(replace(weeks.part_results()[1], at_risk=risks),))
    write_all(order_outputs(week, tmp_path, limit=20))
    says = load_workbook(tmp_path / "order-2026-W49.xlsx")["Jobs at risk"]["A3"].value
    assert says.startswith(
        "30 rows are more than a sheet is good for. They are in order-2026-W49-jobs-at-risk.csv"
    )
    written = (tmp_path / "order-2026-W49-jobs-at-risk.csv").read_text("utf-8-sig").splitlines()
    assert len(written) == 31


def test_a_supplier_called_as_another_sheet_still_gets_its_own(tmp_path):
    odd = replace(weeks.part_results()[1], part=replace(weeks.B300, supplier="jobs at risk"))
    assert book(weeks.week(parts=(odd,)), tmp_path).sheetnames == [
        "To chase",
        "Summary",
        "Jobs at risk",
        "jobs at risk (2)",
        "Our lines",
    ]


# --- what is ours, and what is the supplier's -----------------------------------------------------------


def summary_of(week) -> dict[str, dict[str, object]]:
    summary = order_tables(week)[0]
    return {row[2]: dict(zip(summary.headings, row, strict=True)) for row in summary.rows()}


def test_the_summary_says_where_more_would_cost_less():
    line = weeks.part_results()[1]
    more = NextBreak(Fraction(90), Fraction(90), Fraction(100), Fraction(4, 5), Fraction(80))
    week = weeks.week(parts=(replace(line, next_break=more),))
    told = summary_of(week)["2026-W49-NORTH"]["to note"]
    assert "90 of B-14-300 cost 90.00, 100 cost 80.00." in told


def test_the_summary_says_that_no_address_is_set():
    assert NO_ADDRESS in order_tables(weeks.week())[0].notes
    settled = weeks.week(settings=Settings(currency="EUR", workshop=WORKSHOP))
    assert NO_ADDRESS not in order_tables(settled)[0].notes


OURS = ("late", "order by", "for jobs", "at risk", "minimum", "J-101", "J-102", "see Problems", "not named")


def test_a_suppliers_sheet_holds_nothing_that_is_ours_and_no_formula(tmp_path):
    odd = replace(weeks.B300, supplier_part="=1+1", finish="@x", description="+5")
    week = weeks.week(
        parts=(replace(weeks.part_results()[1], part=odd),),
        settings=Settings(currency="EUR", workshop=replace(WORKSHOP, name="=Tern")),
    )
    cells = [cell for row in book(week, tmp_path)["Northquay Fixings"].iter_rows() for cell in row]
    texts = [cell.value for cell in cells if isinstance(cell.value, str)]
    assert [text for text in texts if any(word in text for word in OURS)] == []
    assert [text for text in texts if text.startswith(("=", "+", "-", "@"))] == []
    assert {cell.data_type for cell in cells} <= {"s", "n", "d"}
    assert "No other length or grade without our agreement." in texts


def test_what_is_sent_is_that_sheet_alone(tmp_path):
    week = weeks.week(settings=Settings(currency="EUR", workshop=WORKSHOP))
    north = next(order for order in week.orders if order.reference == "2026-W49-NORTH")
    write_sent_order(north, WORKSHOP, week.today, week.foot, tmp_path / "sent.xlsx")
    sent = load_workbook(tmp_path / "sent.xlsx")
    assert sent.sheetnames == ["Northquay Fixings"]
    rows = list(sent["Northquay Fixings"].iter_rows(values_only=True))
    assert rows == list(book(week, tmp_path)["Northquay Fixings"].iter_rows(values_only=True))
