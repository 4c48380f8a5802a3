"""Twelve made-up books are begun with, and planned from; whoever asks nothing takes what is beyond doubt."""

import json
import shutil
import tomllib
from datetime import date
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import openpyxl
import pytest
from books import workbook
from closing_shop import MONDAY, all_done, fine, returns_of
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.request import Request

CASES = Path(__file__).parents[1] / "cases"
BOOKS = CASES / "beginning"
TODAY = ("--today", "2026-11-27")


@pytest.fixture
def shop(tmp_path: Path):
    """A folder with one of the books and two frames."""

    def made(book: str) -> Path:
        folder = tmp_path / book
        shutil.copytree(BOOKS / book, folder)
        shutil.copytree(CASES / "hand_week" / "frames", folder / "frames")
        return folder

    return made


def call(*words: object, answers: str | None = None):
    return CliRunner().invoke(app, [str(word) for word in words], input=answers)


def rows_used(folder: Path) -> dict[str, tuple[int, int]]:
    """Rows read and rows used of jobs and stock, of a week that is planned without writing."""
    said = call("week", folder, *TODAY, "--json", "--dry-run")
    assert said.exit_code in (0, 1), said.output
    rows = json.loads(said.stdout)["rows"]
    return {
        sheet: (rows[sheet]["read"], rows[sheet]["used"] + rows[sheet].get("beside", 0)) for sheet in rows
    }


ROWS = {
    "01-german": ((3, 3), (5, 5)),
    "02-french-two-tables": ((2, 2), (7, 3)),
    "03-spanish-csv": ((3, 3), (4, 4)),
    "04-italian": ((2, 2), (3, 3)),
    "05-dutch-packs": ((2, 2), (3, 3)),
    "06-titles": ((3, 2), (4, 3)),
    "07-tools-below": ((2, 2), (5, 3)),
    "08-prices": ((1, 1), (6, 6)),
    "09-packs": ((2, 2), (4, 4)),
    "10-swedish": ((2, 2), (3, 3)),
    "12-one-column": ((1, 1), (4, 4)),
}
"""Rows read and used of jobs and of stock. The others are a total, a second table, or named as faulty."""


@pytest.mark.parametrize(("book", "rows"), ROWS.items(), ids=ROWS)
def test_a_book_is_planned_from_after_begin_yes(shop, book, rows) -> None:
    folder = shop(book)
    said = call("begin", folder, "--yes", *TODAY)
    assert said.exit_code == 0, said.output
    assert f"Written: {folder / 'reconcile.toml'}" in said.stdout
    used = rows_used(folder)
    assert (used["jobs"], used["stock"]) == rows
    for sheet, (read, taken) in used.items():
        assert f"{sheet}: {read} row" in said.stdout
        assert f" read, {taken} used" in said.stdout


@pytest.mark.parametrize(
    ("book", "line", "rows"),
    [
        ("11-two-alike", 'sheets = { stock = "Inventory 2026" }', ((1, 1), (3, 3))),
        (
            "08-prices",
            'headings = { part = ["SKU"], price = ["Unit cost"] }\nunit = "each"',
            ((1, 1), (6, 6)),
        ),
    ],
)
def test_a_book_is_planned_from_after_a_line_of_settings(shop, book, line, rows) -> None:
    folder = shop(book)
    (folder / "reconcile.toml").write_text(line, "utf-8")
    used = rows_used(folder)
    assert (used["jobs"], used["stock"]) == rows


def parts(folder: Path):
    return read_inputs(Request(folder, today=date(2026, 11, 27))).stock.parts


def test_what_the_books_say_is_read_as_it_is_meant(shop, tmp_path) -> None:
    for book in ("01-german", "03-spanish-csv", "05-dutch-packs", "08-prices", "09-packs", "12-one-column"):
        assert call("begin", shop(book), "--yes", *TODAY).exit_code == 0
    folder = tmp_path
    german, spanish, dutch = (
        parts(folder / book) for book in ("01-german", "03-spanish-csv", "05-dutch-packs")
    )
    assert [(each.price and str(each.price), each.currency) for each in german.values()] == [
        ("0.45", "EUR"), ("0.52", "EUR"), (None, ""), ("1.25", "EUR"), ("9.9", "EUR"),
    ]  # fmt: skip
    assert (spanish["C-3"].on_hand, spanish["C-1"].on_hand) == (1200, 120)
    assert [(each.on_hand, each.pack) for each in dutch.values()] == [(300, 100), (100, 50), (17, 1)]
    prices = parts(folder / "08-prices")
    assert {number: each.price and (str(each.price), each.currency) for number, each in prices.items()} == {
        "B-150": ("5.99", "GBP"), "B-200": ("12.5", "GBP"), "B-250": ("5.99", "EUR"),
        "SP-050": None, "SP-100": None, "NUT-1": ("0.0599", "GBP"),
    }  # fmt: skip
    packs = parts(folder / "09-packs")
    assert [(each.on_hand, each.currency) for each in packs.values()] == [
        (500, "GBP"), (300, "GBP"), (50, "GBP"), (75, "GBP"),
    ]  # fmt: skip
    bolts = [each.bolt for each in parts(folder / "12-one-column").values()]
    assert [bolt and (bolt.head, bolt.length) for bolt in bolts] == [
        ("socket cap", 8), ("socket cap", 10), ("socket cap", 12), ("hex", 20),
    ]  # fmt: skip


