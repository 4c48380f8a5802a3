"""The package from Python: light to import, the commands' own answers, exact tables, plain refusals."""

import doctest
import json
import subprocess
import sys
from datetime import date
from decimal import Decimal
from fractions import Fraction
from numbers import Rational
from pathlib import Path

import pytest
from typer.testing import CliRunner

import reconcile
from reconcile import interface
from reconcile.cli import app

WEEK, TODAY = "2026-W49", "2026-11-27"


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture(scope="module")
def inputs() -> reconcile.WeekInputs:
    return reconcile.read_week(reconcile.demo_folder(), week=WEEK, today=TODAY)


@pytest.fixture(scope="module")
def planned(inputs: reconcile.WeekInputs) -> reconcile.PlannedWeek:
    return inputs.run()


# --- the package itself ---------------------------------------------------------------------------------


def test_importing_the_package_loads_nothing_of_it() -> None:
    code = "import sys, reconcile; print([each for each in sys.modules if each.startswith('reconcile.')])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    assert done.stdout.strip() == "[]"


def test_planning_loads_no_pandas_before_a_table_is_asked_for() -> None:
    code = (
        "import sys, reconcile\n"
        f"planned = reconcile.read_week(reconcile.demo_folder(), week={WEEK!r}, today={TODAY!r}).run()\n"
        "print('pandas' in sys.modules, len(planned.json()['jobs']))\n"
        "planned.jobs; print('pandas' in sys.modules)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    assert done.stdout.split() == ["False", "39", "True"]


def test_every_public_name_is_there_and_no_other() -> None:
    assert all(getattr(reconcile, name) is not None for name in reconcile.__all__)
    assert set(reconcile.__all__) <= set(dir(reconcile))
    with pytest.raises(AttributeError, match="no_such_name"):
        reconcile.no_such_name  # noqa: B018


def test_the_example_in_the_documentation_runs() -> None:
    found = doctest.testmod(interface)
    assert found.attempted >= 4
    assert found.failed == 0


def test_each_public_thing_says_what_it_is() -> None:
    for thing in (interface.WeekInputs, interface.PlannedWeek):
        own = [each for name, each in vars(thing).items() if not name.startswith("_")]
        shown = [each for each in own if callable(each) or isinstance(each, property)]
        assert shown
        assert [each for each in shown if not each.__doc__] == []


# --- reading ----------------------------------------------------------------------------------------------


def test_what_was_read_is_told(inputs: reconcile.WeekInputs) -> None:
    assert inputs.period == (date(2026, 11, 30), date(2026, 12, 5))
    assert inputs.today == date(2026, 11, 27)
    assert inputs.frames == ["BD-A4", "KD-W5", "NQ-T1", "OS-X3", "VL-M2"]
    rows = inputs.rows.set_index("sheet")
    counted = rows["used"] + rows["of other days"] + rows["done"]
    assert (rows["read"] == counted + rows["set aside"] + rows["outside period"]).all()
    assert repr(inputs).startswith("<WeekInputs 2026-11-30 to 2026-12-05: 60 jobs, 329 parts, ")


def test_problems_come_with_their_cells(inputs: reconcile.WeekInputs) -> None:
    problems = inputs.problems
    (found,) = problems[problems["code"] == "date-ambiguous"].to_dict("records")
    assert (found["place"], found["value found"]) == ("jobs.xlsx!Jobs!B18", "3/12/2026")


@pytest.mark.parametrize("day", ["2026-11-27", date(2026, 11, 27)])
def test_a_day_may_be_text_or_a_date(day: date | str) -> None:
    read = reconcile.read_week(reconcile.demo_folder(), first=day, last=day, today=day)
    assert read.period == (date(2026, 11, 27), date(2026, 11, 27))


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"week": "W49"}, "'W49' is no ISO week"),
        ({"first": "2026-12-02"}, "go together"),
        ({"today": "yesterday"}, "yesterday"),
        ({"jobs": "nowhere/jobs.xlsx"}, "jobs.xlsx"),
    ],
)
def test_what_cannot_be_used_is_refused_in_plain_words(more: dict[str, str], says: str) -> None:
    with pytest.raises(reconcile.Unusable, match=says) as refused:
        reconcile.read_week(reconcile.demo_folder(), **more)
    assert refused.value.problems
    assert all(each.do for each in refused.value.problems)


def test_settings_may_be_overruled() -> None:
    read = reconcile.read_week(reconcile.demo_folder(), week=WEEK, today=TODAY, exact_only=True, patience=3)
    assert (read.inputs.settings.exact_only, read.inputs.settings.patience) == (True, 3)
    assert (read.run().kit_lines["substitute"] == "").all()


# --- planning ---------------------------------------------------------------------------------------------


def test_the_answer_is_that_of_the_command(planned: reconcile.PlannedWeek) -> None:
    words = ["week", str(reconcile.demo_folder()), "--week", WEEK, "--today", TODAY, "--json"]
    assert planned.json() == json.loads(CliRunner().invoke(app, words).stdout)


