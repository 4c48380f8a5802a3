"""Whatever the disk does, outputs are whole or as they were, inputs are as they were, and it is said so.

A workshop of one frame is reconciled again and again: first its first call of the disk fails, then its
second, until a run has no call left to fail.
"""

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from itertools import count
from pathlib import Path
from xml.etree import ElementTree as Xml

import pytest
from books import workbook
from faulty_disk import BROKEN, FORBIDDEN, FULL, Disk, faulty, worth_trying
from hostile import ods_with
from python_calamine import CalamineWorkbook
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger
from reconcile.memory import KeptChoices
from reconcile.plan.solver.packing import Packed
from reconcile.sheets.files.books import open_book
from reconcile.values.problem import Unusable
from reconcile.work.workshop.demo import copy_demo

SHORT, UNUSABLE, OWN_FAULT = 1, 2, 70
FAULTS = (FULL, BROKEN, FORBIDDEN)
TODAY = ("--today", "2026-11-27")
JOBS = [
    ("job", "date", "frame", "from", "to"),
    ("J-1", date(2026, 12, 1), "ZB-1", "10 in", "10 1/2 in"),
    ("J-2", date(2026, 12, 2), "ZB-1", "10 in", "11 in"),
]
STOCK = [("part", "on hand", "unit", "supplier", "lead time days"), ("CLIP", 1, "each", "ALFA", 5)]
ONE_ROW = (
    b'<table:table-row><table:table-cell office:value-type="string"><text:p>part</text:p></table:table-cell>'
    b"</table:table-row>"
)
FRAME = """
code = "ZB-1"
source = "build sheet Z"
[[adjustment]]
name = "back height"
minimum = "10 in"
maximum = "12 in"
step = "1/2 in"
sides = 1
[[adjustment.disturbed]]
part = "CLIP"
quantity = "1 each"
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """The first of its two jobs takes the one part that there is."""
    folder = tmp_path / "shop"
    (folder / "frames").mkdir(parents=True)
    workbook(folder / "jobs.xlsx", Jobs=JOBS)
    workbook(folder / "stock.xlsx", Stock=STOCK)
    (folder / "frames" / "ZB-1.toml").write_text(FRAME, "utf-8")
    (folder / "reconcile.toml").write_text('currency = "EUR"\n', "utf-8")
    return folder


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


@pytest.fixture(autouse=True)
def nothing_fails_unseen(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """What Python could only print, because it failed while something was thrown away, counts as well."""
    unseen: list[object] = []
    monkeypatch.setattr(sys, "unraisablehook", unseen.append)
    yield
    assert unseen == []


def call(*words: object):
    return CliRunner().invoke(app, [str(word) for word in words])


def files(folder: Path) -> dict[str, str]:
    """Every file below a folder, with the SHA-256 of its bytes."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def tables(path: Path) -> list[list[list[object]]]:
    """What an output says, but for the time at which it was made. Fails if it is not whole."""
    if path.suffix == ".xml":
        return [[[each.tag, each.text] for each in Xml.parse(path).iter()]]
    if path.suffix == ".html":
        page = path.read_text("utf-8")
        assert page.rstrip().endswith("</html>")
        return [[[line] for line in page.splitlines() if ">As of " not in line]]
    if path.suffix == ".csv":
        sheets = [[line.split(",") for line in path.read_text("utf-8-sig").splitlines()]]
    else:
        book = CalamineWorkbook.from_path(path)
        sheets = [book.get_sheet_by_name(name).to_python() for name in book.sheet_names]
    return [[row for row in sheet if "as of" not in row] for sheet in sheets]


def outputs(folder: Path) -> dict[str, list[list[list[object]]]]:
    return {
        str(path.relative_to(folder)): tables(path) for path in sorted(folder.rglob("*")) if path.is_file()
    }


# --- one call fails, or all from one on -----------------------------------------------------------------


def put_old(out: Path, names: list[str]) -> dict[str, bytes]:
    """Older outputs, with which nothing may happen unless new ones take their place."""
    shutil.rmtree(out, ignore_errors=True)
    for name in names:
        (out / name).parent.mkdir(parents=True, exist_ok=True)
        (out / name).write_bytes(b"old " + name.encode())
    return {name: (out / name).read_bytes() for name in names}


def state(
    out: Path, old: dict[str, bytes], good: dict[str, list], but: Callable[[str], bool] = lambda _: False
) -> dict[str, str]:
    """Each file of the folder, ``but`` some, as "old" or "new"; anything else fails."""
    told = {}
    for path in filter(Path.is_file, out.rglob("*")):
        name = str(path.relative_to(out))
        if but(name):
            continue
        if old.get(name) == path.read_bytes():
            told[name] = "old"
        else:
            assert tables(path) == good[name], name
            told[name] = "new"
    return told


