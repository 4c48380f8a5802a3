"""The command as a person meets it: words, exit statuses, files left alone, and no traceback."""

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from books import altered, workbook
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.sheets import finding

FINE, SHORT, UNUSABLE, OWN_FAULT = 0, 1, 2, 70
TODAY = ("--today", "2026-11-27")
JOB_HEADINGS = ("job", "date", "frame", "from", "to", "notes")
GOOD, LACKING = "J-1", "J-2"
JOBS = (
    (GOOD, date(2026, 12, 1), "ZB-1", "10 in", "10 1/2 in", "Æsa’s chair → spare"),
    (LACKING, date(2026, 12, 2), "ZB-1", "10 in", "11 in", None),
)
STOCK_HEADINGS = ("part", "on hand", "unit", "supplier", "lead time days")
LONG_PART = "SP-050-" + "LONG-PART-NUMBER-" * 5 + "END"
STOCK = ((LONG_PART, 1, "each", "ALFA", 5),)
ASKED = ("--frame", "ZB-1", "--from", "10 in", "--to", "10 in", "--date", "2026-12-03")
"""A job of which nothing is asked: its size stays as it is."""
FRAME = f"""
code   = "ZB-1"
source = "build sheet Z"
[[adjustment]]
name = "back height"
minimum = "10 in"
maximum = "12 in"
step = "1/2 in"
sides = 1
[[adjustment.disturbed]]
part = "{LONG_PART}"
quantity = "1 each"
"""


@dataclass(frozen=True)
class Answer:
    status: int
    out: str
    err: str

    @property
    def text(self) -> str:
        return self.out + self.err


def call(*words: object, env: dict[str, str] | None = None) -> Answer:
    """The command run in this process."""
    result = CliRunner().invoke(app, [str(word) for word in words], env=env)
    return Answer(result.exit_code, result.stdout, result.stderr)


def process(*words: object, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """The command in a process of its own, its streams as bytes."""
    return subprocess.run(
        [sys.executable, "-m", "reconcile.cli", *map(str, words)],
        capture_output=True, check=False, env={**os.environ, **environment},
    )  # fmt: skip


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing that a run remembers leaves the test or comes into it."""
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    workbook(folder / "jobs.xlsx", Jobs=[JOB_HEADINGS, *JOBS])
    workbook(folder / "stock.xlsx", Stock=[STOCK_HEADINGS, *STOCK])
    (folder / "frames").mkdir()
    (folder / "frames" / "ZB-1.toml").write_text(FRAME, "utf-8")
    (folder / "reconcile.toml").write_text('currency = "EUR"\n', "utf-8")
    return folder


@pytest.fixture
def shop(made_once: Path, tmp_path: Path) -> Path:
    """A workshop of one frame: the first of its two jobs takes the one part that there is."""
    return Path(shutil.copytree(made_once, tmp_path / "shop"))


def hashes(folder: Path) -> dict[str, str]:
    """Every file below a folder with the SHA-256 of its bytes."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def refused(answer: Answer, code: str, *says: str) -> None:
    """Exit 2, the code and the words on standard error, and nothing else on standard output."""
    assert (answer.status, answer.out) == (UNUSABLE, "")
    flowing = " ".join(answer.err.split())
    assert f"error {code} at " in flowing
    assert [words for words in says if words not in flowing] == []
    assert "Traceback" not in answer.text


# --- inputs that cannot be used ---------------------------------------------------------------------


def test_a_missing_file_is_named_and_those_like_it(shop: Path) -> None:
    (shop / "jobs.xlsx").rename(shop / "jobz.xlsx")
    before = hashes(shop)
    refused(
        call("week", shop, "--jobs", shop / "jobs.xlsx"),
        "file-missing",
        "jobs.xlsx is not there",
        "jobz.xlsx",
    )
    assert hashes(shop) == before


def test_an_empty_folder_names_all_that_is_missing_at_once(tmp_path: Path) -> None:
    answer = call("week", tmp_path)
    refused(answer, "file-missing", "--jobs", "--stock", "--frames")
    assert answer.err.count("error file-missing") == 3
    assert list(tmp_path.iterdir()) == []


OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"


def protected(path: Path) -> None:
    path.write_bytes(OLE + bytes(500) + "EncryptedPackage".encode("utf-16-le"))


def cut_short(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-400])


