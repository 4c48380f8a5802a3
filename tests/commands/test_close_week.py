"""A week is closed: its returns go into the stock workbook and the ledger, once, or not at all."""

import os
import shlex
from datetime import date, datetime, timedelta
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from books import workbook
from closing_shop import WEEKS, add, all_done, call, fill, fine, on_hand, refused, returns_of, shop

from reconcile.ledger.book import ledger_path, open_ledger
from reconcile.ledger.files import digest
from reconcile.sheets.finding import located
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable
from reconcile.work.booking import open_desk, refuse_old
from reconcile.work.entries.closing import book_closing, prepare_closing
from reconcile.work.workshop.demo import copy_demo

W49 = WEEKS[0]
LEDGER = "stock-ledger.sqlite"


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shop(tmp_path / "shop")


def balances(folder: Path) -> dict:
    with open_ledger(folder / LEDGER) as ledger:
        return dict(ledger.balances())


def rows(path: Path, sheet: str) -> list[tuple]:
    return list(openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True))


def files(folder: Path) -> dict[str, bytes]:
    return {str(each.relative_to(folder)): each.read_bytes() for each in folder.rglob("*") if each.is_file()}


# --- four weeks -------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_four_weeks_in_sequence_end_at_the_plain_sum_of_their_movements(folder: Path) -> None:
    opening = on_hand(folder / "stock.xlsx")
    for week in WEEKS:
        all_done(returns_of(folder, week))
        fine("close", folder, "--week", week, "--replace")
        fine("ledger", "--in", folder, "--check")
        assert (folder / "stock-kept" / f"stock-before-{week}.xlsx").exists()
    total = dict(opening)
    with open_ledger(folder / LEDGER) as ledger:
        for part in ("CLIP", "GLUE", "PAN-10", "PAN-14"):
            for each in ledger.card(part):
                move = each.movement
                if move.kind != "opening":
                    total[part, move.bin] += move.quantity
        assert ledger.audit() == []
    assert on_hand(folder / "stock.xlsx") == total
    # Worked by hand: eight jobs, each 4 clips, 0.1 mL of glue, a new panel on, the old one off.
    assert total["CLIP", "A1"] + total["CLIP", "A2"] == 70 - 8 * 4
    assert total["CLIP", "A1"] == 2, "what is allocated stays while the other bin has some"
    assert total["GLUE", "B1"] == 25 - Fraction(8, 10)
    assert total["PAN-14", "C1"] == 9 - 8
    assert total["PAN-10", "C2"] == 1 + 8
    assert total["TIE", "D1"] == 300


def readme_steps(week: str) -> list[list[str]]:
    """The README's commands for a week, by its words."""
    text = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    block = text.partition("<!-- command: close a week -->\n```sh\n")[2].partition("\n```")[0]
    lines = [line for line in block.splitlines() if line.startswith("reconcile ")]
    return [shlex.split(line.removeprefix("reconcile ").replace(W49, week)) for line in lines]