def inputs_of(shop: Path) -> dict[str, str]:
    return {name: each for name, each in files(shop).items() if not name.startswith("reports/")}


def calls_of(words: tuple[object, ...]) -> list[tuple[str, str]]:
    """What a run in which nothing fails asks of the disk."""
    with faulty(Disk(sys.maxsize, FULL)) as disk:
        answer = call(*words)
    assert answer.exit_code == SHORT, answer.output
    return disk.calls


def try_calls(
    words: tuple[object, ...],
    shop: Path,
    *,
    old_ones: bool,
    lasting: bool,
    thin: int = 1,
    last: int = sys.maxsize,
) -> None:
    """A run for each call of the disk that fails, or for the ``last`` ones."""
    out = shop / "reports"
    call(*words)
    good, inputs = outputs(out), inputs_of(shop)
    put_old(out, list(good) if old_ones else [])
    calls = calls_of(words)
    assert not [each for each in inputs if str(shop / each) in {path for _, path in calls}]
    for number in worth_trying(calls, thin):
        if number <= len(calls) - last:
            continue
        old = put_old(out, list(good) if old_ones else [])
        with faulty(Disk(number, FAULTS[number % 3], lasting=lasting)) as disk:
            answer = call(*words)
        said = f"call {number}, {calls[number - 1]}: {answer.output}"
        assert len(disk.calls) >= number, said
        assert inputs_of(shop) == inputs, said
        told = state(out, old, good)
        if answer.exit_code == SHORT:  # tried again: a copy instead of a link, another way to open
            assert calls[number - 1][0] in ("link", "open"), said
            assert told == dict.fromkeys(good, "new"), said
        else:
            check_refusal(answer, told, old, lasting, said)
        assert told or not out.exists(), said


def check_refusal(answer, told: dict[str, str], old: dict[str, bytes], lasting: bool, said: str) -> None:
    """Refused, with every file that is new named all the same; all old if a single call failed."""
    assert answer.exit_code == UNUSABLE, said
    assert "error output-locked at" in answer.stderr, said
    assert "Traceback" not in answer.output, said
    new = {name for name, each in told.items() if each == "new"}
    assert all(Path(name).name in " ".join(answer.stderr.split()) for name in new), said
    assert told.keys() - new <= old.keys(), said
    assert lasting or told == dict.fromkeys(old, "old"), said


ONCE, FROM_THEN_ON = False, True


@pytest.mark.slow
@pytest.mark.parametrize(
    ("old_ones", "lasting", "thin"),
    [(True, ONCE, 1), (False, ONCE, 5), (True, FROM_THEN_ON, 5)],
    ids=["old reports there, once", "nothing there, once", "old reports there, from then on"],
)
def test_a_failing_call_leaves_the_reports_whole_or_as_they_were(shop, old_ones, lasting, thin) -> None:
    words = ("week", shop, *TODAY, "--force")
    try_calls(words, shop, old_ones=old_ones, lasting=lasting, thin=thin)


@pytest.mark.slow
def test_a_failing_call_leaves_many_files_whole_or_as_they_were(shop) -> None:
    # The workbooks come first, and their calls were tried above; then a few tables, then all the renames.
    words = ("week", shop, *TODAY, "--force", "--csv")
    try_calls(words, shop, old_ones=True, lasting=ONCE, last=30)


@pytest.mark.slow
@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from then on"])
def test_a_failing_call_holds_a_job_whole_or_not_at_all(shop, lasting) -> None:
    before = files(shop)
    for number in count(1):
        job = f"J-{number + 100}"
        words = ("check", job, "--frame", "ZB-1", "--from", "10 in", "--to", "10 in", "--date", "2026-12-03",
                 "--hold", "--in", shop, *TODAY)  # fmt: skip
        with faulty(Disk(number, FAULTS[number % 3], lasting=lasting)) as disk:
            answer = call(*words)
        listed = call("ledger", "--in", shop)
        held = f"{job} for Thu 2026-12-03" in listed.output
        assert (answer.exit_code, held) in ((0, True), (UNUSABLE, False)), answer.output
        there = files(shop)
        there.pop("stock-ledger.sqlite", None)
        assert there == before
        if not disk.failed:
            break
    assert held


