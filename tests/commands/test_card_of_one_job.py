"""One job's card as a file, the bins of the whole job, what turns its bolts, and what is noted of a joint."""

import json
import re
from datetime import date
from pathlib import Path

import pytest
from misread_shop import FRAME, HEADINGS, JOBS, STOCK, TUESDAY, call, flowing, shop
from openpyxl import load_workbook

NOTED = FRAME.replace(
    'into = "aluminium"', 'into = "aluminium"\nnote = "clean the tapped end"\ntorque = "9 N*m"'
)
OTHERS = (
    JOBS,
    ("J-4108", date(2026, 11, 30), "NQ-T1", "14 in", "16 in"),
    ("J-4109", TUESDAY, "NQ-T1", "14 in", "16 in"),
    ("J-4110", date(2026, 12, 2), "NQ-T1", "14 in", "16 in"),
)
TWO_BINS = tuple(
    bin_row
    for row in STOCK
    for bin_row in (
        [(*row[:3], "D-08", 3, *row[5:]), (*row[:3], "D-40", 9, *row[5:])] if row[0] == "SP-100" else [row]
    )
)
KEY = "key 3/16 in (ASME B18.3, not measured)"


def text_of(page: Path) -> str:
    body = page.read_text("utf-8").partition("<body")[2]
    return flowing(re.sub(r"<[^>]+>", " ", body))


