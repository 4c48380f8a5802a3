"""What `check` answers over all weeks that count, what it says of a no, and what a hold keeps back."""

import json
import multiprocessing
import threading
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from books import workbook
from closing_shop import FRAME, all_done
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger

MON, TUE, WED = date(2026, 11, 30), date(2026, 12, 1), date(2026, 12, 2)
NEXT_WED = date(2026, 12, 9)
HEADINGS = ("job", "date", "frame", "from", "to", "chairs", "priority")
SIZES = ("--frame", "ZB-1", "--from", "10 in", "--to", "11 in")


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


def shop(folder: Path, jobs=(), clips: int = 6, lead_time: int | None = None) -> Path:
    """A shop in which only clips are scarce: every job takes four of them a chair, but J-0 takes nothing."""
    (folder / "frames").mkdir(parents=True)
    (folder / "frames" / "ZB-1.toml").write_text(FRAME, "utf-8")
    nothing = ("J-0", MON, "ZB-1", "11 in", "11 in")
    rows = [(*job, *(None,) * (len(HEADINGS) - len(job))) for job in (nothing, *jobs)]
    workbook(folder / "jobs.xlsx", Jobs=[HEADINGS, *rows])
    stock = [
        ("part", "on hand", "unit", "lead time days"),
        ("CLIP", clips, "each", lead_time),
        ("GLUE", 25, "mL", None),
        ("PAN-14", 90, "each", None),
        ("PAN-10", 90, "each", None),
    ]
    workbook(folder / "stock.xlsx", Stock=stock)
    return folder


def planned(number: str, day: date, *more: object) -> tuple:
    return (number, day, "ZB-1", "10 in", "11 in", *more)


def call(*words: object, today: str = "2026-11-27"):
    return CliRunner().invoke(app, [*(str(word) for word in words), "--today", today])


def said(*words: object, status: int = 0, today: str = "2026-11-27") -> str:
    answer = call(*words, today=today)
    assert answer.exit_code == status, answer.output
    return " ".join(answer.stdout.split())


def refused(*words: object) -> str:
    answer = call(*words)
    assert answer.exit_code == 2, answer.output
    return " ".join(answer.stderr.split())


def held_now(folder: Path) -> list[str]:
    with open_ledger(folder / "stock-ledger.sqlite") as ledger:
        return [hold.row.job for hold in ledger.holds() if hold.stands]


# --- over all weeks -----------------------------------------------------------------------------------


def test_check_for_next_wednesday_sees_that_this_week_takes_those_very_bolts(tmp_path):
    # Of 6 clips Monday's job takes 4; the 2 that are left are no kit of 4.
    folder = shop(tmp_path / "shop", [planned("J-1", MON)])
    text = said("check", *SIZES, "--date", NEXT_WED, "--in", folder, status=1)
    assert text.startswith("No: the kit for this job is not complete on Wed 2026-12-09.")
    assert "2 each CLIP" in text
    assert "on hand 6 taken Mon 2026-11-30 by J-1 (priority 3) 4" in text


def test_a_week_planned_on_friday_before_this_weeks_closing_sees_this_weeks_needs(tmp_path):
    # Nobody has closed this week: its job still takes 4 of 6 clips, so Wednesday's kit of 4 lacks 2.
    folder = shop(tmp_path / "shop", [planned("J-1", MON), planned("J-2", NEXT_WED)])
    answer = call("week", folder, "--week", "2026-W50", "--json", today="2026-12-04")
    found = json.loads(answer.stdout)
    (job,) = found["jobs"]
    assert (job["job"], job["kit"]) == ("J-2", "short")
    assert [(each["part"], each["quantity"]) for each in job["missing"]] == [("CLIP", 2)]


def test_a_job_planned_for_a_later_week_takes_before_one_that_only_asks(tmp_path):
    folder = shop(tmp_path / "shop", [planned("J-1", NEXT_WED)])
    assert said("check", *SIZES, "--date", MON, "--in", folder, status=1).startswith("No")