@pytest.mark.slow
@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from then on"])
def test_a_failing_call_holds_a_job_and_writes_its_row_or_neither(shop, lasting) -> None:
    words = ("check", "J-3", "--frame", "ZB-1", "--from", "10 in", "--to", "10 in", "--date", "2026-12-03",
             "--hold", "--into-jobs", "--in", shop, *TODAY)  # fmt: skip
    jobs, ledger = shop / "jobs.xlsx", shop / "stock-ledger.sqlite"
    before = jobs.read_bytes()
    assert call(*words).exit_code == 0
    good = tables(jobs)
    for number in count(1):
        jobs.write_bytes(before)
        ledger.unlink(missing_ok=True)
        with faulty(Disk(number, FAULTS[number % 3], lasting=lasting)) as disk:
            answer = call(*words)
        assert "Traceback" not in answer.output
        written = jobs.read_bytes() != before
        if answer.exit_code == 0:
            assert written
        else:
            assert answer.exit_code == UNUSABLE, answer.output
            # The row may be there although the run was refused after it: then it counts.
            told = "The row of J-3 is in jobs.xlsx, and counts." in " ".join(answer.stderr.split())
            assert told == written, answer.stderr
        assert tables(jobs) == good if written else not held_in(ledger)
        if not disk.failed:
            break
    assert number > 5


def held_in(path: Path) -> list[str]:
    ledger = open_ledger(path, create=False)
    if ledger is None:
        return []
    with ledger:
        return [hold.row.job for hold in ledger.holds() if hold.stands]


@pytest.mark.slow
@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from then on"])
def test_a_failing_call_leaves_no_half_of_the_demo(tmp_path, lasting) -> None:
    whole = tmp_path / "whole"
    copy_demo(whole, force=False)
    for number in count(1):
        folder = tmp_path / f"demo-{number}"
        with faulty(Disk(number, FAULTS[number % 3], lasting=lasting)) as disk:
            try:
                copy_demo(folder, force=False)
            except Unusable as refused:
                assert [each.code for each in refused.problems] == ["output-locked"]
                assert [path for path in tmp_path.iterdir() if path == folder or aside(path.name)] == []
            else:
                assert files(folder) == files(whole)
        if not disk.failed:
            break
    assert number > 5


@pytest.mark.slow
@pytest.mark.parametrize("lasting", [False, True], ids=["once", "from then on"])
def test_a_failing_call_costs_what_is_remembered_and_no_more(tmp_path, lasting) -> None:
    kept = KeptChoices(tmp_path / "cache" / "deep")
    answers = (Packed({1: ((1,),)}), Packed({2: ((1,),)}))
    for number in count(1):
        shutil.rmtree(kept.folder, ignore_errors=True)
        kept.keep("question", answers[0])
        with faulty(Disk(number, FAULTS[number % 3], lasting=lasting)) as disk:
            kept.keep("question", answers[1])
        assert kept.recall("question") in answers
        assert len(list(kept.folder.iterdir())) == 1
        if not disk.failed:
            break
    assert kept.recall("question") == answers[1]
    assert number > 2


# --- inputs -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("named_by", ["settings", "option", "link"])
def test_no_output_replaces_an_input_however_it_is_named(shop, named_by) -> None:
    report = shop / "reports" / "report-2026-W49.xlsx"
    report.parent.mkdir()
    (shop / "jobs.xlsx").rename(report)
    more: tuple[object, ...] = ("--jobs", report)
    if named_by == "settings":
        (shop / "reconcile.toml").write_text('jobs = "reports/report-2026-W49.xlsx"\n', "utf-8")
        more = ()
    elif named_by == "link":
        (shop / "jobs.xlsx").symlink_to(report)
        more = ()
    before = files(shop)
    answer = call("week", shop, *TODAY, "--force", *more)
    assert answer.exit_code == UNUSABLE
    assert "error output-is-input at report-2026-W49.xlsx" in " ".join(answer.stderr.split())
    assert files(shop) == before


def test_inputs_that_may_only_be_read_are_enough(shop) -> None:
    for path in shop.rglob("*"):
        path.chmod(0o555 if path.is_dir() else 0o444)
    before = files(shop)
    assert call("week", shop, *TODAY).exit_code == SHORT
    assert inputs_of(shop) == before


# --- the process is killed ------------------------------------------------------------------------------


def aside(name: str) -> bool:
    return Path(name).name.startswith(".reconcile-")


@pytest.mark.slow
def test_a_killed_run_leaves_whole_files_and_the_next_run_works(shop) -> None:
    old = put_old(shop / "reports", ["order-2026-W49.xlsx"])
    before = files(shop)
    finished, *cut_short = killed_runs(shop)
    good = outputs(finished / "reports")
    assert {*old, "report-2026-W49.xlsx"} <= set(good)
    states = []
    for folder in cut_short:
        left = {name: each for name, each in files(folder).items() if not name.startswith(("tmp/", "cache/"))}
        assert inputs_of(folder).items() >= inputs_of(shop).items()
        assert {name for name in left if not aside(name)} <= {*before, *(f"reports/{name}" for name in good)}
        # Raises for a file that is neither the old one nor the whole new one.
        states.append(state(folder / "reports", old, good, but=aside))
    assert dict.fromkeys(old, "old") in states
    assert any("new" in each.values() for each in states)
    assert any(map(aside, files(cut_short[-1])))
    for folder in (cut_short[0], cut_short[-1]):
        assert call("week", folder, *TODAY, "--force").exit_code == SHORT
        assert list(folder.rglob(".reconcile-*")) == []  # that run is over, as its files aside say
        assert outputs(folder / "reports") == good


