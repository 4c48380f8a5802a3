"""The problems sheet leads to the cells it speaks of, where a link would hold."""

import re
import zipfile
from pathlib import Path

import pytest
import weeks
from openpyxl import load_workbook

from reconcile.reports.outputs import write_outputs
from reconcile.reports.week.book import report_name
from reconcile.reports.week.tables import problems
from reconcile.reports.writing.file_links import FileLink, input_links
from reconcile.values.problem import Place, problem


@pytest.mark.parametrize(
    ("path", "address"),
    [
        ("shop/stock.xlsx", "../stock.xlsx"),
        ("shop/reports/stock.xlsx", "stock.xlsx"),
        ("shop/frames/NQ-T1.toml", "../frames/NQ-T1.toml"),
        ("shop/stock 1#2%.xlsx", "../stock%201%232%25.xlsx"),
        ("shop/stød.xlsx", "../st%C3%B8d.xlsx"),
        ("elsewhere/stock.xlsx", None),
        ("stock.xlsx", None),
    ],
)
def test_an_input_is_addressed_only_if_it_lies_near(tmp_path: Path, path: str, address: str | None) -> None:
    links = input_links([tmp_path / path], tmp_path / "shop" / "reports")
    assert links.get(Path(path).name) == address


def test_files_of_one_name_are_not_told_apart(tmp_path: Path) -> None:
    inputs = [tmp_path / "a" / "x.xlsx", tmp_path / "b" / "x.xlsx", tmp_path / "y.xlsx"]
    assert input_links(inputs, tmp_path) == {"y.xlsx": "y.xlsx"}


@pytest.mark.parametrize(
    ("place", "location"),
    [
        (Place("stock.xlsx", "On order", "C14"), "'On order'!C14"),
        (Place("stock.xlsx", "Bob's", "C14"), "'Bob''s'!C14"),
        (Place("stock.xlsx"), None),
        (Place("Stock.csv", "Stock", "C14"), None),
        (Place("NQ-T1.toml", "", "adjustment[1]"), None),
    ],
)
def test_a_link_leads_to_the_cell_in_a_workbook_and_else_to_the_file(place: Place, location) -> None:
    assert FileLink(f"../{place.file}", place).location == location


@pytest.fixture
def sheet(tmp_path: Path):
    """The problems sheet of a report in a folder beside its inputs; one input lies elsewhere."""
    inputs = [tmp_path / "shop" / "stock.xlsx", tmp_path / "far" / "away" / "jobs.xlsx"]
    folder = tmp_path / "shop" / "reports"
    write_outputs(weeks.week(), folder, inputs)
    return load_workbook(folder / report_name(weeks.week()))["Problems"]


def test_a_place_is_a_link_where_its_file_is_known_and_text_elsewhere(sheet) -> None:
    at = [cell.value for cell in sheet[1]].index("place")
    cells = {row[at].value: row[at] for row in sheet.iter_rows(min_row=2, max_row=4)}
    links = {
        value: (cell.hyperlink.target, cell.hyperlink.location)
        for value, cell in cells.items()
        if cell.hyperlink
    }
    assert links == {"stock.xlsx!Stock!K11": ("../stock.xlsx", "'Stock'!K11")}
    assert len(cells) == 3
    assert [value for value, cell in cells.items() if cell.font.underline] == list(links)


@pytest.mark.slow
def test_a_report_without_links_has_none_to_keep(tmp_path: Path) -> None:
    write_outputs(weeks.week(), tmp_path, [])
    with zipfile.ZipFile(tmp_path / report_name(weeks.week())) as members:
        assert not [name for name in members.namelist() if b"hyperlink" in members.read(name)]


def test_the_sheet_says_where_what_was_found_what_is_wrong_what_was_done_and_what_to_do() -> None:
    found = problem(
        "date-ambiguous", Place("jobs.xlsx", "Jobs", "B7"), "It has two readings.", found="3/12/2026"
    )
    table = problems(weeks.week(problems=(found,)))
    assert list(zip(table.headings, next(table.rows()), strict=True)) == [
        ("severity", "error"),
        ("code", "date-ambiguous"),
        ("place", "jobs.xlsx!Jobs!B7"),
        ("value found", "3/12/2026"),
        ("what is wrong", "It has two readings."),
        ("what was done", found.did),
        ("what to do", found.do),
        ("remark", None),
    ]


@pytest.mark.slow
def test_every_address_in_the_report_is_relative(tmp_path: Path) -> None:
    write_outputs(weeks.week(), tmp_path / "reports", [tmp_path / "stock.xlsx", tmp_path / "NQ-T1.toml"])
    with zipfile.ZipFile(tmp_path / "reports" / report_name(weeks.week())) as members:
        related = "".join(members.read(name).decode() for name in members.namelist() if "_rels/sheet" in name)
    outside = re.findall(r'<Relationship [^>]*TargetMode="External"[^>]*>', related)
    targets = [re.search(r'Target="([^"]*)"', each)[1] for each in outside]
    assert sorted(targets) == ["../NQ-T1.toml", "../stock.xlsx"]