def broken_inside(path: Path) -> None:
    altered(path, lambda content: content[: len(content) // 2])


def picture(path: Path) -> None:
    path.write_bytes(b"\x89PNG\0\0")


@pytest.mark.parametrize("name", ["jobs.xlsx", "stock.xlsx"])
@pytest.mark.parametrize(
    ("harm", "code"),
    [
        (protected, "file-protected"),
        (cut_short, "file-broken"),
        (broken_inside, "sheet-broken"),
        (picture, "file-kind"),
    ],
)
def test_a_workbook_that_cannot_be_read_is_said_to_be_so(shop: Path, name: str, harm, code: str) -> None:
    harm(shop / name)
    before = hashes(shop)
    refused(call("week", shop, *TODAY), code, name, "Nothing was written.")
    assert hashes(shop) == before


def test_a_file_of_another_kind_is_refused(shop: Path) -> None:
    letter = shop / "letter.docx"
    letter.write_bytes(b"PK\x03\x04")
    refused(call("week", shop, "--stock", letter), "file-kind", "letter.docx is none of", ".xlsx", ".csv")


def test_a_missing_sheet_lists_those_there_and_suggests_one(shop: Path) -> None:
    workbook(shop / "stock.xlsx", Stocks=[["x"]], Old=[["x"]])
    refused(call("week", shop, *TODAY), "sheet-missing", "Stocks, Old", "Rename the sheet Stocks to Stock")


def test_a_missing_column_lists_those_there_and_the_nearest(shop: Path) -> None:
    workbook(shop / "stock.xlsx", Stock=[("part", "on hnad", "unit"), ("A", 1, "each")])
    refused(
        call("week", shop, *TODAY), "heading-missing", '"on hand" is not there', '"on hnad" is near "on hand"'
    )


def test_doubled_headings_are_refused_whatever_their_case(shop: Path) -> None:
    workbook(shop / "stock.xlsx", Stock=[("part", "On  Hand", "qty on hand", "unit"), ("A", 1, 2, "each")])
    refused(call("week", shop, *TODAY), "heading-doubled", '"On Hand" and "qty on hand"')


@pytest.mark.parametrize("rows", [[], [JOB_HEADINGS]], ids=["blank", "headings alone"])
def test_an_empty_sheet_is_refused(shop: Path, rows: list) -> None:
    workbook(shop / "jobs.xlsx", Jobs=rows)
    refused(call("week", shop, *TODAY), "sheet-empty", "The sheet Jobs holds no rows.")


def test_faults_cite_file_sheet_cell_and_value_all_in_one_run(shop: Path) -> None:
    blank: tuple = ()
    workbook(
        shop / "jobs.xlsx",
        Jobs=[
            ("Refits",), blank, JOB_HEADINGS, blank, blank,
            ("J-7", "3/12/2026", "ZB-1", "10 in", "11 in"),
            ("J-8", date(2026, 12, 1), "ZB-1", "1/2/4 in", "11 in"),
            ("J-9", date(2026, 12, 1), "ZB-7", "10 in", "11 in"),
            *JOBS,
        ],
    )  # fmt: skip
    answer = call("week", shop, *TODAY, "--json")
    found = {each["where"]: each for each in json.loads(answer.out)["problems"]}
    assert {where: each["code"] for where, each in found.items()} == {
        "jobs.xlsx!Jobs!B6": "date-ambiguous",
        "jobs.xlsx!Jobs!D7": "length-unreadable",
        "jobs.xlsx!Jobs!C8": "frame-unknown",
        "reconcile.toml!workshop": "buyer-not-named",
    }
    for where, value in zip(found, ("3/12/2026", "1/2/4 in", "ZB-7", "who orders"), strict=True):
        assert value in found[where]["says"]
        assert found[where]["do"]


def test_part_numbers_stay_text(shop: Path) -> None:
    numbers = ["00417", "1E5", "NA"]
    frame = FRAME + "".join(
        f'[[adjustment.disturbed]]\npart = "{each}"\nquantity = "1 each"\n' for each in numbers
    )
    (shop / "frames" / "ZB-1.toml").write_text(frame, "utf-8")
    workbook(shop / "stock.xlsx", Stock=[STOCK_HEADINGS, *STOCK, *((each, 5, "each") for each in numbers)])
    from_xlsx = json.loads(call("week", shop, *TODAY, "--json").out)
    (shop / "stock").mkdir()
    rows = "".join(f"{each},5,each\n" for each in numbers)
    (shop / "stock" / "Stock.csv").write_text(f"part,on hand,unit\n{LONG_PART},1,each\n{rows}", "utf-8")
    from_csv = json.loads(call("week", shop, *TODAY, "--json", "--stock", shop / "stock").out)
    for week in (from_xlsx, from_csv):
        parts = {each["part"]: each["on_hand"] for each in week["parts"]}
        assert parts == {LONG_PART: 1, **dict.fromkeys(numbers, 5)}


# --- calls that cannot be used ----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--week", "2026-49"), "'2026-49' is no ISO week; write one like 2026-W49."),
        (("--week", "2026-W54"), "'2026-W54' is no ISO week"),
        (("--from", "2026-12-01"), "--from and --to go together."),
        (("--to", "2026-12-01"), "--from and --to go together."),
        (("--from", "2026-12-04", "--to", "2026-12-01"), "2026-12-01 lies before 2026-12-04."),
        (("--from", "2026-13-01", "--to", "2026-12-04"), "2026-13-01"),
        (("--week", "2026-W49", "--from", "2026-12-01", "--to", "2026-12-04"), "Give either --week or"),
        (("--today", "tomorrow"), "tomorrow"),
    ],
)
def test_a_period_that_makes_no_sense_is_refused(shop: Path, words: tuple[str, ...], says: str) -> None:
    before = hashes(shop)
    refused(call("week", shop, *words), "call-unusable", says)
    assert hashes(shop) == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("J-3",), "has no job 'J-3'. Nearest: "),
        ((), "A job is named by its number, or described by"),
        (("--frame", "ZB-1"), "--frame, --from (or --asset) and --to"),
    ],
)
def test_a_job_that_is_not_there_or_half_described_is_refused(shop: Path, words: tuple, says: str) -> None:
    refused(call("check", *words, "--in", shop, *TODAY), "call-unusable", says)


