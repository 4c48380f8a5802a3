"""--quiet says nothing but errors; a long run says on a terminal what it is doing, and nowhere else."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.work.workshop.demo import copy_demo

TODAY = ("--today", "2026-11-27")
NOTHING = ""


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo") / "workshop"
    copy_demo(folder, force=False)
    return folder


def call(*words: object):
    return CliRunner().invoke(app, [str(word) for word in words])


# --- quiet ------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("week", "{}", *TODAY, "--dry-run"), 1),
        (("check", "J-4101", "--in", "{}", *TODAY), 0),
        (("check", "J-4106", "--in", "{}", *TODAY), 1),
        (("why", "J-4101", "--in", "{}", *TODAY), 0),
    ],
    ids=lambda words: " ".join(words[:2]) if isinstance(words, tuple) else words,
)
@pytest.mark.parametrize("option", ["--quiet", "-q"])
def test_quiet_leaves_the_answer_to_the_exit_status(
    workshop: Path, words: tuple[str, ...], status: int, option: str
) -> None:
    answer = call(*(word.format(workshop) for word in words), option)
    assert (answer.exit_code, answer.stdout, answer.stderr) == (status, NOTHING, NOTHING)


@pytest.mark.slow
def test_a_quiet_demo_writes_as_much_as_any(tmp_path: Path) -> None:
    answer = call("demo", tmp_path / "shop", "--quiet")
    assert (answer.exit_code, answer.stdout, answer.stderr) == (0, NOTHING, NOTHING)
    assert (tmp_path / "shop" / "reports" / "report-2026-W49.xlsx").is_file()


def test_a_quiet_hold_is_held(workshop: Path) -> None:
    asked = ("--frame", "BD-A4", "--from", "15 in", "--to", "16 in", "--date", "2026-12-09")
    answer = call("check", "J-950", *asked, "--in", workshop, *TODAY, "--hold", "--quiet")
    assert (answer.exit_code, answer.stdout, answer.stderr) == (0, NOTHING, NOTHING)
    assert "J-950 for Wed 2026-12-09" in call("ledger", "--in", workshop).stdout
    assert call("ledger", "--in", workshop, "--release", "J-950").exit_code == 0


@pytest.mark.parametrize(
    "words", [("week", "{}"), ("check", "J-1", "--in", "{}"), ("why", "J-1", "--in", "{}")]
)
def test_quiet_keeps_no_error_back(tmp_path: Path, words: tuple[str, ...]) -> None:
    answer = call(*(word.format(tmp_path) for word in words), "--quiet")
    assert (answer.exit_code, answer.stdout) == (2, NOTHING)
    assert "error file-missing at" in answer.stderr


def test_json_is_printed_however_quiet(workshop: Path) -> None:
    answer = call("check", "J-4101", "--in", workshop, *TODAY, "--json", "--quiet")
    assert answer.stdout.startswith('{"schema"')
    assert answer.stderr == NOTHING


# --- progress ---------------------------------------------------------------------------------------------

SLOW = """
import sys, time
from reconcile import week
from reconcile.commands.shell import progress
soon, seconds = float(sys.argv.pop(1)), float(sys.argv.pop(1))
progress.SOON = soon
real = week.plan_week
def slow(*words):
    time.sleep(seconds)
    return real(*words)
week.plan_week = slow
from reconcile.cli import main
main()
"""


def on_a_terminal(
    *words: object, soon: float = 0.05, seconds: float = 1.2, **environment: str
) -> tuple[int, str, str]:
    """Exit status, standard output (a file), and what a terminal got on standard error."""
    pty = pytest.importorskip("pty", reason="no terminals of this kind here")
    ours, theirs = pty.openpty()
    env = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLUMNS")}
    with tempfile.TemporaryFile("w+") as out:  # a pipe would fill up while nobody reads it
        run = subprocess.Popen(
            [sys.executable, "-c", SLOW, str(soon), str(seconds), *map(str, words)],
            stdout=out, stderr=theirs, stdin=theirs, env={**env, "TERM": "xterm", **environment},
        )  # fmt: skip
        os.close(theirs)
        shown = all_of(ours)
        status = run.wait(timeout=60)
        out.seek(0)
        return status, out.read(), shown


def all_of(terminal: int) -> str:
    """What is written to a terminal until its other end is closed."""
    shown = b""
    try:
        while piece := os.read(terminal, 4096):
            shown += piece
    except OSError:  # how Linux says that the other end is closed
        pass
    finally:
        os.close(terminal)
    return shown.decode()


def test_a_long_run_says_what_it_is_doing(workshop: Path) -> None:
    status, out, shown = on_a_terminal("week", workshop, *TODAY, "--dry-run")
    assert (status, "Planning the week" in shown) == (1, True)
    assert out.startswith("Not every job can be done")
    assert "Planning the week" not in out
    assert shown.endswith(("\x1b[2K", "\x1b[?25h", "\r\x1b[1A\x1b[2K"))  # the line is rubbed out again


def test_json_on_standard_output_stays_json(workshop: Path) -> None:
    status, out, shown = on_a_terminal("week", workshop, *TODAY, "--json")
    assert (status, out.count("\n")) == (1, 1)
    assert out.startswith('{"schema"')
    assert "Planning the week" in shown


@pytest.mark.slow
@pytest.mark.parametrize(
    ("more", "environment"),
    [(("--quiet",), {}), ((), {"TERM": "dumb"}), ((), {"NO_COLOR": "1"})],
    ids=["quiet", "a terminal that cannot rub out", "no colour wanted"],
)
def test_nothing_is_shown_where_nobody_wants_it(
    workshop: Path, more: tuple[str, ...], environment: dict[str, str]
) -> None:
    status, _, shown = on_a_terminal("week", workshop, *TODAY, "--dry-run", *more, **environment)
    assert (status, shown) == (1, NOTHING)


@pytest.mark.slow
def test_a_short_run_shows_nothing(workshop: Path) -> None:
    status, _, shown = on_a_terminal("week", workshop, *TODAY, "--dry-run", soon=60, seconds=0)
    assert (status, shown) == (1, NOTHING)


@pytest.mark.slow
def test_a_pipe_gets_nothing(workshop: Path) -> None:
    words = [sys.executable, "-c", SLOW, "0.05", "1.2", "week", str(workshop), *TODAY, "--dry-run"]
    done = subprocess.run(words, capture_output=True, check=False, text=True)
    assert (done.returncode, done.stderr) == (1, NOTHING)


def test_progress_that_cannot_be_shown_stops_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    from reconcile.commands.shell import progress

    def broken() -> None:
        raise RuntimeError("no such console")

    monkeypatch.setattr(progress, "_progress", broken)
    line = progress._StageLine()
    line.begin()
    line.stage("Reading")
    line.end()
    assert line._shown is None