def test_what_can_still_be_ordered_is_told_with_its_day(tmp_path):
    # 4 of 6 are taken on Monday. With 3 working days, what lacks on Wed 9 Dec is ordered by Fri 4 Dec.
    folder = shop(tmp_path / "shop", [planned("J-1", MON)], lead_time=3)
    asked = ("check", *SIZES, "--in", folder, "--date")
    assert said(*asked, NEXT_WED, status=1).startswith("Yes, if 2 CLIP are ordered by Fri 2026-12-04.")
    found = json.loads(call(*asked, NEXT_WED, "--json").stdout)
    (lack,) = found["missing"]
    assert (found["answer"], lack["order_by"], lack["on_hand"]) == ("yes if", "2026-12-04", 6)
    taker = lack["taken"][0]
    assert (taker["job"], taker["date"], taker["quantity"]) == ("J-1", "2026-11-30", 4)
    # For Tuesday it comes too late: ordered on Fri 27 Nov it is there for Wed 2 Dec, and so can the job be.
    text = said(*asked, TUE, status=1)
    assert "It could be done from Wed 2026-12-02." in text
    assert "ordered today, it is there for Wed 2026-12-02" in text


def test_a_day_in_the_past_is_answered_as_such(tmp_path):
    # Thu 26 Nov lies in the week that holds today and is not closed: the job is still to do.
    folder = shop(tmp_path / "shop", [planned("J-1", date(2026, 11, 26))])
    text = said("check", "J-1", "--in", folder)
    assert text.startswith("Thu 2026-11-26 has passed: J-1 is judged for Fri 2026-11-27. Yes: the kit")
    text = said("check", *SIZES, "--date", "2026-11-25", "--in", folder, status=1)
    assert text.startswith("Wed 2026-11-25 has passed: this job is judged for Fri 2026-11-27. No: the kit")


def test_a_job_of_long_ago_is_taken_as_done_and_one_far_ahead_is_judged_in_its_week(tmp_path):
    rows = [planned("J-1", date(2026, 10, 7)), planned("J-2", date(2027, 6, 2)), planned("J-3", MON)]
    folder = shop(tmp_path / "shop", rows)
    assert said("check", "J-1", "--in", folder).startswith("J-1 is taken as done: its day, Wed 2026-10-07")
    assert said("check", "J-2", "--in", folder, status=1).startswith("No: the kit for J-2")
    assert "by J-3 (priority 3) 4" in said("check", "J-2", "--in", folder, status=1)


def test_a_done_job_says_with_which_closing(tmp_path):
    folder = shop(tmp_path / "shop", [planned("J-1", MON), planned("J-2", NEXT_WED)])
    call("week", folder, "--week", "2026-W49", "--force")
    all_done(folder / "reports" / "returns-2026-W49.xlsx")
    assert call("close", folder, "--week", "2026-W49", "--replace").exit_code == 0
    text = said("check", "J-1", "--in", folder)
    assert text == "Done already: J-1 was booked as done with the closing of 2026-W49."
    assert said("why", "J-1", "--in", folder) == text
    assert json.loads(call("check", "J-1", "--in", folder, "--json").stdout)["answer"] == "done"


# --- as if the row said otherwise ---------------------------------------------------------------------


def test_fifty_chairs_are_asked_about_not_one(tmp_path):
    # One chair takes 4 of 6 clips; 50 take 200, so 194 lack.
    folder = shop(tmp_path / "shop", [planned("J-4101", MON)])
    assert said("check", "J-4101", "--in", folder).startswith("Yes: the kit for J-4101 is on the shelf")
    text = said("check", "J-4101", "--chairs", "50", "--in", folder, status=1)
    assert text.startswith("As if J-4101 said chairs 50, not 1; nothing is changed. No: the kit for J-4101")
    assert "194 each CLIP" in text


@pytest.mark.parametrize(
    ("option", "value", "told"),
    [
        ("--to", "12 in", "to 12 in, not 11 in"),
        ("--from", "10 1/2 in", "from 10 1/2 in, not 10 in"),
        ("--date", "2026-12-09", "date 2026-12-09, not 2026-11-30"),
        ("--priority", "1", "priority 1, not 3"),
        ("--adjustment", "back height", "adjustment back height, not none"),
        ("--options", "tray", "options tray, not none"),
    ],
)
def test_each_option_beside_a_number_is_said_in_the_first_line(tmp_path, option, value, told):
    folder = shop(tmp_path / "shop", [planned("J-1", MON)])
    assert said("check", "J-1", option, value, "--in", folder).startswith(f"As if J-1 said {told}; nothing")