@pytest.mark.slow
def test_four_weeks_of_the_demo_by_the_words_of_the_readme(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Weeks 51 and 52 have the jobs of 49 and 50 again, under other numbers."""
    monkeypatch.chdir(tmp_path)
    copy_demo(tmp_path / "demo-workshop", force=False)
    shop = tmp_path / "demo-workshop"
    book = openpyxl.load_workbook(shop / "jobs.xlsx")
    page = book["Jobs"]
    for row in list(page.iter_rows(min_row=4, values_only=True)):
        if isinstance(row[1], datetime):
            page.append((f"{row[0]}-again", row[1] + timedelta(days=14), *row[2:]))
    book.save(shop / "jobs.xlsx")
    opening = on_hand(shop / "stock.xlsx")
    for week in WEEKS:
        plan, close, check = readme_steps(week)
        fine(*plan)
        path = shop / "reports" / f"returns-{week}.xlsx"
        fill(path, "Done", lambda row: {"done": "yes"} if row["kit"] == "complete" else {})
        fill(
            path,
            "Deliveries",
            lambda row, week=week: {"received": row["on order"]} if f"{row['due']:%G-W%V}" == week else {},
        )
        fine(*close)
        assert "says what opening and movements come to" in fine(*check)
    with open_ledger(shop / LEDGER) as ledger:
        cards = {part: ledger.card(part) for part in ledger.parts()}
    total = dict(opening)
    for part, card in cards.items():
        for each in card:
            if each.movement.kind != "opening" and each.closing in WEEKS:
                total[part, each.movement.bin] += each.movement.quantity
    assert on_hand(shop / "stock.xlsx") == total
    assert sum(len(card) for card in cards.values()) > 500


def test_the_sheets_of_the_new_workbook(folder: Path) -> None:
    path = all_done(returns_of(folder, W49))
    fill(path, "Deliveries", lambda row: {"received": 20} if row["order"] == "PO-1" else {"received": 50})
    fine("close", folder, "--week", W49)
    new = folder / f"stock-after-{W49}.xlsx"
    stock = rows(new, "Stock")
    assert [row[2] for row in stock[1:]] == [30 + 20 - 8, "24.8 mL", 40, 7, 3, 3.5]
    assert [row[3] for row in stock] == [row[3] for row in rows(folder / "stock.xlsx", "Stock")]
    assert rows(new, "On order")[1:] == [(None,) * 4, ("PO-2", "TIE", 1.5, datetime(2026, 12, 9))]
    usage = {(row[1], row[3]): row[2] for row in rows(new, "Usage")[2:]}
    assert usage == {
        ("PAN-14", "J-100"): 1, ("CLIP", "J-100"): 4, ("GLUE", "J-100"): 0.1,
        ("PAN-14", "J-101"): 1, ("CLIP", "J-101"): 4, ("GLUE", "J-101"): 0.1,
    }  # fmt: skip
    assert on_hand(new) == balances(folder)


def test_figures_filled_in_are_booked_each_with_its_cell(folder: Path) -> None:
    path = all_done(returns_of(folder, W49))

    def told(row):
        if row["job"] != "J-100":
            return None
        return {
            "CLIP": {"used": 3, "returned": 1, "scrapped": 2, "reason": "two bent"},
            "PAN-10": {"scrapped": 1, "reason": "cracked"},
        }.get(row["part"])

    fill(path, "Lines", told)
    fine("close", folder, "--week", W49, "--who", "Clerk")
    with open_ledger(folder / LEDGER) as ledger:
        found = [each.movement for each in ledger.movements_of(W49) if each.movement.job == "J-100"]
    flat = [(each.part, each.kind, each.quantity, each.bin, each.source.cell[0]) for each in found]
    assert flat == [
        ("PAN-10", "scrapped", 0, "C2", "J"),
        ("PAN-14", "issued", -1, "C1", "G"),
        ("CLIP", "issued", -4, "A1", "H"),
        ("CLIP", "returned", 1, "A1", "I"),
        ("CLIP", "scrapped", -2, "A1", "J"),
        ("GLUE", "issued", Fraction(-1, 10), "B1", "G"),
    ]
    assert {each.who for each in found} == {"Clerk"}
    card = " ".join(fine("ledger", "CLIP", "--in", folder).split())
    assert "two bent" in card
    assert f"returns-{W49}.xlsx!Lines!J" in card
    assert balances(folder)["PAN-10", "C2"] == 1 + 1


def test_only_jobs_that_are_done_count_as_planned(folder: Path) -> None:
    path = returns_of(folder, W49)
    fill(path, "Done", lambda row: {"done": "yes"} if row["job"] == "J-101" else {})
    answer = call("close", folder, "--week", W49)
    assert "returns-job-open" in answer.stderr
    assert "Not marked as done: J-100." in " ".join(answer.stderr.split())
    assert balances(folder)["PAN-14", "C1"] == 8


def test_a_part_that_was_not_planned_is_added_by_hand(folder: Path) -> None:
    path = all_done(returns_of(folder, W49))
    add(path, "Lines", job="J-100", do="fit", part="TIE", used=5, bin="D1", reason="cables loose")
    answer = call("close", folder, "--week", W49)
    assert answer.exit_code == 0, answer.output
    assert balances(folder)["TIE", "D1"] == 295
    assert rows(folder / f"stock-after-{W49}.xlsx", "Stock")[6][2] == 2.95


def test_packs_that_are_no_decimal_are_written_in_pieces(folder: Path) -> None:
    book = openpyxl.load_workbook(folder / "stock.xlsx")
    book["Stock"]["F7"] = 12
    book.save(folder / "stock.xlsx")
    path = all_done(returns_of(folder, W49))
    add(path, "Lines", job="J-100", do="fit", part="TIE", used=5, reason="cables loose")
    answer = call("close", folder, "--week", W49)
    assert "31 each of TIE is no exact number of packs of 12." in " ".join(answer.stderr.split())
    assert rows(folder / f"stock-after-{W49}.xlsx", "Stock")[6][2] == "31 each"
    assert on_hand(folder / f"stock-after-{W49}.xlsx")["TIE", "D1"] == 31


def test_more_used_than_there_is_leaves_the_first_bin_below_nothing(folder: Path) -> None:
    path = all_done(returns_of(folder, W49))
    used = {"used": 12, "reason": "eleven came cracked"}
    fill(path, "Lines", lambda row: used if row["part"] == "PAN-14" and row["job"] == "J-101" else {})
    answer = call("close", folder, "--week", W49)
    assert "bin-below-nothing" in answer.stderr
    assert balances(folder)["PAN-14", "C1"] == 9 - 1 - 12


# --- refused, with nothing written ------------------------------------------------------------------------

CLIP = {"job": "J-100", "do": "fit", "part": "CLIP"}
OFF = {"job": "J-100", "do": "remove", "part": "CLIP"}
PO = {"order": "PO-9", "part": "CLIP", "received": 1}
NEW_JOB = {"week": W49, "job": "J-7", "planned_day": date(2026, 12, 1)}


@pytest.mark.slow
@pytest.mark.parametrize(
    ("sheet", "values", "code"),
    [
        ("Lines", {"job": "J-100", "do": "fit", "part": "NUT-9", "used": 1}, "movement-part-unknown"),
        ("Lines", {**CLIP, "used": 1, "bin": "Z9"}, "movement-bin-unknown"),
        ("Lines", {"job": "J-999", "do": "fit", "part": "CLIP", "used": 1}, "returns-line-unclear"),
        ("Lines", {**CLIP, "returned": 1}, "returns-line-unclear"),
        ("Lines", {**OFF, "used": 1}, "returns-line-unclear"),
        ("Lines", {**OFF, "scrapped": 1}, "returns-line-unclear"),
        ("Lines", {"job": "J-100", "do": "lost", "part": "CLIP", "used": 1}, "number-unreadable"),
        ("Lines", {**CLIP, "used": "some"}, "number-unreadable"),
        ("Lines", {**CLIP, "used": -1}, "number-negative"),
        ("Lines", {**CLIP, "used": "0.00000000000000001", "reason": "a crumb"}, "movement-too-fine"),
        ("Deliveries", {**PO, "due": date(2026, 12, 1)}, "order-not-listed"),
        ("Deliveries", PO, "cell-blank"),
        ("Done", {**NEW_JOB, "week": "2026-W50"}, "returns-other-week"),
        ("Done", {**NEW_JOB, "done": "soon"}, "number-unreadable"),
    ],
)  # fmt: skip
def test_what_cannot_be_told_is_refused_whole(folder: Path, sheet: str, values: dict, code: str) -> None:
    path = add(all_done(returns_of(folder, W49)), sheet, **values)
    before = files(folder)
    assert f"error {code} at {path.name}!{sheet}!" in refused("close", folder, "--week", W49)
    assert {name: data for name, data in files(folder).items() if name != LEDGER} == before
    assert not (folder / LEDGER).exists() or balances(folder) == {}


@pytest.mark.slow
def test_a_week_of_which_nothing_is_told_is_refused(folder: Path) -> None:
    returns_of(folder, W49)
    assert "closing-nothing" in refused("close", folder, "--week", W49)


@pytest.mark.slow
def test_closing_twice_is_refused_with_what_to_do(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    before = files(folder)
    said = refused("close", folder, "--week", W49, "--replace")
    assert "week-closed" in said
    assert "write it back with ledger --undo" in said
    assert files(folder) == before


@pytest.mark.slow
def test_a_job_is_not_booked_in_two_weeks(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    path = returns_of(folder, WEEKS[1])
    add(path, "Done", week=WEEKS[1], job="J-100", planned_day=date(2026, 12, 7), done="yes")
    assert "J-100 was booked as done with 2026-W49." in refused("close", folder, "--week", WEEKS[1])


@pytest.mark.slow
@pytest.mark.parametrize("lock", ["~$stock.xlsx", ".~lock.stock.xlsx#"])
def test_a_workbook_that_is_open_elsewhere_is_left_alone(folder: Path, lock: str) -> None:
    all_done(returns_of(folder, W49))
    (folder / lock).write_bytes(b"")
    before = files(folder)
    assert f"error workbook-open at {lock}" in refused("close", folder, "--week", W49, "--replace")
    assert files(folder) == before


@pytest.mark.slow
def test_a_returns_workbook_that_is_open_elsewhere_is_not_read(folder: Path) -> None:
    path = all_done(returns_of(folder, W49))
    path.with_name(f"~${path.name}").write_bytes(b"")
    assert "workbook-open" in refused("close", folder, "--week", W49)


@pytest.mark.slow
def test_stock_that_is_no_xlsx_is_refused(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    (folder / "csv").mkdir()
    (folder / "csv" / "Stock.csv").write_text("part,on hand,unit\nCLIP,4,each\n", "utf-8")
    assert "stock-not-closable" in refused("close", folder, "--week", W49, "--stock", folder / "csv")


@pytest.mark.slow
def test_a_formula_on_hand_is_named_before_anything_is_written(folder: Path) -> None:
    from books import altered

    all_done(returns_of(folder, W49))
    old = b'<c r="C2" t="n"><v>30</v></c>'
    path = altered(folder / "stock.xlsx", lambda xml: xml.replace(old, b'<c r="C2"><f>25+5</f><v>30</v></c>'))
    before = path.read_bytes()
    said = refused("close", folder, "--week", W49, "--replace")
    assert "error cell-is-formula at stock.xlsx!Stock!C2" in said
    assert path.read_bytes() == before
    assert not (folder / LEDGER).exists()


@pytest.mark.slow
def test_without_a_sheet_of_usage_the_ledger_alone_has_it(folder: Path) -> None:
    book = openpyxl.load_workbook(folder / "stock.xlsx")
    del book["Usage"]
    book.save(folder / "stock.xlsx")
    all_done(returns_of(folder, W49))
    answer = call("close", folder, "--week", W49)
    assert answer.exit_code == 0
    assert "usage-sheet-missing" in answer.stderr


# --- sheet and ledger -------------------------------------------------------------------------------------


def edited(folder: Path, cell: str, value: object) -> None:
    book = openpyxl.load_workbook(folder / "stock.xlsx")
    book["Stock"][cell] = value
    book.save(folder / "stock.xlsx")


@pytest.mark.slow
def test_a_sheet_that_somebody_edited_is_told_part_by_part_and_can_be_taken_over(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    edited(folder, "C4", 33)
    answer = call("ledger", "--in", folder, "--check")
    assert answer.exit_code == 1
    assert "The sheet has 33 each of CLIP in A2; the ledger has 40." in " ".join(answer.stdout.split())
    all_done(returns_of(folder, WEEKS[1]))
    said = refused("close", folder, "--week", WEEKS[1], "--replace")
    assert "error ledger-differs at stock.xlsx!Stock!C4" in said
    fine("close", folder, "--week", WEEKS[1], "--replace", "--take-differences")
    with open_ledger(folder / LEDGER) as ledger:
        counted = [each.movement for each in ledger.card("CLIP") if each.movement.kind == "counted"]
    assert [(each.bin, each.quantity, str(each.source)) for each in counted] == [
        ("A2", -7, "stock.xlsx!Stock!C4")
    ]
    fine("ledger", "--in", folder, "--check")


@pytest.mark.slow
def test_a_row_that_cannot_be_read_is_not_taken_for_an_empty_bin(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    edited(folder, "C4", "about 40")
    all_done(returns_of(folder, WEEKS[1]))
    said = refused("close", folder, "--week", WEEKS[1], "--replace", "--take-differences")
    assert "Mend the stock sheet first" in said


@pytest.mark.slow
def test_the_weekly_run_tells_of_a_difference(folder: Path) -> None:
    import json

    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    edited(folder, "C4", 33)
    result = json.loads(fine("week", folder, "--week", WEEKS[1], "--json"))
    assert "ledger-differs-noticed" in {each["code"] for each in result["problems"]}


@pytest.mark.slow
@pytest.mark.parametrize("more", [(), ("--replace",)], ids=["beside", "in place"])
def test_what_was_prepared_before_another_run_closed_is_told_as_changed_meanwhile(folder: Path, more) -> None:
    """Not that its sheet and the ledger differ, and that the sheet is to be corrected: it is right."""
    for week in WEEKS[:3]:
        all_done(returns_of(folder, week))
    fine("close", folder, "--week", W49, "--replace")
    prepared = prepare_closing(Request(folder, today=date(2026, 11, 27)), WEEKS[2], None, "clerk")
    fine("close", folder, "--week", WEEKS[1], *more)
    for taken in (False, True):
        with pytest.raises(Unusable) as refusal:
            book_closing(prepared, in_place=True, take_differences=taken)
        assert [each.code for each in refusal.value.problems] == ["stock-changed-meanwhile"]


@pytest.mark.slow
def test_a_report_names_the_ledger_that_it_rests_on_and_what_was_set(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    given = "look_ahead_weeks = 3\npatience = 4\nlead_time_days = 9\nexact_only = true\n"
    (folder / "reconcile.toml").write_text(given, "utf-8")
    call("week", folder, "--week", WEEKS[1], "--force")
    report = folder / "reports" / f"report-{WEEKS[1]}.xlsx"
    told = {what: answer for _, what, answer in rows(report, "About this run")}
    assert told["stock-ledger.sqlite (ledger)"] == f"SHA-256 {digest(folder / 'stock-ledger.sqlite')}"
    assert told["stock.xlsx (stock)"] == f"SHA-256 {digest(folder / 'stock.xlsx')}"
    assert told["weeks looked ahead"] == "3 weeks"
    assert told["patience"] == "4 seconds for the choice of kits"
    assert told["parts without a lead time"] == "9 working days from order to delivery"
    assert told["bolts of another length"] == "none is offered"
    assert told["weeks are closed"] == "yes"


@pytest.mark.slow
def test_a_workbook_that_was_not_put_in_its_place_is_told(folder: Path) -> None:
    import json

    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49)
    result = json.loads(fine("week", folder, "--week", WEEKS[1], "--json"))
    assert [each["code"] for each in result["problems"] if "stock-" in each["code"]] == ["stock-outdated"]
    all_done(returns_of(folder, WEEKS[1]))
    said = refused("close", folder, "--week", WEEKS[1])
    assert "stock-before-closing" in said
    assert f"Put stock-after-{W49}.xlsx in its place" in said
    (folder / f"stock-after-{W49}.xlsx").replace(folder / "stock.xlsx")
    fine("close", folder, "--week", WEEKS[1])


@pytest.mark.slow
def test_a_workbook_read_just_before_another_run_closed_is_told_as_changed_meanwhile(folder: Path) -> None:
    """Of two at once, who has read first must not be told to put a workbook in its place."""
    for week in WEEKS[:2]:
        all_done(returns_of(folder, week))
    fine("close", folder, "--week", W49, "--replace")
    desk = open_desk(located(Request(folder, today=date(2026, 11, 27))), "clerk")
    fine("close", folder, "--week", WEEKS[1], "--replace")
    with pytest.raises(Unusable) as refusal:
        refuse_old(desk)
    assert [each.code for each in refusal.value.problems] == ["stock-changed-meanwhile"]


@pytest.mark.slow
def test_another_unit_than_before_is_refused(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    edited(folder, "E5", "pair")
    all_done(returns_of(folder, WEEKS[1]))
    assert "ledger-unit" in refused("close", folder, "--week", WEEKS[1], "--replace")


# --- written back -----------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_week_written_back_leaves_sheet_and_ledger_as_they_were(folder: Path) -> None:
    before = {name: rows(folder / "stock.xlsx", name)[1:] for name in ("On order", "Usage")}
    opening = on_hand(folder / "stock.xlsx")
    path = all_done(returns_of(folder, W49))
    fill(path, "Deliveries", lambda row: {"received": 20} if row["order"] == "PO-1" else {"received": 50})
    fine("close", folder, "--week", W49, "--replace")
    fine("ledger", "--in", folder, "--undo", W49, "--replace")
    assert on_hand(folder / "stock.xlsx") == opening == balances(folder)
    for name, old in before.items():
        filled = [row for row in rows(folder / "stock.xlsx", name)[1:] if any(row)]
        assert sorted(filled, key=str) == sorted(old, key=str), name
    fine("ledger", "--in", folder, "--check")
    assert "2026-W49, written back" in fine("ledger", "--in", folder)
    assert "closing-unknown" in refused("ledger", "--in", folder, "--undo", W49)
    fine("close", folder, "--week", W49, "--replace")
    fine("ledger", "--in", folder, "--check")


@pytest.mark.slow
def test_a_week_whose_workbook_was_never_put_in_place_is_written_back_in_the_ledger(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49)
    before = (folder / "stock.xlsx").read_bytes()
    assert "stays as it is" in fine("ledger", "--in", folder, "--undo", W49)
    assert (folder / "stock.xlsx").read_bytes() == before
    fine("ledger", "--in", folder, "--check")


@pytest.mark.slow
def test_what_was_taken_over_from_the_sheet_is_not_written_back(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    assert "took over what the sheet said" in refused(
        "ledger", "--in", folder, "--undo", f"sheet before {W49}"
    )


# --- planned against used ---------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_line_that_uses_more_week_after_week_is_named_with_its_frame_key(folder: Path) -> None:
    for week in WEEKS[:2]:
        path = all_done(returns_of(folder, week))
        fill(path, "Lines", lambda row: {"used": 6, "reason": "two break"} if row["part"] == "CLIP" else {})
        answer = fine("close", folder, "--week", week, "--replace")
        assert ("adjustment[1].disturbed[1]" in answer) == (week == WEEKS[1])
    told = " ".join(fine("ledger", "--in", folder, "--used").split())
    assert "ZB-1 adjustment[1].disturbed[1] (CLIP): CLIP 2026-W49: 12 used, 8 planned" in told


# --- the weekly run and the command's own words -----------------------------------------------------------


@pytest.mark.slow
def test_a_returns_workbook_that_is_filled_in_keeps_every_cell(folder: Path) -> None:
    path = all_done(returns_of(folder, W49))
    before = rows(path, "Done"), rows(path, "Lines")
    answer = call("week", folder, "--week", W49, "--force")
    assert (rows(path, "Done"), rows(path, "Lines")) == before
    assert "what was filled in was kept" in " ".join(answer.stderr.split())


@pytest.mark.slow
def test_a_dry_run_writes_nothing(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    before = files(folder)
    assert "-4 each CLIP, A1, issued, J-100" in fine("close", folder, "--week", W49, "--dry-run")
    assert files(folder) == before


@pytest.mark.slow
def test_without_a_week_the_one_that_is_open_is_closed(folder: Path) -> None:
    for week in WEEKS[:2]:
        all_done(returns_of(folder, week))
    assert "To be closed: 2026-W49, 2026-W50." in refused("close", folder)
    fine("close", folder, "--week", W49, "--replace")
    assert "2026-W50 is booked" in fine("close", folder, "--replace")


@pytest.mark.slow
def test_a_part_without_a_card_and_a_shop_without_a_ledger(folder: Path) -> None:
    assert "There is no ledger yet" in refused("ledger", "CLIP", "--in", folder)
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49)
    assert "Nearest: CLIP" in refused("ledger", "CLIPS", "--in", folder)


@pytest.mark.slow
def test_the_card_as_json(folder: Path) -> None:
    import json

    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49)
    card = json.loads(fine("ledger", "GLUE", "--in", folder, "--json"))
    assert [(each["kind"], each["quantity"], each["left"]) for each in card["movements"]] == [
        ("opening", 25, 25), ("issued", -0.1, 24.9), ("issued", -0.1, 24.8),
    ]  # fmt: skip


@pytest.mark.slow
def test_two_rows_of_one_bin_are_one_bin(folder: Path) -> None:
    stock = [("part", "on hand", "unit"), ("CLIP", 3, "each"), ("CLIP", 20, "each"), ("GLUE", 2, "mL"),
             ("PAN-14", 5, "each"), ("PAN-10", 0, "each")]  # fmt: skip
    workbook(folder / "stock.xlsx", Stock=stock)
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49)
    new = folder / f"stock-after-{W49}.xlsx"
    assert [row[1] for row in rows(new, "Stock")[1:3]] == [0, 15]
    assert on_hand(new) == balances(folder)


def test_the_ledger_lies_beside_the_workbook() -> None:
    assert ledger_path(Path("shop/stock.xlsx")) == Path("shop/stock-ledger.sqlite")


# --- two at once ------------------------------------------------------------------------------------------


def started(words: list[str]) -> int:
    """The process of a command, forked from this one, which has loaded everything."""
    child = os.fork()
    if child == 0:
        status = 70
        try:
            answer = call(*words)
            status = answer.exit_code
            Path(words[1], f"said-{os.getpid()}").write_text(answer.output, "utf-8")
        finally:
            os._exit(status)
    return child


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="forks")
def test_of_two_at_once_one_wins_and_the_other_is_told(folder: Path) -> None:
    all_done(returns_of(folder, W49))
    start = files(folder)
    for _ in range(4):
        children = [started(["close", str(folder), "--week", W49, "--replace"]) for _ in range(2)]
        statuses = sorted(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) for child in children)
        said = [each.read_text("utf-8") for each in folder.glob("said-*")]
        assert statuses == [0, 2], said
        told = ("ledger-busy", "stock-changed-meanwhile", "week-closed")
        assert sum(any(code in each for code in told) for each in said) == 1, said
        assert balances(folder) == on_hand(folder / "stock.xlsx")
        assert balances(folder)["PAN-14", "C1"] == 7
        for name in files(folder):
            (folder / name).unlink()
        for name, data in start.items():
            (folder / name).write_bytes(data)


@pytest.mark.slow
def test_a_link_to_the_stock_stays_a_link(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "shared").mkdir()
    (folder / "stock.xlsx").rename(tmp_path / "shared" / "stock.xlsx")
    (folder / "stock.xlsx").symlink_to(tmp_path / "shared" / "stock.xlsx")
    all_done(returns_of(folder, W49))
    fine("close", folder, "--week", W49, "--replace")
    assert (folder / "stock.xlsx").is_symlink()
    assert (tmp_path / "shared" / LEDGER).exists()
    assert on_hand(folder / "stock.xlsx")["PAN-14", "C1"] == 7
    fine("ledger", "--in", folder, "--check")


def test_a_week_in_which_only_a_delivery_came(folder: Path) -> None:
    workbook(
        folder / "jobs.xlsx",
        Jobs=[("job", "date", "frame", "from", "to"), ("J-9", date(2027, 1, 11), "ZB-1", "10 in", "11 in")],
    )
    path = returns_of(folder, W49)
    fill(path, "Deliveries", lambda row: {"received": 20} if row["order"] == "PO-1" else {})
    fine("close", folder, "--week", W49)
    assert balances(folder)["CLIP", "A1"] == 50


@pytest.mark.slow
def test_a_remark_on_the_returns_is_told(folder: Path) -> None:
    path = add(all_done(returns_of(folder, W49)), "Lines", job="a note of nobody's")
    answer = call("close", folder, "--week", W49)
    assert "row-is-note" in answer.stderr, answer.output
    assert path.name in answer.stderr


@pytest.mark.slow
def test_a_cell_that_cannot_be_read_is_kept_and_what_is_no_workbook_is_written_anew(folder: Path) -> None:
    path = add(all_done(returns_of(folder, W49)), "Lines", **CLIP, used="some")
    fine("week", folder, "--week", W49, "--force")
    kept = openpyxl.load_workbook(path)
    assert "some" in [cell.value for row in kept["Lines"].iter_rows() for cell in row]
    assert [row[5].value for row in kept["Done"].iter_rows(min_row=2)] == ["yes", "yes"]
    path.write_bytes(b"old returns")
    fine("week", folder, "--week", W49, "--force")
    assert openpyxl.load_workbook(path).sheetnames == ["Done", "Lines", "Deliveries", "How to", "As planned"]
