"""What is refused is said, changes nothing, and still stands there as it was typed."""

import shutil
import threading
from pathlib import Path

import openpyxl
import pytest
from open_page import Opened, opened_demo
from typer.testing import CliRunner

from reconcile.cli import app

ORDER = {"n": "2026-W49-QUIL"}
WEEK = {"week": "2026-W49"}


@pytest.fixture(scope="module")
def written(tmp_path_factory) -> Path:
    """The demo with the week's workbooks and its count sheet."""
    made = opened_demo(tmp_path_factory.mktemp("written") / "workshop")
    made.send("/orders", "/orders/write")
    made.send("/count", "/count/write")
    return made.folder


@pytest.fixture
def page(tmp_path, written) -> Opened:
    return Opened(shutil.copytree(written, tmp_path / "workshop"))


def bytes_of(folder: Path) -> dict[Path, bytes]:
    return {
        path: path.read_bytes() for path in folder.rglob("*") if path.is_file() and path.suffix != ".sqlite"
    }


def lock(path: Path) -> None:
    """As a spreadsheet program has it while the workbook is open."""
    path.with_name(f"~${path.name}").write_bytes(b"x")


def first(page: Opened, start: str, path: str, action: str, **query: str) -> str:
    return next(name for name in page.form(path, action, **query) if name.startswith(start))


def test_an_order_that_cannot_be_read_so_is_shown_as_it_was_typed(page):
    before = bytes_of(page.folder)
    name = first(page, "quantity-", "/order", "/order/change", **ORDER)
    seen = page.send("/order", "/order/change", query=ORDER, **{name: "a dozen or so"})
    assert seen.status == 422
    assert 'value="a dozen or so"' in seen.html
    assert "order-2026-W49.xlsx!" in seen.text
    assert bytes_of(page.folder) == before


def test_an_order_changed_in_a_spreadsheet_meanwhile_is_not_written_over(page):
    name = first(page, "quantity-", "/order", "/order/change", **ORDER)
    filled = page.form("/order", "/order/change", **ORDER) | {name: "350"}
    path = page.folder / "reports" / "order-2026-W49.xlsx"
    book = openpyxl.load_workbook(path)
    sheet = book["Quillmere Fixings"]
    row = int(name.partition("-")[2])
    column = next(cell.column for line in sheet.iter_rows() for cell in line if cell.value == "quantity")
    sheet.cell(row, column).value = 77
    book.save(path)
    seen = page.post("/order/change", **filled)
    assert seen.status == 422
    assert "rows-changed-meanwhile" in seen.html and 'value="350"' in seen.html
    assert openpyxl.load_workbook(path)["Quillmere Fixings"].cell(row, column).value == 77


@pytest.mark.parametrize(
    ("file", "path", "action", "query", "typed"),
    [
        ("stock.xlsx", "/order", "/order/place", ORDER, {"who": "Ada the buyer"}),
        (
            "stock.xlsx",
            "/receive",
            "/receive",
            {},
            {"what": "PO-0886/SP-050", "quantity": "7", "who": "Ada the buyer"},
        ),
        ("reports/order-2026-W49.xlsx", "/order", "/order/change", ORDER, {"changed": "350"}),
        ("stock.xlsx", "/close/week", "/close/week", WEEK, {"who": "Ada the buyer"}),
        (
            "reports/returns-2026-W49.xlsx",
            "/close",
            "/close/job",
            WEEK | {"n": "J-4101"},
            {"done": "yes", "done__by": "Ada the buyer"},
        ),
        ("stock.xlsx", "/undo", "/undo", {"n": "2026-W48"}, {"who": "Ada the buyer"}),
    ],
)
def test_a_workbook_that_is_open_elsewhere_is_left_alone(  # noqa: PLR0917  (a form, and what is typed into it)
    page, file, path, action, query, typed
):
    if "changed" in typed:
        typed = {first(page, "quantity-", path, action, **query): typed["changed"]}
    filled = page.form(path, action, **query) | {
        name.replace("__", " "): text for name, text in typed.items()
    }
    lock(page.folder / file)
    before = bytes_of(page.folder)
    seen = page.post(action, **filled)
    assert seen.status == 422
    assert "workbook-open" in seen.html
    assert all(text in seen.html for text in typed.values())
    assert bytes_of(page.folder) == before


