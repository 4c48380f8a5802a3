"""``reconcile levels`` with all levels set together, replayed and drawn; levels that must be looked at."""

import json
import shutil
from datetime import date, timedelta
from pathlib import Path
from xml.etree import ElementTree as Xml

import openpyxl
import pytest
from books import workbook
from typer.testing import CliRunner

from reconcile.cli import app

DEMO = Path(__file__).resolve().parents[2] / "data_demo"
MONDAY = date(2026, 11, 23)
WHEN = ("--today", "2026-11-27")
HEAD = ["part", "on hand", "unit", "lead time days", "price", "currency", "reorder point", "order up to"]
STOCK = [
    [*HEAD, "safety stock", "kind"],
    ["BOLT", 30, "each", 5, "0.50", "EUR", 4, 20, 2, "bolt"],
    ["PAN", 1, "each", 20, "80.00", "EUR", 1, 2, 1, "pan"],
    ["PLATE", 2, "each", 10, "12.00", "EUR", 1, 3, 0, "plate"],
    ["RARE", 0, "each", 40, "3.00", "EUR", 1, 2, 0, "clip"],
]
USAGE_HEAD = ["date", "part", "quantity", "job"]


def jobs(weeks=52, named=True):
    """Each week one job of bolts and a plate, every third week another of bolts and a pan; a clip twice."""
    rows = [USAGE_HEAD]
    for week in range(1, weeks + 1):
        day, name = MONDAY - timedelta(weeks=week, days=-2), f"J-{week}" if named else None
        rows += [[day, "BOLT", 2, name], [day, "PLATE", 1, name]]
        if week % 3 == 0:
            pan = f"P-{week}" if named else None
            rows += [[day, "BOLT", 4, pan], [day, "PAN", 1, pan]]
    rows += [[MONDAY - timedelta(weeks=week, days=-2), "RARE", 1, None] for week in (1, 17)]
    return rows


def shop(folder, settings="", **given):
    workbook(folder / "stock.xlsx", Stock=STOCK, Usage=jobs(**given))
    if settings:
        (folder / "reconcile.toml").write_text(f"[levels]\n{settings}\n", encoding="utf-8")
    return folder


def run(*words, status=0):
    result = CliRunner().invoke(app, [*map(str, words), *WHEN])
    assert result.exit_code == status, result.output
    return result


def said(*words):
    return " ".join(run(*words).stdout.split())


def told(*words):
    return json.loads(run(*words, "--json").stdout)


# --- for a share, or for a sum ----------------------------------------------------------------------------


def test_whole_kits_are_served_for_less_than_the_plain_rule(tmp_path):
    found = told("levels", shop(tmp_path, 'measure = "kits"\nservice = 0.9'))
    assert (found["measure"], found["service"], found["budget"]) == ("kits", 0.9, None)
    trade = found["trade"]
    # 51 jobs with a plate within the year, 17 with a pan, and two clips without a job, each a job of its own.
    assert (trade["measure"], trade["jobs"], trade["parts"]) == ("kits", 70, 4)
    assert 0.9 <= trade["proposed"]["share"] < 1
    values = [float(point["value"]) for point in trade["curve"]]
    shares = [point["share"] for point in trade["curve"]]
    assert values == sorted(values) and shares == sorted(shares)
    assert set(trade) >= {"plain", "given", "proposed"}


def test_a_sum_buys_what_it_can_and_no_more(tmp_path):
    found = told("levels", shop(tmp_path, 'measure = "kits"\nbudget = 15'))
    assert float(found["trade"]["proposed"]["value"]) <= 15
    # A pan alone costs more than all: none is kept, and the bolts of its jobs are not kept for it.
    pan = next(part for part in found["parts"] if part["part"] == "PAN")
    assert (pan["proposed"]["reorder_point"], pan["proposed"]["order_up_to"]) == (0, 0)
    assert any(reason.startswith("Keep none: it is bought when it is needed.") for reason in pan["reasons"])
    more = told("levels", shop(tmp_path, 'measure = "kits"\nbudget = 500'))
    assert more["trade"]["proposed"]["share"] > found["trade"]["proposed"]["share"]


def test_a_budget_alone_buys_need_met(tmp_path):
    words = said("levels", shop(tmp_path, "budget = 100"))
    assert "Aim: as much use met at once as a mean shelf of 100.00 buys." in words
    assert "Money against service: need met at once, 4 parts with a price, all set together" in words


