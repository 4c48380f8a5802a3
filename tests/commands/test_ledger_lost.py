"""A ledger that is lost, emptied, older or of another workshop never lets a week be booked twice.

Through the command line, on workbooks. The mark that ties both is a custom document property (ECMA-376
part 1, 22.3): what keeps it and what drops it is tried here with the programs themselves.
"""

import shutil
import sqlite3
import subprocess
import zipfile
from pathlib import Path

import pytest
from closing_shop import WEEKS, all_done, call, copied, fine, on_hand, refused, returns_of, shop
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger
from reconcile.values.ledger.mark import Mark, mark_of
from reconcile.work.marks import mark_on

W49, W50 = WEEKS[:2]
LEDGER = "stock-ledger.sqlite"


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture(scope="module")
def closed_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A shop whose first week is closed in place, and whose second has returns that are filled in."""
    folder = shop(tmp_path_factory.mktemp("closed") / "shop")
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    all_done(returns_of(folder, W50))
    return folder


@pytest.fixture
def folder(closed_once: Path, tmp_path: Path) -> Path:
    return copied(closed_once, tmp_path / "shop")


def gone(folder: Path) -> None:
    (folder / LEDGER).unlink()


def emptied(folder: Path) -> None:
    (folder / LEDGER).write_bytes(b"")


def without_closings(folder: Path) -> None:
    """A ledger that was made and never booked into."""
    gone(folder)
    with open_ledger(folder / LEDGER) as made:
        assert made.count() == 0


LOST = pytest.mark.parametrize("lose", [gone, emptied, without_closings])


def as_it_lies(folder: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and "reports" not in path.parts
    }


@LOST
@pytest.mark.parametrize("week", [W49, W50])
def test_no_week_is_booked_where_the_ledger_is_lost(folder: Path, lose, week: str) -> None:
    lose(folder)
    before = as_it_lies(folder)
    for _ in range(3):
        told = refused("close", folder, "--week", week, "--replace")
        assert "error ledger-lost at stock-ledger.sqlite" in told
        assert "2 closings, up to 2026-W49" in told
        assert "reconcile begin-ledger" in told
        assert "Nothing was written." in told
    assert as_it_lies(folder) == before


@LOST
def test_nothing_else_is_booked_either(folder: Path, lose) -> None:
    lose(folder)
    before = as_it_lies(folder)
    assert "ledger-lost" in refused("count", folder, "--read", "count.xlsx", "--post", "--replace")
    hold = (
        "check",
        "J-900",
        "--frame",
        "ZB-1",
        "--from",
        "10 in",
        "--to",
        "10 in",
        "--date",
        "2026-12-03",
        "--hold",
    )
    assert "ledger-lost" in refused(*hold, "--in", folder)
    assert "ledger-lost" in refused("close", folder, "--week", W50, "--dry-run")
    assert "ledger-lost" in refused("ledger", "--in", folder, "--check")
    assert as_it_lies(folder) == before


@LOST
def test_every_plan_names_it_with_how_to_go_on(folder: Path, lose) -> None:
    lose(folder)
    told = " ".join(fine("week", folder, "--week", W50, "--force", "--json").split())
    assert '"ledger-lost"' in told
    assert "begin-ledger" in told


@LOST
@pytest.mark.parametrize("words", [("check", "J-300"), ("why", "CLIP")])
def test_so_does_every_answer(folder: Path, lose, words: tuple) -> None:
    assert "ledger-lost" not in call(*words, "--in", folder).stderr
    lose(folder)
    assert "notice ledger-lost at stock-ledger.sqlite" in call(*words, "--in", folder).stderr


@LOST
def test_the_ledger_put_back_is_enough(folder: Path, closed_once: Path, lose) -> None:
    lose(folder)
    shutil.copy(closed_once / LEDGER, folder / LEDGER)
    fine("ledger", "--in", folder, "--check")
    fine("close", folder, "--week", W50, "--replace")
    assert "week-closed" in refused("close", folder, "--week", W49, "--replace")


def test_an_empty_ledger_is_not_yet_begun(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop")
    for make in (lambda: (folder / LEDGER).write_bytes(b""), lambda: open_ledger(folder / LEDGER).close()):
        make()
        answer = call("ledger", "--in", folder, "--check")
        assert answer.exit_code == 1
        assert "not yet begun" in " ".join(answer.stdout.split())
        assert "part by part" not in answer.stdout


def test_looking_at_an_empty_file_does_not_make_a_ledger_of_it(folder: Path) -> None:
    emptied(folder)
    call("week", folder, "--week", W50, "--dry-run")
    call("ledger", "--in", folder)
    assert (folder / LEDGER).read_bytes() == b""


# --- an older one, another's, one that went on apart ---------------------------------------------------


def test_an_older_ledger_put_back_stops_every_booking(folder: Path, closed_once: Path) -> None:
    fine("close", folder, "--week", W50, "--replace")
    shutil.copy(closed_once / LEDGER, folder / LEDGER)
    told = refused("close", folder, "--week", W50, "--replace")
    assert "error ledger-older at stock-ledger.sqlite" in told
    assert "ledger-older" in fine("week", folder, "--week", WEEKS[2], "--force", "--json")


def test_a_ledger_of_another_workshop_stops_every_booking(folder: Path, tmp_path: Path) -> None:
    other = shop(tmp_path / "other")
    all_done(returns_of(other, W49))
    fine("close", other, "--week", W49, "--replace")
    shutil.copy(other / LEDGER, folder / LEDGER)
    before = (folder / LEDGER).read_bytes()
    assert "error ledger-foreign at" in refused("close", folder, "--week", W50, "--replace")
    assert "ledger-foreign" in fine("week", folder, "--week", W50, "--force", "--json")
    chair = CliRunner().invoke(app, ["chair", "WC-1", "--in", str(folder)])
    assert "ledger-foreign" in chair.stderr
    assert (folder / LEDGER).read_bytes() == before


def test_a_ledger_that_went_on_from_a_copy_is_another(folder: Path, tmp_path: Path) -> None:
    """Two copies of one workshop, each with a closing of its own: no ledger serves the other's."""
    other = copied(folder, tmp_path / "other")
    for each in (folder, other):
        fine("close", each, "--week", W50, "--replace")
    shutil.copy(other / LEDGER, folder / LEDGER)
    all_done(returns_of(folder, WEEKS[2]))
    assert "ledger-foreign" in refused("close", folder, "--week", WEEKS[2], "--replace")


