"""`reconcile levels`, and a week that orders by proposed levels: only where it is asked to."""

import json
from datetime import date, timedelta

import openpyxl
import pytest
from books import workbook
from typer.testing import CliRunner

import reconcile
from reconcile.cli import app
from reconcile.work.workshop.demo import copy_demo

FRIDAY = date(2026, 11, 27)
MONDAY = date(2026, 11, 23)
WHEN = ("--today", FRIDAY.isoformat())
STOCK = [
    [
        "part",
        "on hand",
        "unit",
        "lead time days",
        "price",
        "currency",
        "reorder point",
        "order up to",
        "supplier",
    ],
    ["OFTEN", 90, "each", 5, 2, "EUR", 1, 2, "TARN"],
    ["FRESH", 4, "each", 5, 3, "EUR", None, None, "TARN"],
    ["SELDOM", 5, "each", 5, 1, "EUR", 1, 2, "TARN"],
    ["SLOW", 0, "each", None, 1, "EUR", 1, 2, "TARN"],
    ["IDLE", 7, "each", 5, "1.50", "EUR", None, None, "TARN"],
]


def weekly(part, every=1, weeks=60):
    return [[MONDAY - timedelta(weeks=week), part, 3] for week in range(1, weeks, every)]


USAGE = [
    ["date", "part", "quantity", "job"],
    *weekly("OFTEN"), *weekly("FRESH", 2), *weekly("SELDOM", 30), *weekly("SLOW"), *weekly("UNLISTED", 9),
]  # fmt: skip


@pytest.fixture
def shop(tmp_path):
    workbook(tmp_path / "stock.xlsx", Stock=STOCK, Usage=USAGE)
    return tmp_path


def run(*words, status=0):
    result = CliRunner().invoke(app, [*map(str, words), *WHEN])
    assert result.exit_code == status, result.output
    return result


def said(*words):
    return " ".join(run(*words).stdout.split())


# --- the whole shelf --------------------------------------------------------------------------------------


def test_the_first_line_is_the_verdict_and_no_line_is_too_wide(shop):
    lines = run("levels", shop).stdout.splitlines()
    assert lines[0] == "Levels are proposed for 3 of 6 parts: 2 unlike the sheet's, 1 where it has none."
    assert [line for line in lines if len(line) > 80] == []


def test_every_part_is_there_with_its_levels_or_the_reason_why_not(shop):
    told = said("levels", shop)
    assert "Higher than on the sheet: 2 parts OFTEN order at 5, up to 6 each (now 1, 2: 0 % of cycles" in told
    assert "Not on the sheet: 1 part FRESH order at" in told
    assert (
        "No levels proposed No lead time is known, so the use until an order arrives cannot be told. 1 part:"
        " SLOW No use of it is recorded: it takes one week with use, and 13 weeks on record. 1 part: IDLE"
        " Stock does not list it. 1 part: UNLISTED"
    ) in told


def test_what_lies_there_for_nothing_is_named_with_its_value(shop):
    told = said("levels", shop)
    assert "Lies there unused since Thu 2025-11-27: 1 part, worth 10.50 EUR." in told
    assert "IDLE 7 each, 10.50 EUR; no use recorded" in told
    assert "A pack or more above order up to: 1 part, worth 168.00 EUR. OFTEN 84 each too many" in told


def test_without_use_nothing_is_called_dead(tmp_path):
    workbook(tmp_path / "stock.xlsx", Stock=STOCK)
    told = said("levels", tmp_path)
    assert told.startswith("No levels can be proposed for any of 5 parts.")
    assert "no use is recorded, so nothing can be said of what does not move" in told
    assert "Lies there unused" not in told


def test_a_usage_sheet_that_is_younger_than_a_year_says_so(tmp_path):
    rows = [USAGE[0], *weekly("OFTEN", weeks=20)]
    workbook(tmp_path / "stock.xlsx", Stock=STOCK, Usage=rows)
    assert "The usage sheet begins on Mon 2026-07-13 only" in said("levels", tmp_path)


