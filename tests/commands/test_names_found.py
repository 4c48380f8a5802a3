"""Names typed in any case are found, otherwise the nearest are offered; a part that seems renamed is asked
about."""

import json
from pathlib import Path

import pytest
from closing_shop import all_done, call, fine, refused, returns_of
from closing_shop import shop as closing_shop
from misread_shop import HEADINGS, JOBS, STOCK, TUESDAY, flowing, shop
from misread_shop import call as ask
from openpyxl import load_workbook
from typer.testing import CliRunner

from reconcile.cli import app


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shop(tmp_path / "shop")


def test_a_job_and_a_part_are_found_whatever_their_case(folder: Path) -> None:
    assert "J-4109" in ask("check", "j-4109", "--in", folder, status=0)
    assert "J-4109" in ask("why", "j-4109", "--in", folder, status=0)
    assert ask("why", "b14-250", "--in", folder, status=0).startswith("B14-250: ")
    assert ask("why", " B14-250 ", "--in", folder, status=0).startswith("B14-250: ")


def test_a_job_whose_row_was_set_aside_is_found_too(tmp_path: Path) -> None:
    jobs = (
        JOBS,
        ("J-4109", TUESDAY, "NQ-T1", "14 in", "many"),
        ("J-4110", TUESDAY, "NQ-T1", "14 in", "15 in"),
    )
    folder = shop(tmp_path / "shop", jobs)
    for command in ("check", "why"):
        said = flowing(ask(command, "j-4109", "--in", folder, status=2))
        assert "length-unreadable at jobs.xlsx!Jobs!E2" in said


def test_of_two_parts_that_differ_in_case_alone_the_one_typed_is_meant(tmp_path: Path) -> None:
    twin = ("b14-250", "SHCS 1/4-20 x 2-1/2", "ASTM A574", "X-1", 0, "each", "ARDEN", 3)
    folder = shop(tmp_path / "shop", stock=(HEADINGS, *STOCK, twin))
    assert "bin B-20" in ask("why", "B14-250", "--in", folder, status=0)
    assert "b14-250 is neither needed" in ask("why", "b14-250", "--in", folder, status=2)


@pytest.mark.parametrize(
    ("words", "nearest"),
    [
        (("check", "4109", "--in"), "J-4109"),
        (("why", "b-2500", "--in"), "B14-250"),
        (("why", "j4109", "--in"), "J-4109"),
        (("frames", "nqt1", "--in"), "NQ-T1"),
    ],
)
def test_otherwise_the_nearest_are_offered(folder: Path, words: tuple[str, ...], nearest: str) -> None:
    done = CliRunner().invoke(app, [*words, str(folder)])
    assert done.exit_code == 2
    assert nearest in flowing(done.output).partition("Nearest: ")[2]


def test_codes_of_problems_are_found_whatever_their_case() -> None:
    done = CliRunner().invoke(app, ["problems", "Date-Ambiguous"])
    assert (done.exit_code, done.output.startswith("date-ambiguous (error)")) == (0, True)


def closed(folder: Path) -> Path:
    """A shop that has closed its first week, and so has a ledger."""
    closing_shop(folder)
    all_done(returns_of(folder, "2026-W49"))
    fine("close", folder, "--week", "2026-W49", "--replace")
    return folder


def retyped(folder: Path, number: str, count: int | None = None, part: str = "CLIP") -> None:
    """The rows of a part, CLIP if none is named, get another number, and another count if one is given."""
    book = load_workbook(folder / "stock.xlsx")
    for row in book["Stock"].iter_rows(min_row=2):
        if row[0].value == part:
            row[0].value = number
            row[2].value = row[2].value if count is None else count
    book.save(folder / "stock.xlsx")


def problems_of(folder: Path) -> list[dict]:
    return json.loads(call("week", folder, "--week", "2026-W50", "--json").stdout)["problems"]


def test_the_ledgers_parts_are_found_whatever_their_case(tmp_path: Path) -> None:
    folder = closed(tmp_path / "shop")
    assert "CLIP" in fine("ledger", "clip", "--in", folder)
    assert "CLIP" in fine("levels", folder, "--part", "clip")
    assert "Nearest: CLIP" in refused("ledger", "clib", "--in", folder)
    assert "Nearest: CLIP" in refused("week", folder, "--use-proposed-levels", "--even-for", "clib")
    fine("week", folder, "--use-proposed-levels", "--even-for", "clip", "--dry-run")


def test_a_part_that_lies_as_another_did_is_asked_about(tmp_path: Path) -> None:
    """In both bins lie as many as of CLIP by the ledger, under a number that the ledger never heard of."""
    folder = closed(tmp_path / "shop")
    retyped(folder, "CLIP-X")
    asked = [fault for fault in problems_of(folder) if fault["code"] == "part-renamed"]
    assert [fault["where"] for fault in asked] == ["stock.xlsx!Stock!A2", "stock.xlsx!Stock!A4"]
    assert "CLIP-X lies in bin A2" in asked[1]["says"]
    assert "is it CLIP under another number?" in asked[1]["says"]
    screen = flowing(call("week", folder, "--week", "2026-W50", "--force").stdout)
    assert "Look at this first" in screen
    assert "CLIP-X lies in bin A2" in screen
    assert "is it CLIP under another number?" in flowing(call("ledger", "--check", "--in", folder).output)


def test_a_booking_on_top_of_it_asks_first(tmp_path: Path) -> None:
    folder = closed(tmp_path / "shop")
    all_done(returns_of(folder, "2026-W50"))
    retyped(folder, "TIE-X", part="TIE")
    assert "is it TIE under another number?" in refused("close", folder, "--week", "2026-W50")


@pytest.mark.parametrize("number", ["CLIP-X", "PAN-14"])
def test_another_quantity_or_a_part_known_before_is_not_asked_about(tmp_path: Path, number: str) -> None:
    folder = closed(tmp_path / "shop")
    retyped(folder, number, 7)
    codes = {fault["code"] for fault in problems_of(folder)}
    assert "part-renamed" not in codes
    assert "ledger-differs-noticed" in codes