def test_every_fault_of_a_question_is_told_at_once(shop: Path) -> None:
    question = ("--frame", "ZB-1", "--from", "ten", "--to", "11", "--date", "1/2/2026", "--side", "port")
    answer = call("check", *question, "--in", shop, *TODAY)
    refused(answer, "call-unusable", "ten", "port")
    assert [
        place for place in ("--from", "--to", "--date", "--side") if f" at {place}\n" not in answer.err
    ] == []


def test_a_question_that_its_frame_cannot_answer_names_why(shop: Path) -> None:
    question = ("--frame", "ZB-1", "--from", "10 in", "--to", "14 in", "--date", "2026-12-01")
    answer = call("check", *question, "--in", shop, *TODAY)
    refused(answer, "size-outside", "14 in")


@pytest.mark.parametrize(
    "words", [("week", "--wek", "2026-W49"), ("wek",), ("demo",)], ids=["option", "command", "argument"]
)
def test_a_misspelt_call_exits_2_and_says_what_it_did_not_know(words: tuple[str, ...]) -> None:
    answer = call(*words)
    assert (answer.status, answer.out) == (UNUSABLE, "")
    assert re.search("No such|Missing argument", answer.err)


def test_unusable_input_under_json_is_one_object_with_the_problems(shop: Path) -> None:
    picture(shop / "stock.xlsx")
    answer = call("week", shop, *TODAY, "--json")
    told = json.loads(answer.out)
    assert (answer.status, [each["code"] for each in told["problems"]]) == (UNUSABLE, ["file-kind"])
    assert sorted(told["problems"][0]) == ["code", "did", "do", "says", "severity", "where"]