def test_need_met_of_all_parts_together_costs_least_where_prices_differ(tmp_path):
    folder = shop(tmp_path, 'measure = "fill"\nservice = 0.9')
    together = told("levels", folder)["trade"]
    assert together["proposed"]["share"] >= 0.9
    dearer = [point for point in together["curve"] if point["share"] > together["proposed"]["share"]]
    assert all(float(point["value"]) >= float(together["proposed"]["value"]) for point in dearer)


# --- sentences --------------------------------------------------------------------------------------------


def test_kits_without_a_job_in_usage_are_said(tmp_path):
    folder = shop(tmp_path, 'measure = "kits"', named=False)
    words = said("levels", folder)
    assert "notice usage-without-jobs at reconcile.toml" in words
    assert "no use of the last year names the job it was for" in words
    assert "Aim: 95 % of use met at once, all parts together." in words
    assert told("levels", folder)["measure"] == "fill"


def test_a_budget_below_what_safety_stock_costs_is_said(tmp_path):
    words = said("levels", shop(tmp_path, "budget = 50"))
    assert "notice levels-budget" in words
    # Two bolts at 0.50 and a pan at 80.00.
    assert (
        "A budget of 50.00 is less than the safety stock on the sheet, which alone is worth 81.00." in words
    )
    assert "levels-budget" not in said("levels", shop(tmp_path, "budget = 100"))


@pytest.mark.parametrize("sum_", ["0", "-5", '"2500"', "true", "nan"])
def test_a_budget_that_is_none_is_refused(tmp_path, sum_):
    answer = run("levels", shop(tmp_path, f"budget = {sum_}"), status=2)
    assert "is no sum for the shelf" in " ".join(answer.stderr.split())


# --- levels to be looked at -------------------------------------------------------------------------------


def test_a_level_far_above_any_need_is_marked_and_refused_unless_named(tmp_path):
    """RARE: two clips in a record that begins with the first, 17 weeks ago; eight weeks of lead time."""
    folder = tmp_path
    rows = [row for row in jobs(weeks=17) if row[1] != "RARE" or row[0] < MONDAY]
    workbook(folder / "stock.xlsx", Stock=STOCK, Usage=rows)
    words = said("levels", folder)
    assert "Look at this first: 1 proposal far above any need of a lead time" in words
    assert "RARE order at 4; the most in a lead time was 1 each" in words
    part = told("levels", folder, "--part", "RARE")
    assert part["look"] is True and part["greatest_need"] == 1
    out = folder / "levels.xlsx"
    run("levels", folder, "--out", out)
    page = list(openpyxl.load_workbook(out)["Shelf levels"].iter_rows(values_only=True))
    looked = {row[0]: row[page[0].index("look at this")] for row in page[1:5]}
    assert looked == {"BOLT": None, "PAN": None, "PLATE": None, "RARE": "yes"}


def week(folder, *words):
    """A week of one job that asks for nothing of these parts."""
    result = CliRunner().invoke(app, ["week", str(folder), "--json", "--use-proposed-levels", *words, *WHEN])
    assert result.exit_code in {0, 1}, result.output
    return json.loads(result.stdout)


def test_the_week_orders_by_it_only_when_it_is_named(tmp_path, monkeypatch):
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "shop"
    folder.mkdir()
    workbook(folder / "stock.xlsx", Stock=STOCK, Usage=jobs(weeks=17))
    workbook(
        folder / "jobs.xlsx",
        Jobs=[["job", "date", "frame", "from", "to"], ["J-1", date(2026, 12, 1), "NQ-T1", "16 in", "17 in"]],
    )
    (folder / "frames").mkdir()
    shutil.copy(DEMO / "frames" / "NQ-T1.toml", folder / "frames")
    refused, named = week(folder), week(folder, "--even-for", "RARE")
    ups = [
        {part["part"]: part["order_up_to"] for part in answer["levels"]["parts"]}
        for answer in (refused, named)
    ]
    assert "RARE" not in ups[0] and ups[1]["RARE"] == 5
    assert ups[0] == {part: up for part, up in ups[1].items() if part != "RARE"}
    codes = [[fault["code"] for fault in answer["problems"]] for answer in (refused, named)]
    assert "level-to-look-at" in codes[0] and "level-to-look-at" not in codes[1]
    orders = [{part["part"]: part["order"] for part in answer["parts"]} for answer in (refused, named)]
    # Nothing on hand: by the sheet up to 2, by the level that was named up to 5.
    assert (orders[0]["RARE"], orders[1]["RARE"]) == (2, 5)


# --- the replay -------------------------------------------------------------------------------------------


