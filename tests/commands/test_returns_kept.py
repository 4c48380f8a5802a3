"""A returns workbook that is filled in, and the week is planned again: nothing that was filled in is lost."""

from datetime import date
from pathlib import Path

import openpyxl
import pytest
from books import workbook
from closing_shop import WEEKS, add, call, fill, fine, jobs_of, refused, returns_of, shop
from typer.testing import CliRunner

from reconcile.cli import app

W49 = WEEKS[0]
DAY = date(2026, 12, 3)
pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shop(tmp_path / "shop")


def rows(path: Path, sheet: str) -> list[dict[str, object]]:
    lines = list(openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True))
    return [dict(zip(lines[0], line, strict=True)) for line in lines[1:]]


def jobs(folder: Path, *more: tuple, without: str = "") -> None:
    kept = [row for row in jobs_of() if row[0] != without]
    workbook(folder / "jobs.xlsx", Jobs=[*kept, *more])


def done(path: Path, **said: str) -> Path:
    """``J_100="yes"``: what stands under *done*, by job."""
    words = {number.replace("_", "-"): word for number, word in said.items()}
    return fill(path, "Done", lambda row: {"done": words[row["job"]]} if row["job"] in words else {})


ADDED = ("J-109", DAY, "ZB-1", "10 in", "11 in")


def test_filled_cells_stay_and_an_added_job_gets_its_rows(folder: Path) -> None:
    path = done(returns_of(folder, W49), J_100="yes")
    clip = {"used": 5, "reason": "one broke", "bin": "A2"}
    fill(path, "Lines", lambda row: clip if (row["job"], row["part"]) == ("J-101", "CLIP") else {})
    fill(path, "Deliveries", lambda row: {"received": 20} if row["order"] == "PO-1" else {})
    jobs(folder, ADDED)
    answer = call("week", folder, "--week", W49, "--force")
    assert f"returns-{W49}.xlsx was written anew, and what was filled in was kept." in " ".join(
        answer.stderr.split()
    )
    assert [(row["job"], row["done"]) for row in rows(path, "Done")] == [
        ("J-100", "yes"), ("J-101", None), ("J-109", None),
    ]  # fmt: skip
    (line,) = [row for row in rows(path, "Lines") if (row["job"], row["part"]) == ("J-101", "CLIP")]
    assert {heading: line[heading] for heading in clip} == clip
    assert [row["received"] for row in rows(path, "Deliveries")] == [20, None]
    assert sum(row["job"] == "J-109" for row in rows(path, "Lines")) == 4
    assert [row["job"] for row in rows(path, "As planned")] == ["J-100", "J-101", "J-109"]
    assert "2026-W49 is booked" in fine("close", folder, "--week", W49, "--replace")


def test_lines_are_in_the_words_of_the_trade_and_those_of_an_earlier_version_are_known(folder: Path) -> None:
    path = done(returns_of(folder, W49), J_100="yes")
    ours = {"used with the bolt": "extra", "replace on reassembly": "disturbed", "part by size": "sized"}
    said = {row["what"] for row in rows(path, "Lines")}
    assert said & set(ours)
    assert not said & set(ours.values())
    fill(path, "Lines", lambda row: {"what": ours[row["what"]]} if row["what"] in ours else {})
    spoilt = {"scrapped": 1, "reason": "fell"}
    fill(path, "Lines", lambda row: spoilt if (row["job"], row["what"]) == ("J-101", "sized") else {})
    fine("week", folder, "--week", W49, "--force")
    assert [row["what"] for row in rows(path, "Lines") if row["reason"] == "fell"] == ["part by size"] * 2
    fine("close", folder, "--week", W49, "--replace")


def test_a_second_and_a_third_run_change_nothing_more(folder: Path) -> None:
    path = done(returns_of(folder, W49), J_100="yes")
    add(path, "Lines", job="J-100", do="fit", part="TIE", used=2, reason="cable")
    fine("week", folder, "--week", W49, "--force")
    once = {sheet: rows(path, sheet) for sheet in ("Done", "Lines", "Deliveries", "As planned")}
    fine("week", folder, "--week", W49, "--force")
    assert {sheet: rows(path, sheet) for sheet in once} == once
    assert [row["used"] for row in once["Lines"] if row["part"] == "TIE"] == [2]


def test_a_job_that_is_marked_as_done_keeps_the_lines_that_its_kit_had(folder: Path) -> None:
    """Its row is mended after the work: what was left blank went as was planned then."""
    path = done(returns_of(folder, W49), J_100="yes")
    before = [row for row in rows(path, "Lines") if row["job"] == "J-100"]
    jobs(folder, ("J-100", date(2026, 11, 30), "ZB-1", "10 in", "10 1/2 in", 3), without="J-100")
    fine("week", folder, "--week", W49, "--force")
    assert [row for row in rows(path, "Lines") if row["job"] == "J-100"] == before