def test_tables_are_those_of_the_csv_files(planned: reconcile.PlannedWeek, tmp_path: Path) -> None:
    written = planned.write(tmp_path / "out", delimiter=",")
    assert all(path.is_file() for path in written)
    csv = {path.stem: path for path in written if path.suffix == ".csv"}
    tables = planned.tables()
    assert list(csv) == list(tables)
    for name, path in csv.items():
        heading = path.read_text("utf-8-sig").splitlines()[0].split(",")
        assert heading == list(tables[name].columns)


def test_nothing_is_written_over_unless_that_is_said(planned: reconcile.PlannedWeek, tmp_path: Path) -> None:
    before = {path: path.read_bytes() for path in planned.write(tmp_path)}
    with pytest.raises(reconcile.Unusable, match="output-exists"):
        planned.write(tmp_path)
    assert {path: path.read_bytes() for path in before} == before
    assert planned.write(tmp_path, force=True) == list(before)


def test_numbers_in_tables_are_exact(planned: reconcile.PlannedWeek) -> None:
    cells = [cell for frame in planned.tables().values() for column in frame for cell in frame[column]]
    assert [cell for cell in cells if isinstance(cell, float)] == []
    quantities = list(planned.kit_lines["quantity"])
    assert all(isinstance(each, Rational) for each in quantities)
    assert any(isinstance(each, Fraction) for each in quantities)
    assert not any(isinstance(each, Fraction) and each.denominator == 1 for each in quantities)
    assert all(each is None or isinstance(each, Decimal) for each in planned.orders["unit price"])


def test_parts_and_orders_agree(planned: reconcile.PlannedWeek) -> None:
    parts = planned.parts.set_index("part")
    orders = planned.orders.set_index("our part")
    wanted = parts[parts["order"] > 0]
    assert set(orders.index) == set(wanted.index)
    assert (orders["quantity"] == wanted["order"].reindex(orders.index)).all()
    assert (wanted["order"] == wanted["pack"] * wanted["packs"]).all()
    assert (wanted["order"] >= wanted["want"]).all()
    assert parts.loc["B14-250", ["shortfall", "want", "order", "packs"]].tolist() == [40, 190, 200, 4]


def test_two_suppliers_of_one_name_keep_a_table_each(monkeypatch, planned: reconcile.PlannedWeek) -> None:
    from reconcile.reports import outputs
    from reconcile.reports.week import tables

    def alike(week):
        return [tables.jobs(week), tables.jobs(week)]

    monkeypatch.setattr(outputs, "all_tables", alike)
    assert list(planned.tables()) == ["Jobs", "Jobs (2)"]


# --- bolt lengths ------------------------------------------------------------------------------------------


def test_bolt_lengths_by_step_in_the_frames_unit_and_in_millimetres(inputs: reconcile.WeekInputs) -> None:
    # Lower front of NQ-T1: 1 1/2 in at no step, half an inch more a step. Grip 3/4 in and two washers
    # of 0.065 in, half an inch more a step; nut and a pitch past it 0.328 + 0.05 = 0.378, and 1/2 more.
    bolts = inputs.bolts("nq-t1")
    own = bolts[(bolts["joint"] == "lower front") & (bolts["steps"] == 2)]
    (row,) = own.to_dict("records")
    assert [row[each] for each in ("bolt", "grip", "shortest", "longest")] == [
        "2 1/2 in", "1.88 in", "2.258 in", "2.758 in",
    ]  # fmt: skip
    assert row["bolt mm"] == Fraction("63.5")


def test_a_fitted_option_lengthens_its_joint_alone(inputs: reconcile.WeekInputs) -> None:
    plain, fitted = inputs.bolts("NQ-T1", []), inputs.bolts("NQ-T1", ["Front Rigging"])
    longer = plain[plain["bolt mm"].to_numpy() != fitted["bolt mm"].to_numpy()]
    assert set(longer["joint"]) == {"upper front"}


@pytest.mark.parametrize(("frame", "options"), [("NQ-T9", None), ("NQ-T1", ["wings"])])
def test_an_unknown_frame_or_option_is_refused_with_those_known(
    inputs: reconcile.WeekInputs, frame: str, options: list[str] | None
) -> None:
    with pytest.raises(reconcile.Unusable, match=r"Known: .*(NQ-T1|front rigging)"):
        inputs.bolts(frame, options)


# --- why ---------------------------------------------------------------------------------------------------


def test_why_names_the_cells(planned: reconcile.PlannedWeek) -> None:
    assert "[stock.xlsx!Stock!K14]" in planned.why("B14-250")
    assert "[jobs.xlsx!Jobs!E28]" in planned.why("J-4125")


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("J-4115", "date-ambiguous at jobs.xlsx!Jobs!B18"),  # set aside when it was read
        ("J-4116", "frame-unknown at jobs.xlsx!Jobs!C19"),  # set aside when it was planned
        ("B14-25O", "Nearest: .*B14-250"),
    ],
)
def test_why_not_is_told_too(planned: reconcile.PlannedWeek, name: str, says: str) -> None:
    with pytest.raises(reconcile.Unusable, match=says):
        planned.why(name)
