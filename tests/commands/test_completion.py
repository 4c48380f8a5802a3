"""The tab key: names from the workshop's own files, as each shell asks for them; nothing on any fault."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from reconcile.values.catalogue import CODES
from reconcile.work.workshop.demo import copy_demo

RUN = "from reconcile.cli import main; main()"


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "workshop"
    copy_demo(folder, force=False)
    return folder


def offered(*words: object, **environment: str) -> list[str]:
    """What bash is offered for the last word; nothing on standard error, ever."""
    line = [str(word) for word in words]
    env = {name: value for name, value in os.environ.items() if not name.startswith("RECONCILE_")}
    env |= {
        "_RECONCILE_COMPLETE": "complete_bash",
        "COMP_WORDS": " ".join(["reconcile", *line]),
        "COMP_CWORD": str(len(line)),
        **environment,
    }
    done = subprocess.run([sys.executable, "-c", RUN], capture_output=True, check=False, env=env, text=True)
    assert done.stderr == ""
    return done.stdout.split()


@pytest.mark.slow
def test_jobs_are_offered_whatever_week_they_are_in(workshop: Path) -> None:
    every = offered("check", "--in", workshop, "J-4")
    assert {"J-4101", "J-4143"} <= set(every)
    assert all(each.startswith("J-4") for each in every)
    assert offered("check", "--in", workshop, "J-4101") == ["J-4101"]


@pytest.mark.slow
def test_why_offers_parts_too(workshop: Path) -> None:
    assert {"B14-250", "B14-300"} <= set(offered("why", "--in", workshop, "B14-"))
    assert "J-4101" in offered("why", "--in", workshop, "J-41")


@pytest.mark.slow
def test_frames_are_offered_to_both_that_ask_for_one(workshop: Path) -> None:
    codes = ["BD-A4", "KD-W5", "NQ-T1", "OS-X3", "VL-M2"]
    assert offered("frames", "--in", workshop, "") == codes
    assert offered("check", "--in", workshop, "--frame", "") == codes
    assert offered("frames", "--frames", workshop / "frames", "V") == ["VL-M2"]


def test_codes_of_problems_are_offered() -> None:
    assert offered("problems", "job-") == [code for code in CODES if code.startswith("job-")]


def test_the_folder_may_stand_in_the_environment(workshop: Path) -> None:
    assert offered("frames", "N", RECONCILE_IN=str(workshop)) == ["NQ-T1"]


def test_commands_and_options_are_offered() -> None:
    assert offered("w") == ["week", "why"]
    assert offered("week", "--qu") == ["--quiet"]


@pytest.mark.slow
def test_nothing_is_offered_from_what_cannot_be_read(tmp_path: Path) -> None:
    assert offered("check", "--in", tmp_path / "nowhere", "J") == []
    (tmp_path / "jobs.xlsx").write_bytes(b"no workbook")
    (tmp_path / "reconcile.toml").write_text("nonsense = ", "utf-8")
    for words in (("check", "J"), ("why", "J"), ("frames", "N")):
        assert offered(words[0], "--in", tmp_path, words[1]) == []


@pytest.mark.slow
def test_parts_are_offered_where_the_jobs_cannot_be_read(workshop: Path, tmp_path: Path) -> None:
    words = ("why", "--in", tmp_path, "--stock", workshop / "stock.xlsx", "B14-25")
    assert offered(*words) == ["B14-250"]


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_each_shell_is_given_its_script_on_standard_output(shell: str) -> None:
    env = {**os.environ, "_TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION": "1"}
    done = subprocess.run(
        [sys.executable, "-c", RUN, "--show-completion", shell],
        capture_output=True, check=False, env=env, text=True,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    assert f"complete_{shell}" in done.stdout
    assert "reconcile" in done.stdout