def test_faults_of_the_usage_sheet_are_told_with_their_cells(tmp_path):
    later = [[date(2027, 3, 2), "IDLE", 4, None], [MONDAY, "OFTEN", -4, None]]
    workbook(tmp_path / "stock.xlsx", Stock=STOCK, Usage=[USAGE[0], *later, *USAGE[1:]])
    told = said("levels", tmp_path)
    assert "notice usage-to-come at stock.xlsx!Usage!A2 IDLE is said to have been used on 2027-03-02" in told
    assert "error number-negative at stock.xlsx!Usage!C3 -4 is less than nothing." in told
    assert "IDLE 7 each, 10.50 EUR; no use recorded" in told  # a use to come moves nothing


def test_the_settings_say_what_is_aimed_at(shop):
    (shop / "reconcile.toml").write_text('[levels]\nservice = 0.99\nmeasure = "fill"\n')
    assert "Aim: 99 % of use met at once, all parts together." in said("levels", shop)
    told = json.loads(run("levels", shop, "--json").stdout)
    assert (told["service"], told["measure"]) == (0.99, "fill")


# --- one part ---------------------------------------------------------------------------------------------


def test_one_part_is_told_whole(shop):
    text = run("levels", shop, "--part", "FRESH").stdout
    assert [line for line in text.splitlines() if len(line) > 80] == []
    told = " ".join(text.split())
    for words in (
        "FRESH: order at", "Not on the sheet.", "What each service costs", "90 %", "99 %", "a point",
        "intermittent (interval 1.97 weeks, variability 0).", "Forecast:", "How sure:", "One more,",
        "Forecasts put to the test",
    ):  # fmt: skip
        assert words in told, words


def test_a_part_without_a_proposal_says_why(shop):
    assert said("levels", shop, "--part", "SLOW") == (
        "SLOW: no levels can be proposed. No lead time is known, so the use until an order arrives cannot be"
        " told."
    )
    assert said("levels", shop, "--part", "UNLISTED").endswith("Stock does not list it.")


def test_the_workshops_lead_time_serves_a_part_that_names_none(shop):
    (shop / "reconcile.toml").write_text("lead_time_days = 5\n")
    told = said("levels", shop, "--part", "SLOW")
    assert told.startswith("SLOW: order at 5, up to 6 each.")


def test_a_part_that_is_not_there_is_answered_by_the_nearest(shop):
    answer = run("levels", shop, "--part", "OFTN", status=2)
    assert answer.stdout == ""
    assert "Nearest: OFTEN" in answer.stderr


# --- for programs, and as a workbook ----------------------------------------------------------------------


def test_json_is_one_object_with_every_part(shop):
    told = json.loads(run("levels", shop, "--json").stdout)
    parts = {each["part"]: each for each in told["parts"]}
    assert list(parts) == ["OFTEN", "FRESH", "SELDOM", "SLOW", "IDLE", "UNLISTED"]
    assert {name for name, each in parts.items() if each["proposed"] is None} == {
        name for name, each in parts.items() if each["why_none"]
    }
    often = parts["OFTEN"]
    # 3 in every week of the record: those of the lead time, and 3 for what the look finds below the level.
    assert (often["proposed"]["reorder_point"], often["proposed"]["order_up_to"]) == (5, 6)
    assert [each["service"] for each in often["services"]] == [0.9, 0.95, 0.98, 0.99]
    assert [each["part"] for each in told["idle"]] == ["IDLE"]
    one = json.loads(run("levels", shop, "--json", "--part", "OFTEN").stdout)
    assert one == {"schema": told["schema"], **often}


def test_the_workbook_has_every_part_service_and_fault(shop):
    out = shop / "levels.xlsx"
    assert f"Written: {out}" in run("levels", shop, "--out", out).stdout
    book = openpyxl.load_workbook(out)
    assert book.sheetnames == [
        "Shelf levels", "Money and service", "Services", "Dead and dear", "Problems",
    ]  # fmt: skip
    rows = list(book["Shelf levels"].iter_rows(values_only=True))
    named = {row[0]: dict(zip(rows[0], row, strict=True)) for row in rows[1:7]}
    assert (named["OFTEN"]["order at"], named["OFTEN"]["order up to"], named["OFTEN"]["up to now"]) == (
        5,
        6,
        2,
    )
    assert named["SLOW"]["why"].startswith("No lead time is known")
    assert book["Services"].max_row == 1 + 3 * 4
    assert [cell.value for cell in book["Dead and dear"]["B"]][1:3] == ["IDLE", "OFTEN"]