def killed_runs(shop: Path) -> list[Path]:
    """A copy of the workshop where no run was killed, and one for each call at which a run may be."""
    driver = Path(__file__).parents[1] / "helpers" / "faulty_disk.py"
    done = subprocess.run(
        [sys.executable, driver, shop, "week", shop, *TODAY, "--force"],
        capture_output=True, check=False, text=True, timeout=240,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")
    numbers = done.stdout.split()
    assert len(numbers) > 25
    return [Path(f"{shop}-{number}") for number in ("0", *numbers)]


# --- the disk is full, for libraries too -------------------------------------------------------------------

LIMITED = """
import resource, sys
limit = int(sys.argv.pop(1))
import openpyxl, reconcile.cli
resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
reconcile.cli.main()
"""


def process(*words: object, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, *map(str, words)],
        capture_output=True, check=False, text=True, env={**os.environ, **environment},
    )  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("limit", [0, 700, 4000, 9000])
def test_files_that_may_not_grow_are_told(shop, tmp_path, limit) -> None:
    spool = tmp_path / "spool"
    spool.mkdir()
    before = files(shop)
    done = process("-c", LIMITED, limit, "week", shop, *TODAY, TMPDIR=str(spool))
    assert (done.returncode, done.stdout) == (UNUSABLE, "")
    assert "error output-locked at" in done.stderr
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr
    assert files(shop) == before
    assert not (shop / "reports").exists()
    assert list(spool.iterdir()) == []


@contextmanager
def small_disk(folder: Path, size: str) -> Iterator[None]:
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", str(folder)],
        capture_output=True, check=False, text=True,
    ) if shutil.which("mount") else None  # fmt: skip
    if mounted is None or mounted.returncode:
        pytest.skip(
            f"no small disk can be mounted: {mounted.stderr.strip() if mounted else 'no mount command'}"
        )
    try:
        yield
    finally:
        subprocess.run(["umount", str(folder)], check=True)


@pytest.mark.slow
@pytest.mark.parametrize("what", ["reports", "scratch"])
@pytest.mark.parametrize("size", ["4k", "12k", "20k"])
def test_a_disk_that_is_really_full_is_told(shop, tmp_path, what, size) -> None:
    disk, spool = tmp_path / "disk", tmp_path / "spool"
    spool.mkdir()
    before = files(shop)
    with small_disk(disk, size):
        (disk / "filler").write_bytes(bytes(2000))
        words = (
            "-m",
            "reconcile.cli",
            "week",
            shop,
            *TODAY,
            "--out",
            disk if what == "reports" else shop / "new",
        )
        done = process(*words, TMPDIR=str(spool if what == "reports" else disk))
        left = [path.name for path in disk.iterdir()]
    if what == "reports" or done.returncode == UNUSABLE:
        assert (done.returncode, done.stdout) == (UNUSABLE, "")
        assert "error output-locked at" in done.stderr
        assert files(shop) == before
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr
    assert left == ["filler"]
    assert list(spool.iterdir()) == []


@pytest.mark.slow
@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full")
@pytest.mark.parametrize("words", [("--dry-run",), ("--json",)], ids=" ".join)
def test_an_answer_that_cannot_be_printed_is_told(shop, words) -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "reconcile.cli", "week", str(shop), *TODAY, *words],
            stdout=full, stderr=subprocess.PIPE, check=False, text=True,
        )  # fmt: skip
    assert done.returncode == UNUSABLE
    assert "Standard output cannot be written: No space left on device." in " ".join(done.stderr.split())
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr


@pytest.mark.slow
@pytest.mark.parametrize("lasting", [ONCE, FROM_THEN_ON], ids=["once", "from then on"])
def test_a_failing_call_is_told_where_a_workbook_is_read_from_a_copy(tmp_path, lasting) -> None:
    path = ods_with(tmp_path / "stock.ods", ONE_ROW)
    for number in count(1):
        with faulty(Disk(number, FAULTS[number % 3], lasting=lasting)) as disk:
            try:
                read = open_book(path).grid("Stock").rows
            except Unusable as refused:
                assert [each.code for each in refused.problems] == ["file-unreadable"]
            else:
                assert read[0][0] == "part"
        if not disk.failed:
            break
    assert number > 2
