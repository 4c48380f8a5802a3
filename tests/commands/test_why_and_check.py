"""What `why` and `check` say on the demo week: derivations, promises, and a hold on a copy."""

import json
import re

import pytest
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.work.workshop.demo import copy_demo

TODAY = ("--today", "2026-11-27")


@pytest.fixture(scope="module")
def workshop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo") / "workshop"
    copy_demo(folder, force=False)
    return folder


def said(*words, status=0):
    result = CliRunner().invoke(app, [str(word) for word in words])
    assert result.exit_code == status, result.output
    return result.stdout


def flat(text):
    return re.sub(r"\s+", " ", text)


def test_why_a_job_gives_steps_lengths_windows_and_the_cells_they_rest_on(workshop):
    # 18 in down to 16 in at 1/2 in from 14 in: 8 steps to 4; 5 left and 3 right now, 2 and 2 wanted.
    text = flat(said("why", "J-4125", "--in", workshop, *TODAY))
    assert "steps now: (18 in - 14 in) / 1/2 in = 8: left 5, right 3 [jobs.xlsx!Jobs!E28]" in text
    assert "steps wanted: (16 in - 14 in) / 1/2 in = 4: left 2, right 2 [jobs.xlsx!Jobs!F28]" in text
    # Lower front: 1 1/2 + 2 x 1/2 = 2 1/2; grip 3/4 + 2 x 0.065 + 2 x 1/2 = 1.88; nut and a pitch past it
    # 0.328 + 0.05 = 0.378, and 1/2 more.
    assert "length 1 1/2 in + 2 x 1/2 in = 2 1/2 in" in text
    assert "window: grip + 0.378 in to grip + 0.878 in = 2.258 in to 2.758 in" in text
    assert "[NQ-T1.toml!adjustment[1].joint[3]]" in text
    assert "stock.xlsx!Stock!K14" in text


@pytest.mark.slow
def test_why_a_part_adds_up_day_by_day(workshop):
    text = flat(said("why", "B14-250", "--in", workshop, *TODAY))
    left = [int(each) for each in re.findall(r"; left (-?\d+)", text)]
    moves = re.findall(r"\d{4}-\d\d-\d\d: (.*?); left", text)
    book = 30 + 6 - 4
    for move, after in zip(moves, left, strict=True):
        came, went = re.search(r"in (\d+)", move), re.search(r"out (\d+) \((.*?)\)", move)
        book += int(came[1]) if came else 0
        if went:
            assert int(went[1]) == sum(int(each.split()[-1]) for each in went[2].split(", "))
            book -= int(went[1])
        assert book == after
    assert "order PO-0876" in text
    assert "after inspection" in text


def test_why_neither_job_nor_part_names_the_nearest(workshop):
    result = CliRunner().invoke(app, ["why", "B14-25O", "--in", str(workshop), *TODAY])
    assert result.exit_code == 2
    assert "B14-250" in flat(result.stderr)


def test_check_says_what_a_short_job_misses_and_when_it_could_be_done(workshop):
    text = said("check", "J-4110", "--in", workshop, *TODAY, status=1)
    assert text.startswith("No: the kit for J-4110 is not complete on Tue 2026-12-01.")
    assert "It could be done" in flat(text)


def test_check_marks_a_substitute_with_what_it_leaves_past_the_nut(workshop):
    text = flat(said("check", "J-4103", "--in", workshop, *TODAY))
    offered = "SUBSTITUTE: asked 92.5 mm, offered 100 mm, 9.8 mm past the nut."
    assert f"{offered} A qualified technician must agree." in text


def test_exact_only_offers_no_substitute(workshop):
    words = ("week", workshop, *TODAY, "--json", "--exact-only")
    result = json.loads(said(*words, status=1))
    assert not any(line["substitute"] for job in result["jobs"] for line in job["lines"])


ASKED = ("--frame", "NQ-T1", "--from", "16 in", "--to", "17 in", "--date", "2026-12-03", "--priority", "2")


def test_a_job_that_asks_is_told_whose_kit_would_have_to_give_way(workshop):
    found = json.loads(said("check", *ASKED, "--in", workshop, *TODAY, "--json", status=1))
    # It is a job of the week after, which has its kit if something is ordered.
    other = json.loads(said("check", found["gives_way"], "--in", workshop, *TODAY, "--json", status=1))
    assert found["answer"] == "no"
    assert other["priority"] > 2
    assert other["kit"] != "short"
    assert [missing["part"] for missing in found["missing"]]


@pytest.mark.slow
def test_a_hold_counts_at_once_and_leaves_the_jobs_workbook_alone(workshop):
    before = (workshop / "jobs.xlsx").read_bytes()
    words = ("--frame", "BD-A4", "--from", "15 in", "--to", "16 in", "--date", "2026-12-09")
    text = said("check", "J-900", *words, "--in", workshop, *TODAY, "--hold")
    assert text.startswith("Yes: the kit for J-900 is on the shelf for Wed 2026-12-09.")
    assert "Held: J-900 for Wed 2026-12-09" in flat(text)
    assert (workshop / "jobs.xlsx").read_bytes() == before
    assert said("check", "J-900", "--in", workshop, *TODAY).startswith("Yes: the kit for J-900")
    said("ledger", "--release", "J-900", "--in", workshop)


def test_nothing_is_held_when_the_answer_is_no_or_without_a_number(workshop):
    assert "Not held" in said("check", "J-901", *ASKED, "--in", workshop, *TODAY, "--hold", status=1)
    refused = CliRunner().invoke(app, ["check", *ASKED, "--in", str(workshop), *TODAY, "--hold"])
    assert refused.exit_code == 2
    assert "Give the job a number" in flat(refused.stderr)
    assert [path.name for path in workshop.glob("jobs*")] == ["jobs.xlsx"]


def test_what_a_job_recovers_is_named_where_it_serves_another(workshop):
    result = json.loads(said("week", workshop, *TODAY, "--json", status=1))
    sources = {each["from"] for job in result["jobs"] for each in job["awaits"]}
    assert any(source.endswith("after inspection") for source in sources)
    assert any(source.startswith("order ") for source in sources)


def test_the_exact_choice_serves_at_least_three_more_chairs_than_first_come(workshop):
    result = json.loads(said("week", workshop, *TODAY, "--json", status=1))
    served = sum(job["kit"] != "short" for job in (*result["jobs"], *result["others"]))
    assert served - result["first_come"]["jobs"] >= 3
    assert result["solution"] == {"proven": True, "gap": 0}