def test_a_file_that_is_there_is_kept_and_an_input_always_is(shop):
    out = shop / "levels.xlsx"
    out.write_bytes(b"mine")
    run("levels", shop, "--out", out, status=2)
    assert out.read_bytes() == b"mine"
    run("levels", shop, "--out", out, "--force")
    assert out.read_bytes() != b"mine"
    before = (shop / "stock.xlsx").read_bytes()
    answer = run("levels", shop, "--out", shop / "stock.xlsx", "--force", status=2)
    assert "output-is-input" in answer.stderr
    assert (shop / "stock.xlsx").read_bytes() == before
    assert "end it in .xlsx" in " ".join(
        run("levels", shop, "--out", shop / "a.csv", status=2).stderr.split()
    )


def test_quiet_says_nothing(shop):
    assert run("levels", shop, "--quiet").output == ""


# --- a week that orders by them ---------------------------------------------------------------------------


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    folder = tmp_path_factory.mktemp("levels") / "workshop"
    copy_demo(folder, force=False)
    return folder


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path, monkeypatch):
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


def week(demo, *words):
    return run("week", demo, *words, status=1).stdout


def test_orders_follow_the_proposed_levels_and_all_outputs_say_so(demo, tmp_path):
    plain, asked = (json.loads(week(demo, "--json", *more)) for more in ((), ("--use-proposed-levels",)))
    levels = asked.pop("levels")
    assert (levels["from"], levels["service"], levels["measure"]) == ("usage", 0.95, "cycle")
    followed = {each["part"]: each["order_up_to"] for each in levels["parts"]}
    orders = [{each["part"]: each["order"] for each in told["parts"]} for told in (plain, asked)]
    differing = {part for part in orders[0] | orders[1] if orders[0].get(part) != orders[1].get(part)}
    assert differing
    assert differing <= set(followed)
    assert plain["jobs"] == asked["jobs"]  # kits rest on what is there, not on levels

    screen = week(demo, "--use-proposed-levels", "--out", str(tmp_path / "out")).split("\n\n")[0]
    parts = len(reconcile.read_week(demo, today="2026-11-27").inputs.stock.parts)
    shares = f"{len(followed)} of {parts} parts"
    sentence = f"Orders follow levels proposed from usage, not those of the sheet, for {shares}"
    assert sentence in " ".join(screen.split())
    for book, sheet in (("report", "About this run"), ("order", "Summary")):
        page = openpyxl.load_workbook(tmp_path / "out" / f"{book}-2026-W49.xlsx")[sheet]
        cells = [str(cell) for row in page.iter_rows(values_only=True) for cell in row]
        assert [cell.startswith(sentence) for cell in cells].count(True) == 1


def test_nothing_is_applied_unasked(demo):
    told = week(demo, "--dry-run")
    assert "proposed" not in told
    assert "levels" not in json.loads(week(demo, "--json"))


def test_why_names_where_the_levels_come_from(demo):
    words = ("why", "B516-300", "--in", demo)
    assert "order up to 60 [stock.xlsx!Stock!W31]" in said(*words)
    proposed = said(*words, "--use-proposed-levels")
    assert "order up to 81 [levels proposed from usage, not those of the sheet]" in proposed
    assert "safety stock 6 [stock.xlsx!Stock!U31]" in proposed


def test_a_part_without_a_proposal_keeps_the_sheets_levels(demo):
    words = ("why", "BRG-608", "--in", demo, "--use-proposed-levels")
    answer = CliRunner().invoke(app, [*map(str, words), *WHEN])
    assert "proposed from usage" not in answer.stdout


# --- from Python ------------------------------------------------------------------------------------------


def test_python_has_the_same_tables_and_applies_nothing_unasked(demo):
    inputs = reconcile.read_week(demo, week="2026-W49", today="2026-11-27")
    levels = inputs.levels().set_index("part")
    assert list(levels.index) == list(inputs.inputs.stock.parts)
    assert (levels.at["B516-300", "up to now"], levels.at["B516-300", "order up to"]) == (60, 81)
    assert set(inputs.services()["service %"]) == {90, 95, 98, 99}
    assert set(inputs.dead_and_dear()["what"]) == {"unused", "above order up to"}
    plain, asked = (inputs.run(use_proposed_levels=each).parts.set_index("part") for each in (False, True))
    assert (plain.at["B516-300", "order up to"], asked.at["B516-300", "order up to"]) == (60, 81)