def test_a_planned_job_moved_does_not_stand_in_its_own_way(tmp_path):
    folder = shop(tmp_path / "shop", [planned("J-1", MON)])
    assert "Yes: the kit for J-1 is on the shelf for Wed 2026-12-09." in said(
        "check", "J-1", "--date", NEXT_WED, "--in", folder
    )


def test_as_if_a_side_was_said_that_the_frame_has_not_is_refused(tmp_path):
    folder = shop(tmp_path / "shop", [planned("J-1", MON)])
    assert "single stack" in refused("check", "J-1", "--side", "left", "--in", folder)


# --- holds --------------------------------------------------------------------------------------------


def test_two_holds_are_not_promised_the_same_last_bolts(tmp_path):
    folder = shop(tmp_path / "shop", clips=4)
    asked = (*SIZES, "--date", WED, "--in", folder, "--hold")
    said("check", "J-200", *asked)
    text = said("check", "J-201", *asked, status=1)
    assert "Not held: the kit is not there on that day." in text
    assert "taken Wed 2026-12-02 by J-200 (priority 3, held) 4" in text
    assert held_now(folder) == ["J-200"]


def test_a_hold_counts_in_the_week_and_is_listed(tmp_path):
    folder = shop(tmp_path / "shop")
    said("check", "J-200", *SIZES, "--date", NEXT_WED, "--in", folder, "--hold", "--who", "Ada")
    text = said("week", folder, "--week", "2026-W50")
    assert "Held: J-200, Wed 2026-12-09 (complete)." in text
    text = said("ledger", "--in", folder)
    assert "J-200 for Wed 2026-12-09, held on" in text
    assert "by Ada" in text


def test_a_released_hold_gives_its_parts_back(tmp_path):
    folder = shop(tmp_path / "shop", clips=4)
    asked = (*SIZES, "--date", WED, "--in", folder)
    said("check", "J-200", *asked, "--hold")
    assert said("check", "J-201", *asked, status=1).startswith("No")
    assert said("ledger", "--release", "J-200", "--in", folder, "--who", "Bo").startswith("Released: J-200")
    assert said("check", "J-201", *asked).startswith("Yes")
    assert "released on" in said("ledger", "--in", folder)
    assert "No job J-200 is held." in refused("ledger", "--release", "J-200", "--in", folder)


def test_a_row_of_its_number_overtakes_a_hold(tmp_path):
    # The row says Wednesday of the next week; the hold's own Wednesday is free again.
    folder = shop(tmp_path / "shop", clips=4)
    said("check", "J-200", *SIZES, "--date", WED, "--in", folder, "--hold")
    add_row(folder, planned("J-200", NEXT_WED))
    assert "on the shelf for Wed 2026-12-09" in said("check", "J-200", "--in", folder)
    assert held_now(folder) == ["J-200"], "a run that only plans writes nothing"
    assert "No" in said("check", "J-201", *SIZES, "--date", WED, "--in", folder, "--hold", status=1)
    call("week", folder, "--week", "2026-W50", "--force")
    all_done(folder / "reports" / "returns-2026-W50.xlsx")
    assert call("close", folder, "--week", "2026-W50", "--replace").exit_code == 0
    assert held_now(folder) == []
    assert "overtaken by jobs.xlsx!Jobs!A3" in said("ledger", "--in", folder)


def add_row(folder: Path, row: tuple) -> None:
    book = openpyxl.load_workbook(folder / "jobs.xlsx")
    book["Jobs"].append(row)
    book.save(folder / "jobs.xlsx")


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("J-1",), "on the jobs sheet already"),
        (("J-1", "--chairs", "1"), "on the jobs sheet already"),
        ((*SIZES, "--date", "2026-12-02"), "Give the job a number"),
    ],
)
def test_what_cannot_be_held_is_refused_in_words(tmp_path, words, why):
    folder = shop(tmp_path / "shop", [planned("J-1", MON)], clips=40)
    assert why in refused("check", *words, "--hold", "--in", folder)
    assert not (folder / "stock-ledger.sqlite").exists()


def test_a_job_is_held_once(tmp_path):
    folder = shop(tmp_path / "shop", clips=40)
    asked = ("check", "J-200", *SIZES, "--date", WED, "--in", folder, "--hold")
    said(*asked)
    assert "J-200 is held already" in refused(*asked)