def test_unusable_call_under_json_is_one_object_with_the_problems(shop: Path) -> None:
    answer = call("check", "J-3", "--in", shop, *TODAY, "--json")
    assert [each["code"] for each in json.loads(answer.out)["problems"]] == ["call-unusable"]


# --- exit statuses and the verdict -------------------------------------------------------------------


def test_the_verdict_comes_first_and_the_status_follows_it(shop: Path) -> None:
    answer = call("week", shop, *TODAY)
    assert answer.status == SHORT
    assert answer.out.startswith("Not every job can be done: 1 of 2 kits complete, 1 short of parts.\n")
    enough = [(LONG_PART, 9, "each", "ALFA", 5)]
    workbook(shop / "stock.xlsx", Stock=[STOCK_HEADINGS, *enough])
    answer = call("week", shop, *TODAY, "--force")
    assert (answer.status, answer.out.splitlines()[0]) == (
        FINE,
        "Every kit is complete: 2 jobs, served from the shelf.",
    )


def test_check_says_yes_or_no_first(shop: Path) -> None:
    yes, no = (call("check", job, "--in", shop, *TODAY) for job in (GOOD, LACKING))
    assert (yes.status, yes.out.split(":")[0]) == (FINE, "Yes")
    assert (no.status, no.out.split(":")[0]) == (SHORT, "No")


def test_strict_makes_a_row_set_aside_count(shop: Path) -> None:
    workbook(shop / "jobs.xlsx", Jobs=[JOB_HEADINGS, JOBS[0], ("J-9", "soon", "ZB-1", "10 in", "11 in")])
    asked = ("week", shop, *TODAY, "--dry-run")
    assert call(*asked).status == FINE
    strict = call(*asked, "--strict")
    assert strict.status == UNUSABLE
    assert "Set aside: 1 row of jobs." in strict.out


def test_strict_with_nothing_set_aside_changes_nothing(shop: Path) -> None:
    assert call("week", shop, *TODAY, "--dry-run", "--strict").status == SHORT


def fail(*_: object, **__: object) -> None:
    raise RuntimeError("the shelf fell over")


COMMANDS = [("week", "{shop}", *TODAY), ("check", GOOD, "--in", "{shop}", *TODAY), ("demo", "{shop}/new")]


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
def test_our_own_fault_exits_70_and_says_that_it_is_ours(shop: Path, monkeypatch, command: tuple) -> None:
    monkeypatch.setattr(finding, "read_settings", fail)
    answer = call(*(word.format(shop=shop) for word in command))
    assert (answer.status, answer.out) == (OWN_FAULT, "")
    assert "error own-fault" in answer.err
    assert "RuntimeError: the shelf fell over." in answer.err
    assert "--debug" in answer.err
    assert "Traceback" not in answer.err


@pytest.mark.parametrize("command", COMMANDS, ids=lambda command: command[0])
def test_our_own_fault_shows_where_under_debug(shop: Path, monkeypatch, command: tuple) -> None:
    monkeypatch.setattr(finding, "read_settings", fail)
    answer = call(*(word.format(shop=shop) for word in command), "--debug")
    assert answer.status == OWN_FAULT
    assert answer.err.startswith("Traceback")
    assert "the shelf fell over" in answer.err


CRASH = "import reconcile.sheets.finding as it, reconcile.cli as cli; it.read_settings = None; cli.main()"


@pytest.mark.slow
@pytest.mark.parametrize(("words", "traceback"), [((), False), (("--debug",), True)])
def test_a_traceback_is_shown_under_debug_alone(shop: Path, words: tuple, traceback: bool) -> None:
    done = subprocess.run(
        [sys.executable, "-c", CRASH, "week", str(shop), *TODAY, *words],
        capture_output=True,
        check=False,
        text=True,
    )
    assert ("Traceback" in done.stderr) is traceback
    assert done.returncode == OWN_FAULT
    assert done.stdout == ""


def test_our_own_fault_under_json_is_one_object(shop: Path, monkeypatch) -> None:
    monkeypatch.setattr(finding, "read_settings", fail)
    answer = call("week", shop, *TODAY, "--json")
    assert [each["code"] for each in json.loads(answer.out)["problems"]] == ["own-fault"]