def test_two_who_close_the_same_week_at_once_close_it_once(page):
    page.send("/close", "/close/job", query=WEEK | {"n": "J-4101"}, done="yes")
    forms = [page.form("/close/week", "/close/week", **WEEK) for _ in range(2)]
    seen: list = []
    both = [
        threading.Thread(target=lambda form=form: seen.append(page.post("/close/week", **form)))
        for form in forms
    ]
    for each in both:
        each.start()
    for each in both:
        each.join()
    assert sorted(each.status for each in seen) == [200, 422]
    assert len(closed_weeks(page)) == 1


def test_a_page_and_a_command_that_close_at_once_close_it_once(page):
    page.send("/close", "/close/job", query=WEEK | {"n": "J-4101"}, done="yes")
    form = page.form("/close/week", "/close/week", **WEEK)
    codes: list[int] = []
    words = ["close", str(page.folder), "--week", "2026-W49", "--replace", "--today", "2026-11-27"]
    typing = threading.Thread(target=lambda: codes.append(CliRunner().invoke(app, words).exit_code))
    typing.start()
    seen = page.post("/close/week", **form)
    typing.join()
    assert sorted([seen.status == 200, codes[0] == 0]) == [False, True]
    assert len(closed_weeks(page)) == 1


def closed_weeks(page: Opened) -> list[str]:
    from reconcile.work.entries.standing import book_standing

    return [name for name in book_standing(page.desk.request).weeks if name == "2026-W49"]


def test_a_form_that_is_sent_twice_is_booked_once(page):
    form = page.form("/receive", "/receive") | {"what": "PO-0886/SP-050", "quantity": "7", "who": "Ada"}
    assert page.post("/receive", **form).status == 200
    again = page.post("/receive", **form)
    assert again.status == 422
    assert "This was sent before, and is booked." in again.text
    assert page.get("/part", n="SP-050").html.count(">received<") == 1


def test_two_windows_that_say_another_job_each_take_nothing_from_each_other(page):
    one = page.form("/close", "/close/job", **WEEK, n="J-4101") | {"done": "yes", "done by": "Ada"}
    other = page.form("/close", "/close/job", **WEEK, n="J-4102") | {"done": "part", "done by": "Bo"}
    assert page.post("/close/job", **one).status == 200
    assert page.post("/close/job", **other).status == 200
    rows = openpyxl.load_workbook(page.folder / "reports" / "returns-2026-W49.xlsx")["Done"].iter_rows(
        values_only=True
    )
    said = {row[1]: (row[5], row[7]) for row in rows}
    assert (said["J-4101"], said["J-4102"]) == (("yes", "Ada"), ("part", "Bo"))


def test_two_windows_that_say_the_same_job_are_told(page):
    one = page.form("/close", "/close/job", **WEEK, n="J-4101") | {"done": "yes", "done by": "Ada"}
    other = one | {"done": "no", "done by": "Bo of the second window"}
    assert page.post("/close/job", **one).status == 200
    seen = page.post("/close/job", **other)
    assert seen.status == 422
    assert "rows-changed-meanwhile" in seen.html
    assert "the job: done yes" in seen.text and "Bo of the second window" in seen.html


@pytest.mark.parametrize(
    ("field", "text"), [("used", "a few"), ("used", "-3"), ("scrapped", "1,234"), ("returned", "=1+1")]
)
def test_a_figure_that_cannot_be_booked_is_refused_at_once(page, field, text):
    name = next(n for n in page.form("/close", "/close/job", **WEEK, n="J-4101") if n.endswith(f":{field}"))
    before = bytes_of(page.folder)
    seen = page.send("/close", "/close/job", query=WEEK | {"n": "J-4101"}, done="yes", **{name: text})
    assert seen.status == 422
    assert f'value="{text}"' in seen.html
    assert bytes_of(page.folder) == before