def test_a_hold_for_a_day_that_does_not_count_is_named(tmp_path):
    folder = shop(tmp_path / "shop", [planned("J-1", date(2027, 3, 1))], clips=40)
    said("check", "J-200", *SIZES, "--date", WED, "--in", folder, "--hold")
    found = json.loads(call("week", folder, "--week", "2027-W09", "--json", today="2027-02-26").stdout)
    assert "hold-not-counted" in [each["code"] for each in found["problems"]]


def test_where_stock_is_a_folder_of_csv_files_a_job_is_held_all_the_same(tmp_path):
    folder = shop(tmp_path / "shop")
    (folder / "stock.xlsx").unlink()
    (folder / "stock").mkdir()
    rows = "part,on hand,unit\nCLIP,4,each\nGLUE,25,mL\nPAN-14,9,each\nPAN-10,9,each\n"
    (folder / "stock" / "Stock.csv").write_text(rows, "utf-8")
    asked = (*SIZES, "--date", WED, "--in", folder)
    assert "Held: J-200" in said("check", "J-200", *asked, "--hold")
    assert said("check", "J-201", *asked, status=1).startswith("No")


def test_where_the_ledger_cannot_be_made_that_is_said_and_nothing_is_held(tmp_path):
    folder = shop(tmp_path / "shop")
    (folder / "stock-ledger.sqlite").mkdir()
    answer = call("check", "J-200", *SIZES, "--date", WED, "--in", folder, "--hold")
    assert answer.exit_code == 2
    assert "stock-ledger.sqlite" in answer.stderr


# --- into the jobs workbook ---------------------------------------------------------------------------


def test_a_held_job_is_written_into_the_jobs_workbook_only_when_asked(tmp_path):
    folder = shop(tmp_path / "shop", [planned("J-1", MON)], clips=40)
    before = (folder / "jobs.xlsx").read_bytes()
    asked = (*SIZES, "--date", WED, "--in", folder, "--hold")
    said("check", "J-200", *asked)
    assert (folder / "jobs.xlsx").read_bytes() == before
    text = said("check", "J-201", *asked, "--into-jobs")
    assert "J-201 has a row in the jobs workbook now" in text
    assert (folder / "jobs-before-J-201.xlsx").read_bytes() == before
    rows = list(openpyxl.load_workbook(folder / "jobs.xlsx")["Jobs"].iter_rows(values_only=True))
    assert [row[0] for row in rows[1:]] == ["J-0", "J-1", "J-201"]
    assert held_now(folder) == ["J-200"]
    assert "overtaken by jobs.xlsx!Jobs!A4" in said("ledger", "--in", folder)


def test_a_job_that_is_held_already_gets_its_row_later(tmp_path):
    folder = shop(tmp_path / "shop", clips=4)
    said("check", "J-200", *SIZES, "--date", WED, "--in", folder, "--hold")
    said("check", "J-200", "--in", folder, "--hold", "--into-jobs")
    assert held_now(folder) == []
    assert said("check", "J-200", "--in", folder).startswith("Yes: the kit for J-200 is on the shelf for Wed")


def test_nothing_is_held_where_the_jobs_workbook_is_open_elsewhere(tmp_path):
    folder = shop(tmp_path / "shop", clips=4)
    (folder / "~$jobs.xlsx").write_bytes(b"")
    told = refused("check", "J-200", *SIZES, "--date", WED, "--in", folder, "--hold", "--into-jobs")
    assert "workbook-open" in told
    assert held_now(folder) == []


def test_what_is_refused_once_the_row_is_there_says_that_it_is_there(tmp_path, monkeypatch):
    from reconcile.values.problem import Place, Unusable, problem
    from reconcile.work.entries import holding

    def busy(*_words):
        raise Unusable(problem("ledger-busy", Place("stock-ledger.sqlite"), "Another run is writing."))

    folder = shop(tmp_path / "shop", clips=4)
    said("check", "J-200", *SIZES, "--date", WED, "--in", folder, "--hold")
    monkeypatch.setattr(holding, "end_overtaken", busy)
    told = refused("check", "J-200", "--in", folder, "--hold", "--into-jobs")
    assert "ledger-busy" in told
    assert "The row of J-200 is in jobs.xlsx, and counts." in told
    assert held_now(folder) == ["J-200"]