def test_what_has_no_line_any_more_is_kept_on_a_row_that_says_so(folder: Path) -> None:
    path = returns_of(folder, W49)
    fill(path, "Lines", lambda row: {"used": 1} if (row["job"], row["part"]) == ("J-101", "CLIP") else {})
    jobs(folder, without="J-101")
    fine("week", folder, "--week", W49, "--force")
    (gone,) = [row for row in rows(path, "Done") if row["job"] == "J-101"]
    assert gone["remark"] == "no longer planned; kept as it was filled in"
    kept = {row["part"]: row["used"] for row in rows(path, "Lines") if row["job"] == "J-101"}
    assert kept == {"CLIP": 1, "GLUE": None, "PAN-14": None, "PAN-10": None}
    answer = call("close", folder, "--week", W49, "--dry-run")
    assert "-1 each CLIP" in answer.stdout, answer.output


def test_a_workbook_with_columns_of_its_own_is_left_as_it_is_and_said(folder: Path) -> None:
    path = done(returns_of(folder, W49), J_100="yes")
    book = openpyxl.load_workbook(path)
    book["Done"]["J2"] = "ask Kim about the clip"
    book.save(path)
    before = path.read_bytes()
    answer = call("week", folder, "--week", W49, "--force")
    assert path.read_bytes() == before
    assert "was left as it is" in answer.stderr


def test_a_delivery_that_is_overdue_keeps_what_was_filled_in_from_day_to_day(folder: Path) -> None:
    """PO-1 was due on Wed 2 December. On Thursday it counts as due on Friday, on Friday as due on Monday."""
    week = ("week", folder, "--week", W49, "--force", "--today")
    path = folder / "reports" / f"returns-{W49}.xlsx"
    run(*week, "2026-12-03")
    fill(path, "Deliveries", lambda row: {"received": 15} if row["order"] == "PO-1" else {})
    run(*week, "2026-12-04")
    (row,) = [row for row in rows(path, "Deliveries") if row["order"] == "PO-1"]
    assert (row["due"].date(), row["received"], row["on order"]) == (date(2026, 12, 7), 15, 20)


def run(*words: object) -> None:
    answer = CliRunner().invoke(app, [str(word) for word in words])
    assert answer.exit_code in (0, 1), answer.output


def test_a_closing_names_jobs_of_the_week_that_the_returns_lack(folder: Path) -> None:
    done(returns_of(folder, W49), J_100="yes", J_101="yes")
    jobs(folder, ADDED)
    answer = call("close", folder, "--week", W49, "--replace")
    assert answer.exit_code == 0, answer.output
    assert "The returns lack J-109, planned for 2026-W49." in " ".join(answer.stderr.split())


def test_part_without_a_figure_books_nothing_and_with_one_is_said_by_name(folder: Path) -> None:
    path = done(returns_of(folder, W49), J_100="part", J_101="yes")
    assert "Not marked as done: J-100." in " ".join(
        call("close", folder, "--week", W49, "--dry-run").stderr.split()
    )
    fill(path, "Lines", lambda row: {"used": 2} if (row["job"], row["part"]) == ("J-100", "CLIP") else {})
    answer = call("close", folder, "--week", W49, "--dry-run")
    assert "Booked as part done: J-100." in " ".join(answer.stderr.split())
    fill(path, "Done", lambda row: {"done": "perhaps"})
    assert "is none of yes, no and part" in refused("close", folder, "--week", W49)


@pytest.mark.parametrize(
    ("part", "figures", "says"),
    [
        ("PAN-10", {"returned": 20}, "J-100 gave back 20 of PAN-10; 1 comes off it."),
        ("CLIP", {"used": 5}, "J-100 used 5 of CLIP; 4 was planned."),
    ],
)
def test_a_figure_far_from_plan_is_booked_only_with_a_reason(
    folder: Path, part: str, figures: dict, says: str
) -> None:
    path = done(returns_of(folder, W49), J_100="yes", J_101="yes")
    fill(path, "Lines", lambda row: figures if (row["job"], row["part"]) == ("J-100", part) else {})
    told = refused("close", folder, "--week", W49, "--replace")
    assert "returns-reason-needed" in told
    assert says in told
    assert not (folder / "stock-ledger.sqlite").exists()
    fill(
        path,
        "Lines",
        lambda row: {"reason": "so it was"} if (row["job"], row["part"]) == ("J-100", part) else {},
    )
    assert "2026-W49 is booked" in fine("close", folder, "--week", W49, "--replace")