def test_a_job_of_which_nothing_is_said_is_asked_about(page):
    seen = page.send("/close", "/close/job", query=WEEK | {"n": "J-4101"}, done__by="Ada the fitter")
    assert seen.status == 422
    assert "Say whether it was done" in seen.text and "Ada the fitter" in seen.html


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"what": "PO-0886/SP-050", "quantity": "seven"}, "is not a number"),
        ({"what": "PO-0886/SP-050", "quantity": "-7"}, "is not above zero"),
        ({"what": "PO-0886/SP-050", "day": "tomorrow"}, "is not a date"),
        ({"what": "PO-0886/SP-050", "bin": "Z-99"}, "Z-99"),
        ({"what": "PO-0886/SP-050", "quantity": "999", "came": "B14-250"}, ""),
        ({"what": "-"}, "Say what came and how many"),
    ],
)
def test_a_receipt_that_cannot_be_booked_stands_as_it_was_typed(page, typed, says):
    before = bytes_of(page.folder)
    seen = page.send("/receive", "/receive", who="Ada the clerk", **typed)
    assert seen.status == 422, seen.text
    assert says in seen.text and "Ada the clerk" in seen.html
    assert all(f'value="{text}"' in seen.html for text in typed.values())
    assert bytes_of(page.folder) == before


def test_a_hold_without_a_number_keeps_the_question(page):
    asked = {
        "frame": "NQ-T1",
        "measure": "seat width",
        "from": "14 in",
        "to": "15 in",
        "day": "2026-12-10",
        "go": "1",
    }
    form = page.form("/ask", "/ask/hold", **asked)
    seen = page.post("/ask/hold", **form | {"number": "", "who": "Ada"})
    assert seen.status == 422
    assert "Give the job a number" in seen.text
    assert 'value="2026-12-10"' in seen.html


@pytest.mark.parametrize(
    ("counted", "says"), [("about twenty", "is not a quantity"), ("", "Say how many lie there"), ("-1", "")]
)
def test_a_count_that_is_none_is_refused_at_once(page, counted, says):
    before = bytes_of(page.folder)
    seen = page.send("/count", "/count", counted=counted, counted__by="Cy the counter")
    assert seen.status == 422
    assert says in seen.text and "Cy the counter" in seen.html
    assert bytes_of(page.folder) == before


def test_an_empty_bin_that_is_counted_as_full_is_refused(page):
    seen = page.send("/count", "/count", counted="5", in__kits="0", empty__bin__seen="yes")
    assert seen.status == 422
    assert "count-contradicted" in seen.html


def test_a_length_is_only_what_it_can_have_been(page):
    form = page.form("/mend", "/mend/length")
    assert page.post("/mend/length", **form | {"use": "5/8 in"}).status == 422
    assert not (page.folder / "accept.csv").exists()


def test_an_answer_that_names_what_was_never_ordered_books_nothing(page):
    before = bytes_of(page.folder)
    seen = page.send(
        "/orders/answer", "/orders/answer", files={"upload": ("a.csv", b"order,quantity\nNOBODY,1\n")}
    )
    assert seen.status == 422
    after = bytes_of(page.folder)
    assert {path: data for path, data in after.items() if path in before} == before


def test_our_own_fault_is_told_and_keeps_what_was_typed(page, monkeypatch):
    def fails(*_args, **_given):
        raise ZeroDivisionError("our own")

    monkeypatch.setattr("reconcile.page.views.orders.change_order", fails)
    name = first(page, "quantity-", "/order", "/order/change", **ORDER)
    seen = page.send("/order", "/order/change", query=ORDER, **{name: "351"})
    assert seen.status == 422
    assert "The program failed: ZeroDivisionError" in seen.text
    assert 'value="351"' in seen.html and "Traceback" not in seen.html