def test_an_old_workbook_put_back_is_told_even_where_somebody_saved_it_since(folder: Path) -> None:
    import openpyxl

    shutil.copy(folder / "stock.xlsx", folder / "old.xlsx")
    fine("close", folder, "--week", W50, "--replace")
    book = openpyxl.load_workbook(folder / "old.xlsx")
    book["Stock"]["C2"] = 99
    book.save(folder / "stock.xlsx")
    all_done(returns_of(folder, WEEKS[2]))
    assert "stock-before-closing" in refused("close", folder, "--week", WEEKS[2], "--replace")


# --- no mark ----------------------------------------------------------------------------------------------


def unmarked(path: Path) -> None:
    """The same cells in a new workbook, as programs write it that know no custom properties."""
    import openpyxl

    book = openpyxl.load_workbook(path)
    while len(book.custom_doc_props):
        del book.custom_doc_props[book.custom_doc_props.names[0]]
    book.save(path)


def test_a_workbook_without_a_mark_is_judged_by_balances(folder: Path) -> None:
    unmarked(folder / "stock.xlsx")
    assert mark_on(folder / "stock.xlsx") is None
    fine("ledger", "--in", folder, "--check")
    fine("close", folder, "--week", W50, "--replace")
    assert mark_on(folder / "stock.xlsx") is not None


def test_with_neither_mark_nor_ledger_rows_of_usage_ask_and_do_not_refuse(folder: Path) -> None:
    unmarked(folder / "stock.xlsx")
    gone(folder)
    answer = call("close", folder, "--week", W49, "--replace")
    assert answer.exit_code == 0, answer.output
    told = " ".join(answer.stderr.split())
    assert "notice usage-booked-before at stock.xlsx!Usage!D" in told
    assert "Usage has rows of J-100, J-101 already." in told
    assert "Was this week booked before?" in told