# --- what is written, and what never is ---------------------------------------------------------------

REPORT, ORDER = "reports/report-2026-W49.xlsx", "reports/order-2026-W49.xlsx"
ORDER_FILE = "reports/order-2026-W49-ALFA.xml"
BENCH = {"reports/bench-2026-W49.html", "reports/bench-2026-W49.xlsx"}
RETURNS = "reports/returns-2026-W49.xlsx"


def test_inputs_are_never_rewritten_and_only_outputs_are_added(shop: Path) -> None:
    before = hashes(shop)
    call("week", shop, *TODAY)
    after = hashes(shop)
    assert {name: after[name] for name in before} == before
    # No order file: these settings do not say who orders.
    assert set(after) - set(before) == {REPORT, ORDER, RETURNS} | BENCH


@pytest.mark.parametrize(
    "words", [("--dry-run",), ("--dry-run", "--csv"), ("--dry-run", "--json", "--out", "new"), ("--json",)]
)
def test_dry_run_and_json_alone_write_nothing(shop: Path, monkeypatch, words: tuple[str, ...]) -> None:
    monkeypatch.chdir(shop)
    before = hashes(shop)
    assert call("week", shop, *TODAY, *words).status == SHORT
    assert hashes(shop) == before
    assert not (shop / "new").exists()


def test_nothing_is_overwritten_without_force(shop: Path) -> None:
    call("week", shop, *TODAY)
    (shop / ORDER).unlink()
    (shop / REPORT).write_bytes(b"mine")
    before = hashes(shop)
    refused(call("week", shop, *TODAY), "output-exists", "report-2026-W49.xlsx is already there.", "--force")
    assert hashes(shop) == before
    assert call("week", shop, *TODAY, "--force").status == SHORT
    assert set(hashes(shop)) == {*before, ORDER}
    assert (shop / REPORT).read_bytes().startswith(b"PK")


def test_an_output_never_replaces_an_input(shop: Path) -> None:
    stock = shop / "report-2026-W49.xlsx"
    (shop / "stock.xlsx").rename(stock)
    before = hashes(shop)
    answer = call("week", shop, *TODAY, "--stock", stock, "--out", shop, "--force")
    refused(answer, "output-is-input", "report-2026-W49.xlsx")
    assert hashes(shop) == before


def test_the_demo_refuses_a_folder_that_is_there(shop: Path) -> None:
    before = hashes(shop)
    refused(call("demo", shop), "output-exists", "is there already", "--force")
    assert hashes(shop) == before


def test_out_and_csv_write_where_they_are_told(shop: Path, tmp_path: Path) -> None:
    call("week", shop, *TODAY, "--out", tmp_path / "monday", "--csv", "--delimiter", ";")
    text = (tmp_path / "monday" / "csv-2026-W49" / "Shortfalls.csv").read_bytes().decode("utf-8-sig")
    assert text.splitlines()[0].split(";")[:4] == ["part", "designation", "short", "unit"]
    assert not (shop / "reports").exists()


@pytest.mark.parametrize("nested", [JOBS[0], (*JOBS[0][:5], "=1+1")])
def test_text_of_a_row_never_becomes_a_formula(shop: Path, nested: tuple) -> None:
    import openpyxl

    workbook(shop / "jobs.xlsx", Jobs=[JOB_HEADINGS, nested])
    book = openpyxl.load_workbook(shop / "jobs.xlsx")
    book["Jobs"]["F2"].data_type = "s"
    book.save(shop / "jobs.xlsx")
    call("week", shop, *TODAY)
    kinds = {
        cell.data_type for sheet in openpyxl.load_workbook(shop / REPORT) for row in sheet for cell in row
    }
    assert "f" not in kinds


def test_a_held_job_goes_into_the_ledger_and_nowhere_else(shop: Path) -> None:
    before = hashes(shop)
    held = ("check", "J-5", *ASKED, "--hold", "--in", shop, *TODAY)
    assert call(*held).status == FINE
    after = hashes(shop)
    assert set(after) - set(before) == {"stock-ledger.sqlite"}
    assert {name: after[name] for name in before} == before
    assert call("check", "J-5", "--in", shop, *TODAY).out.startswith("Yes: ")