def test_a_replay_has_all_policies_side_by_side(tmp_path):
    found = told("levels", shop(tmp_path, 'measure = "kits"'), "--replay")
    assert [one["policy"] for one in found["policies"]] == ["proposed", "given", "plain"]
    for one in found["policies"]:
        for name in ("fill", "kits"):
            assert 0 <= one[name]["low"] <= one[name]["mean"] <= one[name]["high"] <= 1
        assert one["orders"]["mean"] > 0 and one["value"]["mean"] > 0
    assert [(one["against"], one["measure"]) for one in found["gains"]] == [
        ("given", "kits"),
        ("plain", "kits"),
    ]
    assert found["draws"] >= 30 and found["weeks"] == 13
    assert found["drawn_from"] == "the last 13 weeks, which the proposal did not know"
    assert found == told("levels", tmp_path, "--replay")


def test_a_replay_on_the_screen_begins_with_who_wins_and_fits(tmp_path):
    text = run("levels", shop(tmp_path), "--replay").stdout
    assert text.splitlines()[0].startswith(("For the same money the proposal serves", "The proposal loses"))
    assert [line for line in text.splitlines() if len(line) > 80] == []
    assert "Against the plain rule (mean and deviation)" in " ".join(text.split())


def test_a_proposal_that_loses_says_so(tmp_path):
    """Use that the record never saw: the last quarter asks for forty times as many bolts, and no pans."""
    rows = jobs(named=True)
    last = MONDAY - timedelta(weeks=13)
    rows = [USAGE_HEAD] + [
        [day, part, quantity * 40 if part == "BOLT" and day >= last else quantity, job]
        for day, part, quantity, job in rows[1:]
        if not (part == "PAN" and day >= last)
    ]
    stock = [[*row] for row in STOCK]
    stock[1][6:8] = 400, 500  # the sheet's own levels of bolts happen to be right
    workbook(tmp_path / "stock.xlsx", Stock=stock, Usage=rows)
    first = run("levels", tmp_path, "--replay").stdout.split("\n\n")[0]
    assert "The proposal loses against the sheet's levels" in " ".join(first.split())
    assert told("levels", tmp_path, "--replay")["gains"][0]["loses"] is True


def test_a_replay_without_anything_to_replay_says_what_it_takes(tmp_path):
    workbook(tmp_path / "stock.xlsx", Stock=STOCK, Usage=jobs(weeks=14))
    answer = run("levels", tmp_path, "--replay", status=2)
    assert "it takes use in at least 13 weeks before the last 13" in " ".join(answer.stderr.split())


# --- the picture ------------------------------------------------------------------------------------------


def test_the_curve_is_drawn_with_its_marks_and_stands_alone(tmp_path):
    out = tmp_path / "curve.svg"
    assert f"Written: {out}" in run("levels", shop(tmp_path, 'measure = "fill"'), "--picture", out).stdout
    drawing = Xml.fromstring(out.read_text("utf-8"))
    trade = told("levels", tmp_path)["trade"]
    marks = {one.get("data-name"): one for one in drawing.iter() if one.get("data-name")}
    assert set(marks) == {"proposed", "plain", "given"}
    assert all(float(one.get("data-value").split("/")[0]) > 0 for one in marks.values())
    lines = [one for one in drawing.iter() if one.tag.endswith("line") and one.get("stroke") == "#0072b2"]
    assert len(lines) == len(trade["curve"]) - 1
    assert "proposed:" in "".join(drawing.itertext())


def test_the_sheet_of_money_and_service_has_the_curve(tmp_path):
    out = tmp_path / "levels.xlsx"
    run("levels", shop(tmp_path, 'measure = "fill"'), "--out", out)
    page = openpyxl.load_workbook(out)["Money and service"]
    names = [cell.value for cell in page["A"]]
    assert {"set together", "proposed", "plain rule", "the sheet's"} <= set(names)
    assert len(page._charts) == 1


def test_what_is_no_drawing_is_refused(tmp_path):
    folder = shop(tmp_path)
    assert "end it in .svg" in run("levels", folder, "--picture", folder / "a.png", status=2).stderr
    plain = [[*row] for row in STOCK]
    for row in plain[1:]:
        row[4] = None
    workbook(folder / "stock.xlsx", Stock=plain, Usage=jobs())
    answer = run("levels", folder, "--picture", folder / "a.svg", status=2)
    assert "Nothing with a price has a proposal" in " ".join(answer.stderr.split())
    assert told("levels", folder)["trade"] is None