def test_a_first_closing_asks_nothing(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop")
    all_done(returns_of(folder, W49))
    assert "usage-booked-before" not in call("close", folder, "--week", W49, "--replace").stderr


# --- begun anew -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("lose", [gone, emptied, without_closings, "older", "broken"])
def test_a_ledger_begun_anew_says_what_is_lost_and_books_no_week_again(
    folder: Path, closed_once: Path, lose
) -> None:
    if lose == "older":
        fine("close", folder, "--week", W50, "--replace")
        shutil.copy(closed_once / LEDGER, folder / LEDGER)
    elif lose == "broken":
        (folder / LEDGER).write_bytes(b"no ledger at all" * 100)
    else:
        lose(folder)
    old = (folder / LEDGER).read_bytes() if (folder / LEDGER).exists() else None
    before = on_hand(folder / "stock.xlsx")
    last = W50 if lose == "older" else W49
    dry = " ".join(fine("begin-ledger", "--in", folder, "--dry-run").split())
    told = " ".join(fine("begin-ledger", "--in", folder, "--replace").split())
    for answer in (dry, told):
        assert f"up to {last}, with their movements" in answer
        assert f"{last} stays closed" in answer
        assert "Taken as done, since Usage has them" in answer
    assert on_hand(folder / "stock.xlsx") == before
    assert "week-closed" in refused("close", folder, "--week", last, "--replace")
    fine("ledger", "--in", folder, "--check")
    all_done(returns_of(folder, WEEKS[2]))
    fine("close", folder, "--week", WEEKS[2], "--replace")
    fine("ledger", "--in", folder, "--check")
    kept = list(folder.glob("stock-ledger-before-*.sqlite"))
    assert [each.read_bytes() for each in kept] == ([] if old is None else [old])


def test_jobs_that_usage_names_are_not_booked_again_with_another_week(folder: Path) -> None:
    gone(folder)
    fine("begin-ledger", "--in", folder, "--replace")
    found = returns_of(folder, W50)
    from closing_shop import add

    all_done(add(found, "Done", job="J-100", week=W50, date="2026-11-30"))
    answer = call("close", folder, "--week", W50, "--replace")
    assert answer.exit_code == 2 or "J-100" not in answer.stdout


def test_there_is_nothing_to_begin_where_both_belong_together(folder: Path, tmp_path: Path) -> None:
    assert "nothing to begin" in refused("begin-ledger", "--in", folder, "--replace")
    assert "nothing to begin" in refused("begin-ledger", "--in", shop(tmp_path / "new"), "--replace")


def test_begun_beside_the_workbook_waits_until_that_is_in_place(folder: Path) -> None:
    gone(folder)
    fine("begin-ledger", "--in", folder)
    assert "stock-before-closing" in refused("close", folder, "--week", W50)
    (folder / f"stock-after-{W49}.xlsx").replace(folder / "stock.xlsx")
    fine("close", folder, "--week", W50)


def test_a_journal_that_a_lost_ledger_left_does_not_spoil_the_new_one(folder: Path) -> None:
    gone(folder)
    (folder / f"{LEDGER}-journal").write_bytes(b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" + b"\xff" * 4096)
    fine("begin-ledger", "--in", folder, "--replace")
    fine("ledger", "--in", folder, "--check")


# --- what keeps the mark ----------------------------------------------------------------------------------


def test_the_mark_is_the_last_closings(folder: Path) -> None:
    with open_ledger(folder / LEDGER, create=False) as ledger:
        own = ledger.mark()
        borne = mark_on(folder / "stock.xlsx")
        assert borne == Mark(own.identity, own.counter, borne.token, W49)
        assert ledger.last().details["mark"] == str(borne)


def test_a_library_that_saves_the_workbook_keeps_the_mark(folder: Path) -> None:
    import openpyxl

    before = mark_on(folder / "stock.xlsx")
    openpyxl.load_workbook(folder / "stock.xlsx").save(folder / "stock.xlsx")
    assert mark_on(folder / "stock.xlsx") == before


@pytest.mark.slow
@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_libreoffice_keeps_the_mark(folder: Path, tmp_path: Path) -> None:
    before = mark_on(folder / "stock.xlsx")
    home = f"-env:UserInstallation={(tmp_path / 'home').as_uri()}"
    words = ("soffice", home, "--headless", "--convert-to", "xlsx:Calc MS Excel 2007 XML", "--outdir")
    subprocess.run(
        [*words, tmp_path / "saved", folder / "stock.xlsx"], check=True, capture_output=True, timeout=120
    )
    assert mark_on(tmp_path / "saved" / "stock.xlsx") == before


def test_other_properties_stay(folder: Path) -> None:
    import openpyxl
    from openpyxl.packaging.custom import StringProperty

    book = openpyxl.load_workbook(folder / "stock.xlsx")
    book.custom_doc_props.append(StringProperty(name="Shelf", value="north & <south>"))
    book.save(folder / "stock.xlsx")
    fine("close", folder, "--week", W50, "--replace")
    book = openpyxl.load_workbook(folder / "stock.xlsx")
    assert book.custom_doc_props["Shelf"].value == "north & <south>"
    assert mark_of(book.custom_doc_props["reconcile ledger"].value).counter == 3


def test_a_mark_that_cannot_be_read_is_none(folder: Path) -> None:
    data = parts(folder / "stock.xlsx")
    for spoilt in (b"<Properties", b"<!DOCTYPE x><Properties/>", b"", b"\0" * 3000):
        with zipfile.ZipFile(folder / "stock.xlsx", "w") as packed:
            for name, each in data.items():
                packed.writestr(name, spoilt if name == "docProps/custom.xml" else each)
        assert mark_on(folder / "stock.xlsx") is None


def parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def test_rows_taken_out_of_the_ledger_are_no_all_well(folder: Path) -> None:
    with sqlite3.connect(folder / LEDGER) as run:
        triggers = run.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _ in triggers:
            run.execute(f"DROP TRIGGER {name}")
        run.execute("DELETE FROM movements WHERE id = 3")
        run.execute("DELETE FROM balances")
        run.execute(
            "INSERT INTO balances SELECT part, bin, unit, per, sum(amount) FROM movements GROUP BY 1, 2, 3, 4"
        )
        for _, sql in triggers:
            run.execute(sql)
    answer = call("ledger", "--in", folder, "--check")
    assert answer.exit_code == 1
    assert "rows were taken out" in " ".join(answer.stdout.split())
    assert "ledger-broken" in refused("close", folder, "--week", W50, "--replace")
