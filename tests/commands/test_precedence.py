"""A choice is made by the option, else by the environment, else by the settings file, else by the default."""

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.request import Request
from reconcile.work.workshop.demo import copy_demo

NAME, EXACT = "RECONCILE_EXACT_ONLY", "exact_only = true\npatience = 2.5\n"


@pytest.fixture
def workshop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))
    folder = tmp_path / "workshop"
    copy_demo(folder, force=False)
    return folder


def substitutes(folder: Path, *words: str, **environment: str) -> int:
    """Lines of the demo week that are served by another length than asked for."""
    line = ["week", str(folder), "--today", "2026-11-27", "--json", *words]
    result = json.loads(CliRunner().invoke(app, line, env=environment).stdout)
    return sum(line["substitute"] for job in result["jobs"] for line in job["lines"])


def test_the_option_wins_over_the_environment_and_that_over_the_file(workshop: Path) -> None:
    assert substitutes(workshop) > 0
    settings = workshop / "reconcile.toml"
    settings.write_text(EXACT + settings.read_text("utf-8"), "utf-8")
    assert substitutes(workshop) == 0
    assert substitutes(workshop, **{NAME: "0"}) > 0
    assert substitutes(workshop, "--exact-only", **{NAME: "0"}) == 0
    assert substitutes(workshop, "--no-exact-only", **{NAME: "1"}) > 0


@pytest.mark.parametrize(("asked", "taken"), [(None, 2.5), (7.0, 7.0), (0.0, 0.0)])
def test_patience_is_that_of_the_file_unless_said_otherwise(
    workshop: Path, asked: float | None, taken: float
) -> None:
    settings = workshop / "reconcile.toml"
    settings.write_text(EXACT + settings.read_text("utf-8"), "utf-8")
    assert read_inputs(Request(folder=workshop, patience=asked)).settings.patience == taken


def test_patience_is_ten_seconds_where_nothing_is_said(workshop: Path) -> None:
    assert read_inputs(Request(folder=workshop)).settings.patience == 10


def test_a_patience_below_nothing_is_refused(workshop: Path) -> None:
    answer = CliRunner().invoke(app, ["week", str(workshop), "--patience", "-1"])
    assert (answer.exit_code, answer.stdout) == (2, "")
    assert "--patience" in answer.stderr
