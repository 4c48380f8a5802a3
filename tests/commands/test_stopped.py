"""Our own faults, a reader that goes away, and Ctrl-C: each said in a line, none a traceback."""

import inspect
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from test_faults_of_disk import TODAY, files, put_old, shop  # noqa: F401  (shop is a fixture)
from typer.testing import CliRunner

from reconcile import cli
from reconcile.commands.shell import terminal

FINE, SHORT, OWN_FAULT, STOPPED = 0, 1, 70, 130
NOTHING_SAID = ""


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


def call(*words: object):
    return CliRunner().invoke(cli.app, [str(word) for word in words])


def process(*words: object, code: str = "import reconcile.cli as cli; cli.main()", **more):
    return subprocess.Popen(
        [sys.executable, "-c", code, *map(str, words)],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **more,
    )  # fmt: skip


# --- the program's own faults -----------------------------------------------------------------------------


def commands() -> dict[str, list[str]]:
    """Every command there is, with a word for each argument that it needs."""
    return {
        each.name or each.callback.__name__.replace("_", "-"): [
            "word"
            for asked in inspect.signature(each.callback).parameters.values()
            if asked.default is asked.empty
        ]
        for each in cli.app.registered_commands
    }


def doing(instead: Callable[[], int], monkeypatch: pytest.MonkeyPatch) -> None:
    """Every command does something else."""
    guarded = terminal.guarded
    monkeypatch.setattr(terminal, "guarded", lambda _run, *words, **named: guarded(instead, *words, **named))


@pytest.mark.slow
@pytest.mark.parametrize("name", commands())
@pytest.mark.parametrize("debug", [False, True], ids=["plain", "--debug"])
def test_each_command_says_that_a_fault_of_the_program_is_ours(monkeypatch, name: str, debug: bool) -> None:
    def broken() -> int:
        raise RuntimeError("the shelf fell over")

    doing(broken, monkeypatch)
    answer = call(name, *commands()[name], *(["--debug"] if debug else []))
    assert (answer.exit_code, answer.stdout) == (OWN_FAULT, NOTHING_SAID)
    assert "error own-fault at reconcile!" in answer.stderr
    assert "RuntimeError: the shelf fell over." in answer.stderr
    assert "--debug" in answer.stderr
    assert ("Traceback (most recent call last)" in answer.stderr) is debug


# --- a reader that has seen enough --------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize(
    ("words", "status"),
    [
        (("week", "{shop}", *TODAY, "--force"), SHORT),
        (("week", "{shop}", *TODAY, "--json"), SHORT),
        (("check", "J-1", "--in", "{shop}", *TODAY), FINE),
        (("problems",), FINE),
        (("--version",), FINE),
    ],
    ids=lambda words: words if isinstance(words, int) else " ".join(words[:1]),
)
def test_a_reader_that_goes_away_is_no_fault(shop: Path, words: tuple[str, ...], status: int) -> None:  # noqa: F811
    run = process(*(word.format(shop=shop) for word in words))
    run.stdout.close()
    assert run.stderr.read() == NOTHING_SAID
    run.stderr.close()
    assert run.wait() == status
    if "--force" in words:
        assert {"order-2026-W49.xlsx", "report-2026-W49.xlsx"} <= files(shop / "reports").keys()


def test_a_closed_standard_output_is_no_fault(shop: Path) -> None:  # noqa: F811
    done = subprocess.run(
        [sys.executable, "-m", "reconcile.cli", "week", str(shop), *TODAY, "--dry-run"],
        stderr=subprocess.PIPE, check=False, text=True, preexec_fn=lambda: os.close(1),
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (SHORT, NOTHING_SAID)


# --- Ctrl-C ------------------------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("name", commands())
def test_each_command_stops_at_ctrl_c_without_a_traceback(monkeypatch, name: str) -> None:
    def stopped() -> int:
        raise KeyboardInterrupt

    doing(stopped, monkeypatch)
    answer = call(name, *commands()[name])
    assert (answer.exit_code, answer.stdout, answer.stderr) == (STOPPED, NOTHING_SAID, "Stopped.\n")


SLOW = """
import sys, time, pathlib
import reconcile.cli as cli, reconcile.reports.writing.files as files
real = files._write_one
def slow(output, write):
    real(output, write)
    pathlib.Path(sys.argv[2], "under-way").touch()
    time.sleep(30)
files._write_one = slow
cli.main()
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name == "nt", reason="another kind of signal")
def test_ctrl_c_while_writing_leaves_everything_as_it_was(shop: Path) -> None:  # noqa: F811
    put_old(shop / "reports", ["order-2026-W49.xlsx"])
    before = files(shop)
    run = process("week", shop, *TODAY, "--force", code=SLOW)
    for _ in range(600):
        if (shop / "under-way").exists():
            break
        time.sleep(0.05)
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=30)
    (shop / "under-way").unlink()
    assert (run.returncode, out, err) == (STOPPED, NOTHING_SAID, "Stopped.\n")
    assert files(shop) == before


READING = """
import sys, time, pathlib
import reconcile.cli as cli, reconcile.sheets.files.child_reader as reader
def slow(self, *words):
    pathlib.Path(sys.argv[2], "under-way").touch()
    time.sleep(30)
reader.ChildBook.read = slow
cli.main()
"""
CASES = Path(__file__).parents[1] / "cases" / "files"


@pytest.mark.slow
@pytest.mark.parametrize("name", ["SIGINT", "SIGTERM", "SIGHUP"])
@pytest.mark.skipif(os.name == "nt", reason="other kinds of signals")
def test_a_copy_of_a_workbook_is_gone_after_every_signal_that_can_be_caught(
    shop: Path,  # noqa: F811
    tmp_path: Path,
    name: str,
) -> None:
    copies, before = tmp_path / "copies", files(shop)
    copies.mkdir()
    run = process(
        "week", shop, "--stock", CASES / "stock.ods", *TODAY, code=READING,
        env={**os.environ, "TMPDIR": str(copies)},
    )  # fmt: skip
    for _ in range(600):
        if (shop / "under-way").exists():
            break
        time.sleep(0.05)
    assert [path.name for path in copies.glob("reconcile-*/*")] == ["workbook.ods"]
    run.send_signal(getattr(signal, name))
    _, err = run.communicate(timeout=30)
    assert run.returncode == 128 + getattr(signal, name)
    assert "Traceback" not in err
    assert list(copies.iterdir()) == []
    (shop / "under-way").unlink()
    assert files(shop) == before