def test_a_job_that_cannot_be_done_or_has_no_number_is_not_held(shop: Path) -> None:
    before = hashes(shop)
    lacking = (*ASKED[:5], "11 in", *ASKED[6:])
    assert call("check", "J-6", *lacking, "--hold", "--in", shop, *TODAY).status == SHORT
    refused_call = call("check", *ASKED, "--hold", "--in", shop, *TODAY)
    assert (refused_call.status, "call-unusable" in refused_call.err) == (UNUSABLE, True)
    assert hashes(shop) == before


def test_why_of_a_name_that_is_neither_job_nor_part_is_refused(shop: Path) -> None:
    refused(call("why", "SP-051", "--in", shop, *TODAY), "call-unusable", "SP-051")


# --- standard output ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("week", "{shop}"), SHORT),
        (("week", "{shop}", "--out", "{shop}/out", "--csv"), SHORT),
        (("check", GOOD, "--in", "{shop}"), FINE),
        (("check", LACKING, "--in", "{shop}"), SHORT),
    ],
)
def test_json_stands_alone_on_standard_output(shop: Path, words: tuple[str, ...], status: int) -> None:
    answer = call(*(word.format(shop=shop) for word in words), *TODAY, "--json")
    told = json.loads(answer.out)
    assert (answer.status, told["schema"]) == (status, 1)


def test_json_has_text_for_numbers_of_things_and_iso_days(shop: Path) -> None:
    week = json.loads(call("week", shop, *TODAY, "--json").out)
    assert week["period"] == {"from": "2026-11-30", "to": "2026-12-04"}
    assert week["today"] == "2026-11-27"
    assert [(each["job"], each["date"], each["kit"]) for each in week["jobs"]] == [
        (GOOD, "2026-12-01", "complete"),
        (LACKING, "2026-12-02", "short"),
    ]
    (part,) = week["parts"]
    assert (part["part"], part["unit"], part["shortfall"], part["first_short"]) == (
        LONG_PART, "each", 1, "2026-12-02",
    )  # fmt: skip
    assert week["rows"]["jobs"] == {
        "read": 2, "used": 2, "set_aside": 0, "outside_period": 0, "done": 0, "beside": 0,
    }  # fmt: skip


HELPS = [(), ("week",), ("check",), ("demo",), ("why",), ("problems",)]


@pytest.mark.parametrize("command", HELPS, ids=lambda command: " ".join(command) or "reconcile")
def test_help_answers_to_both_spellings(command: tuple[str, ...]) -> None:
    short, long = call(*command, "-h"), call(*command, "--help")
    assert (short.status, short.out) == (FINE, long.out)
    assert short.out.startswith("Usage: ")


@pytest.mark.parametrize("command", HELPS[1:], ids=" ".join)
def test_help_shows_examples_before_the_options(command: tuple[str, ...]) -> None:
    shown = call(*command, "-h").out
    before, _, _ = shown.partition("Options:")
    assert "For example:" in before
    assert before.count(f"reconcile {command[0]}") > 1


ESCAPE = b"\x1b"


@pytest.mark.slow
@pytest.mark.parametrize(
    "setting", [{"NO_COLOR": "1"}, {"TERM": "dumb"}, {}], ids=["NO_COLOR", "dumb", "pipe"]
)
def test_there_are_no_escape_codes(shop: Path, setting: dict[str, str]) -> None:
    for words in (("week", shop, *TODAY, "--dry-run"), ("week", "-h"), ("week", "--wek")):
        done = process(*words, **setting)
        assert ESCAPE not in done.stdout + done.stderr
        assert done.stdout + done.stderr


def named_for_no_old_console(shop: Path) -> str:
    name = "J-Ω→é"
    workbook(shop / "jobs.xlsx", Jobs=[JOB_HEADINGS, (name, *JOBS[0][1:])])
    return name


def test_an_old_console_shows_what_it_can_and_never_fails(shop: Path) -> None:
    name = named_for_no_old_console(shop)
    asked = process("check", name, "--in", shop, *TODAY, PYTHONIOENCODING="cp1252", PYTHONUTF8="0")
    assert asked.returncode == FINE
    assert asked.stdout.decode("cp1252").startswith("Yes: the kit for J-\\u03a9\\u2192é is on the shelf")
    assert asked.stderr == b""