def test_one_jobs_card_is_written_and_nothing_else(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", OTHERS)
    said = call("check", "j-4109", "--in", folder, "--card", tmp_path / "J-4109.html", status=0)
    assert said.rstrip().endswith(f"Written: {tmp_path / 'J-4109.html'}")
    card = text_of(tmp_path / "J-4109.html")
    assert "Job J-4109" in card
    assert "J-4108" not in card
    assert "J-4110" not in card
    assert "Follow the frame maker's instructions." in card.replace("&#39;", "'")
    assert sorted(path.name for path in folder.iterdir()) == [
        "frames",
        "jobs.xlsx",
        "reconcile.toml",
        "stock.xlsx",
    ]


def test_it_is_the_card_of_the_weekly_run(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", OTHERS, (HEADINGS, *TWO_BINS))
    call("week", folder, status=0)
    call("check", "J-4109", "--in", folder, "--card", tmp_path / "card.html", status=0)

    def of_job(page: Path) -> str:
        found = re.search(
            r'<(\w+)[^>]*aria-labelledby="job-J-4109\.name".*?</\1>', page.read_text("utf-8"), re.DOTALL
        )
        assert found is not None
        text = flowing(re.sub(r"<[^>]+>", " ", found[0]))
        return re.sub(r"drawing-\d+", "", text).partition("Back to the jobs by day")[0].strip()

    assert of_job(tmp_path / "card.html") == of_job(folder / "reports" / "bench-2026-W49.html")


def test_a_job_that_is_only_described_has_a_card_too(tmp_path: Path) -> None:
    words = ("--frame", "NQ-T1", "--from", "14 in", "--to", "15 in", "--date", "2026-12-03")
    call("check", *words, "--in", shop(tmp_path / "shop"), "--card", tmp_path / "card.xlsx", status=0)
    page = load_workbook(tmp_path / "card.xlsx")["Bench"]
    said = " ".join(str(cell) for row in page.iter_rows(values_only=True) for cell in row if cell is not None)
    assert "this job, Thu 2026-12-03: seat width 14 in to 15 in." in said


def test_a_card_is_not_written_over_nor_over_an_input(tmp_path: Path) -> None:
    folder, page = shop(tmp_path / "shop"), tmp_path / "card.html"
    page.write_text("mine", "utf-8")
    assert "output-exists" in call("check", "J-4109", "--in", folder, "--card", page, status=2)
    assert page.read_text("utf-8") == "mine"
    call("check", "J-4109", "--in", folder, "--card", page, "--force", status=0)
    assert "J-4109" in page.read_text("utf-8")
    jobs = folder / "jobs.xlsx"
    before = jobs.read_bytes()
    assert "output-is-input" in call("check", "J-4109", "--in", folder, "--card", jobs, "--force", status=2)
    assert jobs.read_bytes() == before
    refused = call("check", "J-4109", "--in", folder, "--card", tmp_path / "card.pdf", status=2)
    assert "end it in .html or .xlsx" in flowing(refused)


def test_the_answer_ends_with_what_is_taken_from_each_bin(tmp_path: Path) -> None:
    """J-4108 takes two of the three in D-08 the day before, so J-4109 finds one there and one in D-40."""
    folder = shop(tmp_path / "shop", OTHERS, (HEADINGS, *TWO_BINS))
    said = call("check", "J-4109", "--in", folder, status=0)
    ends = said[said.index("By bin, for the whole job") : said.index("Follow the frame maker")]
    assert ends.split("\n")[1:5] == [
        "  B-20      2 B14-250",
        "  D-08      1 SP-100",
        "  D-40      1 SP-100",
        "",
    ]
    told = json.loads(call("check", "J-4109", "--json", "--in", folder, status=0))["bins"]
    assert told == [
        {"bin": "B-20", "part": "B14-250", "quantity": 2, "unit": "each"},
        {"bin": "D-08", "part": "SP-100", "quantity": 1, "unit": "each"},
        {"bin": "D-40", "part": "SP-100", "quantity": 1, "unit": "each"},
    ]
    picks = json.loads(call("week", folder, "--json", status=0))
    assert picks["jobs"][1]["kit"] == "complete"


def test_a_job_without_a_kit_takes_nothing_from_a_bin(tmp_path: Path) -> None:
    none = tuple(
        (*row[:4], 0, *row[5:]) if row[0] == "SP-100" else row for row in STOCK if row[0] != "SP-050"
    )
    folder = shop(tmp_path / "shop", stock=(HEADINGS, *none))
    assert "By bin" not in call("check", "J-4109", "--in", folder, status=1)


def test_what_turns_the_bolts_is_told_with_its_standard(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", frame=NOTED)
    said = flowing(call("check", "J-4109", "--in", folder, "--card", tmp_path / "card.html", status=0))
    assert f"Turned by: {KEY}" in said
    turned = "Turned by: key 3/16 in for 1/4-20 UNC (ASME B18.3, not measured)."
    assert turned in text_of(tmp_path / "card.html")


def test_of_a_head_that_no_table_has_nothing_is_said(tmp_path: Path) -> None:
    button = FRAME.replace('head = "socket cap"', 'head = "button"')
    stock = tuple((row[0], str(row[1]).replace("SHCS", "BHCS"), *row[2:]) for row in STOCK)
    folder = shop(tmp_path / "shop", stock=(HEADINGS, *stock), frame=button)
    call("check", "J-4109", "--in", folder, "--card", tmp_path / "card.html", status=0)
    assert "not measured" not in text_of(tmp_path / "card.html")


def test_a_joints_note_is_printed_wherever_its_bolts_are(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", frame=NOTED)
    said = flowing(call("check", "J-4109", "--in", folder, "--card", tmp_path / "card.html", status=0))
    assert "Note: clean the tapped end" in said
    assert "clean the tapped end" in text_of(tmp_path / "card.html")
    why = flowing(call("why", "J-4109", "--in", folder, status=0))
    assert "note: clean the tapped end [NQ-T1.toml!adjustment[1].joint[1].note]" in why
    call("week", folder, status=0)
    lines = load_workbook(folder / "reports" / "report-2026-W49.xlsx")["Kit lines"]
    rows = [" ".join(map(str, row)) for row in lines.iter_rows(values_only=True)]
    assert any("Note: clean the tapped end" in row for row in rows)


@pytest.mark.parametrize("words", [("--quiet",), ("--json",)])
def test_quiet_and_json_write_the_card_as_well(tmp_path: Path, words: tuple[str, ...]) -> None:
    folder = shop(tmp_path / "shop")
    said = call("check", "J-4109", *words, "--in", folder, "--card", tmp_path / "card.html", status=0)
    assert "Written" not in said
    assert (tmp_path / "card.html").is_file()