def test_a_row_is_not_written_over_a_jobs_workbook_that_somebody_saved_meanwhile(tmp_path, monkeypatch):
    from reconcile.work.entries import holding

    folder = shop(tmp_path / "shop", clips=4)
    said("check", "J-200", *SIZES, "--date", WED, "--in", folder, "--hold")
    jobs, read = folder / "jobs.xlsx", holding.jobs_as_read

    def saved_meanwhile(*words):
        book = openpyxl.load_workbook(jobs)
        book["Jobs"].cell(1, 20).value = "somebody's"
        book.save(jobs)
        return read(*words)

    monkeypatch.setattr(holding, "jobs_as_read", saved_meanwhile)
    told = refused("check", "J-200", "--in", folder, "--hold", "--into-jobs")
    assert "jobs-changed-meanwhile" in told
    page = openpyxl.load_workbook(jobs)["Jobs"]
    assert page.cell(1, 20).value == "somebody's"
    assert "J-200" not in [row[0].value for row in page.iter_rows()]
    assert held_now(folder) == ["J-200"]


# --- at the same moment -------------------------------------------------------------------------------


def ask_to_hold(folder: str, number: str, cache: str, ready, results) -> None:
    import os

    os.environ["RECONCILE_CACHE"] = cache
    from reconcile.work.entries import holding

    ask_first = holding.ask_of_book

    def together(*words):
        """Both have their answer before either goes on to hold."""
        answer = ask_first(*words)
        holding.ask_of_book = ask_first
        ready.wait(60)
        return answer

    holding.ask_of_book = together
    answer = call("check", number, *SIZES, "--date", WED, "--in", folder, "--hold")
    results.put((number, answer.exit_code, " ".join(answer.output.split())))


def test_of_two_who_hold_the_last_bolts_at_the_same_moment_one_wins_and_the_other_is_told(tmp_path):
    folder = shop(tmp_path / "shop", clips=4)
    several = multiprocessing.get_context("spawn")
    ready, results = several.Barrier(2), several.Queue()
    people = [
        several.Process(
            target=ask_to_hold, args=(str(folder), number, str(tmp_path / number), ready, results)
        )
        for number in ("J-200", "J-201")
    ]
    for person in people:
        person.start()
    told = sorted((results.get(timeout=120) for _ in people), key=lambda each: each[1])
    for person in people:
        person.join()
    (winner, won, happy), (_, lost, sorry) = told
    assert (won, lost) == (0, 1)
    assert f"Held: {winner}" in happy
    assert "somebody else has held or booked meanwhile" in sorry
    assert f"by {winner} (priority 3, held) 4" in sorry
    assert held_now(folder) == [winner]


def test_threads_that_hold_at_once_hold_no_more_than_there_is(tmp_path):
    # 10 clips are two kits of 4.
    from reconcile.sheets.jobs.question import Question
    from reconcile.sheets.request import Request
    from reconcile.work.entries.holding import ask_and_hold

    folder, held = shop(tmp_path / "shop", clips=10), []
    request = Request(folder, today=date(2026, 11, 27))

    def one(number: int) -> None:
        question = Question("ZB-1", "10 in", "11 in", "2026-12-02", number=f"J-20{number}")
        held.append(ask_and_hold(question, request).hold)

    threads = [threading.Thread(target=one, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(held_now(folder)) == sum(each is not None for each in held) == 2


# --- why a part -----------------------------------------------------------------------------------------


def test_why_a_part_names_jobs_of_all_weeks_that_count(tmp_path):
    folder = shop(tmp_path / "shop", [planned("J-1", MON), planned("J-2", NEXT_WED)])
    text = said("why", "CLIP", "--in", folder)
    assert "Mon 2026-11-30: out 4 (J-1 4)" in text
    assert "After the period Wed 2026-12-09: out 4 (J-2 4); left" in text


def test_why_a_short_job_says_what_its_kit_lacks_and_who_takes_it(tmp_path):
    folder = shop(tmp_path / "shop", [planned("J-1", MON), planned("J-2", NEXT_WED)])
    text = said("why", "J-2", "--in", folder)
    assert "2 each CLIP" in text
    assert "taken Mon 2026-11-30 by J-1 (priority 3) 4" in text
