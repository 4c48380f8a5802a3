"""Two weeks by the README in its own words, with what a clerk fills in: nothing twice, nothing lost."""

import shlex
from collections import Counter
from datetime import datetime
from pathlib import Path

import openpyxl
import pytest
from closing_shop import fill, on_hand
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger
from reconcile.work.workshop.demo import copy_demo

LEDGER = "stock-ledger.sqlite"
MOVED_TO = datetime(2026, 12, 2)
DONE_IN_48 = {"J-4091", "J-4092", "J-4093"}


def steps() -> list[str]:
    text = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
    block = text.partition("<!-- command: two weeks -->\n```sh\n")[2].partition("\n```")[0]
    return [line.removeprefix("reconcile ") for line in block.splitlines() if line.startswith("reconcile ")]


def said(words: str) -> str:
    answer = CliRunner().invoke(app, shlex.split(words))
    assert answer.exit_code in (0, 1), answer.output
    return " ".join(answer.stdout.split())


def give_a_new_day(shop: Path, job: str) -> None:
    book = openpyxl.load_workbook(shop / "jobs.xlsx")
    page = book["Jobs"]
    (row,) = (row for row in page.iter_rows(min_row=4) if row[0].value == job)
    row[1].value = MOVED_TO
    book.save(shop / "jobs.xlsx")


def jobs_of(path: Path) -> set[str]:
    page = openpyxl.load_workbook(path, read_only=True)["Done"]
    headings, *rows = page.iter_rows(values_only=True)
    return {row[headings.index("job")] for row in rows if row[headings.index("job")]}


@pytest.mark.slow
def test_two_weeks_of_the_demo_by_the_words_of_the_readme(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    copy_demo(tmp_path / "demo-workshop", force=False)
    shop = tmp_path / "demo-workshop"
    opening = on_hand(shop / "stock.xlsx")
    plan, hold, again, count, close, plan_next, wednesday, close_next, check = steps()

    text = said(plan)
    assert "Left over, not done when its week was closed: J-4094, J-4095" in text
    assert "J-4170" in text
    returns = shop / "reports" / "returns-2026-W49.xlsx"
    assert {"J-4094", "J-4095"} <= jobs_of(returns)
    assert not DONE_IN_48 & jobs_of(returns)

    give_a_new_day(shop, "J-4094")
    assert said(hold).startswith("Yes")
    fill(returns, "Done", lambda row: {"done": "yes"} if row["job"] == "J-4101" else {})
    text = said(again)
    assert "J-4095" in text.partition("Left over")[2].partition(";")[0]
    assert "J-4094" not in text.partition("Left over")[2].partition(";")[0]
    kept = openpyxl.load_workbook(returns)["Done"]
    headings, *rows = kept.iter_rows(values_only=True)
    done = {row[headings.index("job")]: row[headings.index("done")] for row in rows}
    assert done["J-4101"] == "yes"
    said(count)

    finished = {job for job in jobs_of(returns) if job != "J-4095"}
    fill(
        returns,
        "Done",
        lambda row: {"done": "yes" if row["kit"] == "complete" and row["job"] in finished else "no"},
    )
    fill(
        returns,
        "Deliveries",
        lambda row: {"received": row["on order"]} if row["due"] <= datetime(2026, 12, 4) else {},
    )
    said(close)
    with open_ledger(shop / LEDGER) as ledger:
        done_by_49 = set(ledger.done())
    assert {"j-4101", "j-4094"} <= {job.casefold() for job in done_by_49}

    text = said(plan_next)
    returns = shop / "reports" / "returns-2026-W50.xlsx"
    assert not {job.casefold() for job in jobs_of(returns)} & {job.casefold() for job in done_by_49}
    assert {"J-4170", "J-4171", "J-4095"} <= jobs_of(returns)
    said(wednesday)
    fill(returns, "Done", lambda row: {"done": "yes" if row["kit"] == "complete" else "no"})
    said(close_next)
    assert "says what opening and movements come to" in said(check)

    moved: Counter = Counter()
    with open_ledger(shop / LEDGER) as ledger:
        for part in ledger.parts():
            for entry in ledger.card(part):
                if entry.movement.kind != "opening" and entry.closing != "2026-W48":
                    moved[part, entry.movement.bin] += entry.movement.quantity
        assert ledger.audit() == []
    closing = on_hand(shop / "stock.xlsx")
    assert closing == {place: opening[place] + moved[place] for place in opening}
    assert any(moved.values())