def test_the_books_are_what_their_script_says(tmp_path) -> None:
    spec = spec_from_file_location("make_books", BOOKS / "make_books.py")
    assert spec is not None and spec.loader is not None
    made = module_from_spec(spec)
    spec.loader.exec_module(made)
    made.write_books(tmp_path)
    there = {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*.*")}
    assert len(made.BOOKS) == 12
    assert there == {
        path.relative_to(BOOKS): path.read_bytes() for path in BOOKS.rglob("*.*") if path.parent != BOOKS
        and path.suffix != ".pyc"
    }  # fmt: skip


# --- what is shown, asked and written -----------------------------------------------------------------


def flowing(text: str) -> str:
    return " ".join(text.split())


def test_it_shows_what_each_sheet_looks_like_our_columns_and_theirs(shop) -> None:
    shown = flowing(call("begin", shop("01-german"), "--yes", *TODAY).stdout)
    assert "Lagerliste.xlsx, sheet Aufträge: looks like jobs, 3 rows." in shown
    assert "Lagerliste.xlsx, sheet Bestand: looks like stock, 5 rows." in shown
    assert 'part "Teilenummer" (by a word for it): T-100 | T-101 | T-102' in shown
    assert 'Not matched: "Kostenstelle".' in shown


def test_what_is_matched_by_its_cells_alone_is_shown_as_such(shop) -> None:
    shown = flowing(call("begin", shop("10-swedish"), "--yes", *TODAY).stdout)
    assert 'thread "Gängdimension" (by its cells): M6 | M6 | M8' in shown


def test_two_sheets_that_fit_alike_are_left_to_a_person(shop) -> None:
    folder = shop("11-two-alike")
    said = call("begin", folder, "--yes", *TODAY)
    assert said.exit_code == 2
    assert (
        "Several sheets look like stock: Inventory 2025 of stock.xlsx and Inventory 2026 of stock.xlsx."
        in (flowing(said.stdout))
    )
    assert 'under [sheets]: stock = "Inventory 2025"' in flowing(said.stdout)


def test_a_person_is_asked_and_enter_takes_what_is_offered(shop) -> None:
    folder = shop("11-two-alike")
    said = call("begin", folder, *TODAY, answers="7\n2\n")
    assert said.exit_code == 0, said.output
    assert "Which sheet holds stock?" in said.stdout
    assert "Answer one of 1, 2, or press Enter." in said.stdout
    assert tomllib.loads((folder / "reconcile.toml").read_text("utf-8"))["sheets"] == {
        "stock": "Inventory 2026"
    }


def test_answers_that_end_too_soon_write_nothing(shop) -> None:
    folder = shop("11-two-alike")
    said = call("begin", folder, *TODAY, answers="")
    assert said.exit_code == 2
    assert "nothing was written" in flowing(said.stderr)
    assert not (folder / "reconcile.toml").exists()


def test_a_column_that_nobody_has_a_word_for_is_asked_about(tmp_path) -> None:
    workbook(tmp_path / "jobs.xlsx", Jobs=[["job", "date", "frame", "from", "to"]] + [
        [f"J-{n}", "2026-12-01", "HW-A", "14 in", "15 in"] for n in range(3)
    ])  # fmt: skip
    rows = [[f"B-{n}", n, f"A-{n}", f"{n + 1} left"] for n in range(1, 5)]
    workbook(tmp_path / "stock.xlsx", Stock=[["part", "zahl", "gauge", "words"], *rows])
    shutil.copytree(CASES / "hand_week" / "frames", tmp_path / "frames")
    said = call("begin", tmp_path, *TODAY, answers="no\nyes\n\n")
    assert said.exit_code == 0, said.output
    asked = flowing(said.stdout)
    assert 'Is the column "gauge" of Stock (A-1, A-2, A-3) our bin?' in asked
    assert 'Is the column "zahl" of Stock (1, 2, 3) our on hand?' in asked
    read = tomllib.loads((tmp_path / "reconcile.toml").read_text("utf-8"))
    assert read == {"unit": "each", "headings": {"on hand": ["zahl"]}}
    assert rows_used(tmp_path)["stock"] == (4, 4)


def test_nobody_takes_a_column_by_a_guess(tmp_path) -> None:
    workbook(tmp_path / "stock.xlsx", Stock=[["part", "zahl"], *[[f"B-{n}", n] for n in range(1, 5)]])
    said = call("begin", tmp_path, "--yes", *TODAY)
    assert said.exit_code == 2
    assert "No column of Stock was taken for on hand." in flowing(said.stdout)
    assert "headings" not in tomllib.loads((tmp_path / "reconcile.toml").read_text("utf-8"))


def test_settings_that_are_there_stay_and_the_difference_is_shown(shop) -> None:
    folder = shop("12-one-column")
    own = 'unit = "pack"\n'
    (folder / "reconcile.toml").write_text(own, "utf-8")
    said = call("begin", folder, "--yes", *TODAY)
    assert (folder / "reconcile.toml").read_text("utf-8") == own
    assert "is there already and was left as it is" in flowing(said.stdout)
    assert '  -unit = "pack"' in said.stdout
    assert '  +unit = "each"' in said.stdout


def test_a_frame_to_start_from_is_written_where_there_is_none(tmp_path) -> None:
    shutil.copytree(BOOKS / "08-prices", tmp_path / "shop")
    said = call("begin", tmp_path / "shop", "--yes", *TODAY)
    assert said.exit_code == 2
    assert (tmp_path / "shop" / "frames" / "EX-1.toml").is_file()
    assert "The week cannot be planned yet." in said.stdout
    assert "The only row of jobs cannot be used. The commonest faults: frame-unknown 1." in flowing(
        said.stdout
    )


def test_a_file_that_cannot_be_read_is_named(shop) -> None:
    folder = shop("12-one-column")
    (folder / "old.xlsx").write_bytes(b"PK\3\4" + b"x" * 100)
    said = call("begin", folder, "--yes", *TODAY)
    assert "error file-broken at old.xlsx" in said.stdout


def test_a_folder_without_sheets_and_a_folder_that_is_none(tmp_path) -> None:
    said = call("begin", tmp_path, "--yes")
    assert said.exit_code == 2
    assert "holds no workbook and no csv file that can be read" in flowing(said.stdout)
    assert list(tmp_path.iterdir()) == []
    assert call("begin", tmp_path / "none").exit_code == 2


@pytest.mark.parametrize("order", ["dmy", "mdy"])
def test_the_order_of_dates_is_taken_from_days_that_can_be_read_in_one_way(tmp_path, order) -> None:
    days = ("03/12/2026", "30/11/2026") if order == "dmy" else ("12/03/2026", "11/30/2026")
    lines = [f"J-{n},{day},HW-A,14 in,15 in" for n, day in enumerate(days)]
    (tmp_path / "jobs.csv").write_text("job,date,frame,from,to\n" + "\n".join(lines), "utf-8")
    (tmp_path / "stock.csv").write_text("part,on hand,unit\nB,1,each\n", "utf-8")
    shutil.copytree(CASES / "hand_week" / "frames", tmp_path / "frames")
    assert call("begin", tmp_path, "--yes", *TODAY).exit_code == 0
    assert tomllib.loads((tmp_path / "reconcile.toml").read_text("utf-8")) == {"date_order": order}


def test_days_that_can_be_read_in_two_ways_are_left_open(tmp_path) -> None:
    (tmp_path / "jobs.csv").write_text("job,date,frame,from,to\nJ-1,03/12/2026,HW-A,14 in,15 in\n", "utf-8")
    (tmp_path / "stock.csv").write_text("part,on hand,unit\nB,1,each\n", "utf-8")
    said = call("begin", tmp_path, "--yes", *TODAY)
    assert "Which comes first in dates like 3/12/2026? date_order was left out." in flowing(said.stdout)


# --- and the week is closed ---------------------------------------------------------------------------


def test_a_week_is_closed_into_a_sheet_of_another_name_without_units(tmp_path, monkeypatch) -> None:
    """The part in packs of 250 keeps counting packs: 3 less 2 pieces are 2.992."""
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "shop"
    (folder / "frames").mkdir(parents=True)
    shutil.copy(CASES / "hand_week" / "frames" / "HW-A.toml", folder / "frames")
    jobs = [["job", "date", "frame", "from", "to"], ["J-1", MONDAY, "HW-A", "14 in", "15 in"]]
    stock = [
        ["part", "on hand", "description", "packaging"],
        ["B-150", 4, "SHCS 1/4-20 x 1-1/2 SAE 8", None],
        ["B-200", 3, "SHCS 1/4-20 x 2 SAE 8", "Pack of 250"],
        ["SP-050", 9, "spacer", None],
        ["TL-MED", 5, None, "mL"],
        ["CP-2", 1, None, None],
        ["PAN-15", 4, None, None],
    ]
    workbook(folder / "jobs.xlsx", Plan=jobs)
    path = workbook(folder / "stock.xlsx", Lager=stock)
    assert call("begin", folder, "--yes", *TODAY).exit_code == 0
    read = tomllib.loads((folder / "reconcile.toml").read_text("utf-8"))
    assert read == {"sheets": {"jobs": "Plan", "stock": "Lager"}, "headings": {"unit": ["packaging"]}}
    (folder / "reconcile.toml").write_text(
        'unit = "each"\n' + (folder / "reconcile.toml").read_text("utf-8"), "utf-8"
    )
    fine("week", folder, "--week", "2026-W49")
    all_done(returns_of(folder, "2026-W49"))
    fine("close", folder, "--week", "2026-W49", "--replace", "--who", "stores")
    left = {row[0]: row[1] for row in openpyxl.load_workbook(path)["Lager"].iter_rows(values_only=True)}
    assert (left["B-150"], left["B-200"], left["SP-050"], left["TL-MED"]) == (6, 2.992, 7, 4.8)