def test_an_old_console_gets_json_that_can_still_be_read(shop: Path) -> None:
    name = named_for_no_old_console(shop)
    asked = process("week", shop, *TODAY, "--json", PYTHONIOENCODING="cp1252", PYTHONUTF8="0")
    assert [each["job"] for each in json.loads(asked.stdout.decode("cp1252"))["jobs"]] == [name]


def too_wide(text: str) -> list[str]:
    """Lines of more than 80 columns, save those that one unbreakable word makes so."""
    return [
        line
        for line in text.splitlines()
        if len(line) > 80 and max(map(len, line.split())) < 80 - len(line) + len(line.lstrip())
    ]


@pytest.mark.slow
@pytest.mark.parametrize(
    "words",
    [
        ("week", "{demo}", "--dry-run"),
        ("check", "J-4137", "--in", "{demo}"),
        ("check", "J-4126", "--in", "{demo}"),
        ("check", "J-9", "--in", "{demo}"),
        ("why", "J-4101", "--in", "{demo}"),
        ("why", "B14-250", "--in", "{demo}"),
        ("week", "{shop}", "--dry-run"),
        ("check", LACKING, "--in", "{shop}"),
        ("check", "J-5", *ASKED, "--hold", "--in", "{shop}"),
        ("week", "{shop}/frames"),
    ],
)
def test_no_line_is_wider_than_80_columns(shop: Path, words: tuple[str, ...]) -> None:
    demo = Path(__file__).resolve().parents[2] / "data_demo"
    answer = call(*(word.format(shop=shop, demo=demo) for word in words), *TODAY)
    assert answer.text
    assert too_wide(answer.text) == []


@pytest.mark.parametrize("words", [("problems",), ("problems", "bolt-contradicted"), ("week", "-h"), ("-h",)])
def test_no_line_of_explanations_is_wider_than_80_columns(words: tuple[str, ...]) -> None:
    assert too_wide(call(*words).text) == []


@pytest.mark.parametrize("words", [("week", "{shop}", "--dry-run"), ("check", LACKING, "--in", "{shop}")])
def test_part_numbers_are_never_shortened(shop: Path, words: tuple[str, ...]) -> None:
    narrow = call(*(word.format(shop=shop) for word in words), *TODAY, env={"COLUMNS": "40"})
    assert LONG_PART in narrow.out


# --- options over environment over settings ----------------------------------------------------------------


def test_the_environment_names_inputs_and_an_option_wins_over_it(shop: Path, tmp_path: Path) -> None:
    env = {"RECONCILE_IN": str(shop), "RECONCILE_TODAY": "2026-11-27"}
    assert call("check", GOOD, env=env).status == FINE
    refused(call("check", GOOD, "--in", tmp_path / "none", env=env), "file-missing", "none")
    env["RECONCILE_JOBS"] = str(tmp_path / "other.xlsx")
    refused(call("check", GOOD, env=env), "file-missing", "other.xlsx")
    assert call("check", GOOD, "--jobs", shop / "jobs.xlsx", env=env).status == FINE


def test_the_environment_wins_over_the_settings(shop: Path) -> None:
    (shop / "reconcile.toml").write_text('jobs = "nowhere.xlsx"\n', "utf-8")
    refused(call("check", GOOD, "--in", shop, *TODAY), "file-missing", "nowhere.xlsx")
    env = {"RECONCILE_JOBS": str(shop / "jobs.xlsx")}
    assert call("check", GOOD, "--in", shop, *TODAY, env=env).status == FINE


# --- the catalogue ---------------------------------------------------------------------------------------


def test_a_code_is_explained() -> None:
    answer = call("problems", "job-doubled")
    assert answer.status == FINE
    assert answer.out.splitlines()[0] == "job-doubled (error)"
    assert "Give each job a number of its own." in answer.out


def test_the_version_is_told() -> None:
    from reconcile import __version__

    assert call("--version").out == f"reconcile {__version__}\n"
