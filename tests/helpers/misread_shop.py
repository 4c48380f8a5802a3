"""A small shop for tests of what can be misread: one frame with an option, bolts of every half inch."""

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from books import workbook
from typer.testing import CliRunner

from reconcile.cli import app

TUESDAY = date(2026, 12, 1)
FRAME = """
code = "NQ-T1"
source = "build sheet 12"
[[adjustment]]
name = "seat width"
minimum = "14 in"
maximum = "18 in"
step = "1/2 in"
[[adjustment.joint]]
name = "upper front"
bolts = 1
thread = "1/4-20 UNC"
head = "socket cap"
grades = ["ASTM A574"]
length = "1 1/2 in"
grip = "1 in"
lengthen = [{ option = "front rigging", by = "1/4 in" }]
engagement = { minimum = "3/8 in", depth = "5/8 in" }
into = "aluminium"
spacers = [{ part = "SP-050", thickness = "1/2 in" }, { part = "SP-100", thickness = "1 in" }]
spacer_reuse = "after inspection"
"""
JOBS = ("job", "date", "frame", "from", "to")
HEADINGS = ("part", "description", "grade", "bin", "on hand", "unit", "supplier", "lead time days")
STOCK: tuple[tuple, ...] = (
    ("B14-200", "SHCS 1/4-20 x 2", "ASTM A574", "B-18", 20, "each", "ARDEN", 3),
    ("B14-225", "SHCS 1/4-20 x 2-1/4", "ASTM A574", "B-19", 20, "each", "ARDEN", 3),
    ("B14-250", "SHCS 1/4-20 x 2-1/2", "ASTM A574", "B-20", 20, "each", "ARDEN", 3),
    ("B14-275", "SHCS 1/4-20 x 2-3/4", "ASTM A574", "B-21", 20, "each", "ARDEN", 3),
    ("SP-050", "Spacer 1/2 in", None, "C-1", 40, "each", "ARDEN", 3),
    ("SP-100", "Spacer 1 in", None, "C-2", 40, "each", "ARDEN", 3),
)
ONE_JOB: tuple[tuple, ...] = (("J-4109", TUESDAY, "NQ-T1", "14 in", "16 in"),)


def shop(
    folder: Path,
    jobs: Sequence[Sequence[object]] = (JOBS, *ONE_JOB),
    stock: Sequence[Sequence[object]] = (HEADINGS, *STOCK),
    settings: str = "",
    frame: str = FRAME,
    **sheets: Sequence[Sequence[object]],
) -> Path:
    """The shop's folder; its job takes a chair from 14 in to 16 in, two steps on each side."""
    (folder / "frames").mkdir(parents=True)
    (folder / "frames" / "NQ-T1.toml").write_text(frame, "utf-8")
    (folder / "reconcile.toml").write_text(settings, "utf-8")
    workbook(folder / "jobs.xlsx", Jobs=jobs)
    workbook(folder / "stock.xlsx", Stock=stock, **sheets)
    return folder


def call(*words: object, status: int | None = None) -> str:
    """What a command prints and complains of, as a person on Friday 27 November 2026 types it."""
    done = CliRunner().invoke(app, [*map(str, words), "--today", "2026-11-27"])
    assert status is None or done.exit_code == status, done.output
    return done.output


def flowing(text: str) -> str:
    """The text on one line, to look for words in it that may be wrapped."""
    return " ".join(text.split())
