"""Plain words: help that is not cut and does not overrun, no machinery in messages, any width."""

import io
import os
import re
from pathlib import Path

import pytest
from misread_shop import FRAME, HEADINGS, JOBS, STOCK, TUESDAY, call, flowing, shop
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.reports.writing import text as writing

NAMES = [
    command.name or str(command.callback and command.callback.__name__).replace("_", "-")
    for command in app.registered_commands
]


def helped(*words: str) -> str:
    done = CliRunner().invoke(app, [*words, "-h"], env={"COLUMNS": "80"}, prog_name="reconcile")
    assert done.exit_code == 0
    return done.output


def test_the_list_of_commands_is_whole() -> None:
    listed = helped().partition("Commands:")[2]
    assert [line.split()[0] for line in listed.splitlines() if line.strip()] == NAMES
    assert "..." not in listed


@pytest.mark.parametrize("name", ["", *NAMES])
def test_help_keeps_to_the_width_and_names_what_is_to_be_typed(name: str) -> None:
    said = helped(*filter(None, [name]))
    assert [line for line in said.splitlines() if len(line) > 80] == []
    assert re.findall(r"<[a-z ]+>|x>=|range", said) == []


@pytest.mark.parametrize(
    "words",
    [
        ("check", "J-9", "--in"), ("why", "J-9", "--in"), ("ledger", "J-9", "--in"), ("check", "--in"),
        ("frames", "XX", "--in"), ("chair", "XX", "--in"),
        ("check", "J-4109", "--chairs", "0", "--in"),
        ("check", "--frame", "XX", "--from", "1 in", "--to", "2 in", "--in"),
    ],
)  # fmt: skip
def test_no_message_leaks_how_the_program_names_things(tmp_path: Path, words: tuple[str, ...]) -> None:
    done = CliRunner().invoke(app, [*words, str(shop(tmp_path / "shop"))])
    assert done.exit_code == 2
    assert re.findall(r"command line!|![A-Z]+\b|A0\b", done.output) == []


@pytest.mark.parametrize(
    ("words", "where", "says"),
    [
        (
            ("--frame", "NQ-T1", "--from", "14.3 in", "--to", "16 in"),
            "--from",
            "nearest: 14 in and 14 1/2 in",
        ),
        (("--frame", "NQ-T1", "--from", "14 in", "--to", "25 in"), "--to", "nearest: 18 in"),
        (("J-4109", "--to", "15.7 in"), "--to", "nearest: 15 1/2 in and 16 in"),
        (("J-4109", "--from", "2 in"), "--from", "nearest: 14 in"),
        (("J-4109", "--left-now", "3", "--right-now", "1"), "--left-now", "4"),
    ],
)
def test_a_size_that_cannot_be_names_the_option_and_the_nearest(
    tmp_path: Path, words: tuple[str, ...], where: str, says: str
) -> None:
    said = flowing(call("check", *words, "--in", shop(tmp_path / "shop"), status=2))
    assert f" at {where} " in said
    assert says in said


def test_in_a_sheet_the_cell_is_named_with_the_nearest(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", (JOBS, ("J-4109", TUESDAY, "NQ-T1", "14 in", "15 3/4 in")))
    said = flowing(call("check", "J-4109", "--chairs", "2", "--in", folder, status=2))
    assert "at jobs.xlsx!Jobs!E2" in said
    assert "nearest: 15 1/2 in and 16 in" in said


def test_torque_is_in_newton_metres(tmp_path: Path) -> None:
    frame = FRAME.replace('into = "aluminium"', 'into = "aluminium"\ntorque = "9 N*m"')
    folder = shop(tmp_path / "shop", frame=frame)
    said = call("check", "J-4109", "--in", folder, status=0)
    assert "torque 9 N·m" in said
    call("week", folder, status=0)
    page = (folder / "reports" / "bench-2026-W49.html").read_text("utf-8")
    assert "9 N·m" in page
    assert "N*m" not in page


def test_one_pack_is_one_pack(tmp_path: Path) -> None:
    few = tuple((*row[:4], 0, *row[5:], 50) if row[0] == "B14-250" else (*row, 1) for row in STOCK)
    folder = shop(tmp_path / "shop", stock=((*HEADINGS, "pack"), *few))
    assert "order 50 in 1 pack" in flowing(call("why", "B14-250", "--in", folder, status=0))
    assert "1 packs" not in call("why", "B14-250", "--in", folder) + call("week", folder)
    none = tuple((*row[:4], 0, *row[5:]) if row[0] == "B14-250" else row for row in STOCK)
    single = shop(tmp_path / "single", stock=(HEADINGS, *none))
    assert "want 2, so order 2 required" in flowing(call("why", "B14-250", "--in", single, status=0))


# --- as wide as the terminal -----------------------------------------------------------------------------


class Terminal(io.StringIO):
    """A terminal that only says that it is one."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("columns", "wide"), [(60, 60), (100, 100), (300, 120), (20, 40)])
def test_text_is_as_wide_as_the_terminal(monkeypatch, columns: int, wide: int) -> None:
    monkeypatch.setattr("sys.stdout", Terminal())
    monkeypatch.setenv("COLUMNS", str(columns))
    lines = writing.wrapped("word " * 100).splitlines()
    assert max(map(len, lines)) == wide - wide % 5 - 1 if wide % 5 else wide - 1


def test_where_there_is_none_it_is_eighty_columns(monkeypatch) -> None:
    monkeypatch.setattr("sys.stdout", io.StringIO())
    monkeypatch.setenv("COLUMNS", "200")
    assert writing.width() == 80
    assert os.environ["COLUMNS"] == "200"


# --- bins of a card's lines ------------------------------------------------------------------------------

TWO_BINS = tuple(
    bin_row
    for row in STOCK
    for bin_row in (
        [(*row[:3], "D-08", 3, *row[5:]), (*row[:3], "D-40", 9, *row[5:])] if row[0] == "SP-100" else [row]
    )
)


def test_a_line_of_a_card_names_what_is_taken_for_it_alone(tmp_path: Path) -> None:
    """Two joints, a spacer of 1 in on each side of each: three lie in D-08, so the last comes from D-40."""
    second = FRAME[FRAME.index("[[adjustment.joint]]") :].replace("upper front", "upper rear")
    folder = shop(tmp_path / "shop", stock=(HEADINGS, *TWO_BINS), frame=FRAME + second)
    call("week", folder, status=0)
    page = (folder / "reports" / "bench-2026-W49.html").read_text("utf-8")
    card = flowing(
        re.sub(r"<[^>]+>", " ", page.partition('id="job-J-4109"')[2].partition("Pick list, week")[0])
    )
    assert "D-08: 3" not in card
    assert "1 spacer 1 in SP-100 D-08 torque" in card
    assert "1 spacer 1 in SP-100 D-08: 1, D-40: 1" in card


def test_the_demo_has_one_name_for_its_workshop() -> None:
    import openpyxl

    demo = Path(__file__).resolve().parents[2] / "data_demo"
    name = re.search(r'^name\s*=\s*"(.+)"', (demo / "reconcile.toml").read_text("utf-8"), re.MULTILINE)
    assert name is not None
    titles = [
        str(cell)
        for book in ("jobs.xlsx", "stock.xlsx")
        for sheet in openpyxl.load_workbook(demo / book)
        for row in sheet.iter_rows(max_row=3, values_only=True)
        for cell in row
        if "orkshop" in str(cell)
    ]
    assert titles
    assert [title for title in titles if not title.startswith(name[1])] == []
    assert (demo / "README.md").read_text("utf-8").count(f"{name[1]} does not exist") == 1
