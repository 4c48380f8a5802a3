"""The README says what is true: its commands run, its answers are the program's, its lists are whole.

After a change of wording, ``python tests/test_readme.py`` writes the answers shown anew; read the difference.
"""

import csv
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from dataclasses import dataclass
from pathlib import Path

import pytest

from reconcile.sheets.frames import keys as frame_keys
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.settings.file import SETTINGS
from reconcile.sheets.stock.headings import ON_ORDER, PRICE_BREAKS, STOCK, SUPPLIERS, USAGE
from reconcile.sheets.tables.headings import SheetKind
from reconcile.values.catalogue import CODES

ROOT = Path(__file__).resolve().parent.parent
README = ROOT / "README.md"
TEXT = README.read_text("utf-8")
CUT = "..."
RESTING = ("ledger --release",)
"""Commands that rest upon those above them. They are run again: another test worker may have run them."""
SHEETS = (JOBS, STOCK, ON_ORDER, SUPPLIERS, PRICE_BREAKS, USAGE)


@dataclass(frozen=True)
class Block:
    """A code block: its language, the mark before it (``command: install``, ``exit: 1``), its text."""

    mark: str
    language: str
    text: str


BLOCK = re.compile(r"(?:<!-- ([^>]+) -->\n)?```(\w+)\n(.*?)\n```", re.DOTALL)
BLOCKS = [Block(*(each or "" for each in found.groups())) for found in BLOCK.finditer(TEXT)]


@dataclass(frozen=True)
class Shown:
    """A command as shown, without ``reconcile``; the exit status shown; the lines of its answer, if any."""

    words: str
    status: int
    answer: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    """The commands above it in its block, which it may rest upon."""


def shown_commands() -> list[Shown]:
    """Every ``reconcile`` command of the code blocks but the install line's."""
    shown = []
    for block in BLOCKS:
        status = int(block.mark.removeprefix("exit: ")) if block.mark.startswith("exit: ") else 0
        first, *rest = block.text.split("\n")
        if block.language == "console":
            shown.append(Shown(first.removeprefix("$ reconcile "), status, tuple(rest)))
        elif first.startswith("reconcile "):
            lines = [line.removeprefix("reconcile ").partition(" && ")[0] for line in (first, *rest)]
            shown += [Shown(line, status, after=tuple(lines[:at])) for at, line in enumerate(lines)]
    return shown


SHOWN = shown_commands()


def command(name: str) -> str:
    """The command that CI takes from the README by its mark."""
    (block,) = (each for each in BLOCKS if each.mark == f"command: {name}")
    return block.text


def run(words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    environment = {name: value for name, value in os.environ.items() if not name.startswith("RECONCILE_")}
    environment["RECONCILE_CACHE"] = str(folder / "cache")
    return subprocess.run(
        [sys.executable, "-m", "reconcile.cli", *shlex.split(words)],
        cwd=folder, env=environment, capture_output=True, check=False, text=True,
    )  # fmt: skip


def demo_words() -> str:
    """What the install command runs once the program is there."""
    return command("install").rpartition(".venv/bin/reconcile ")[2]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which the install command's own ``reconcile`` has run."""
    where = tmp_path_factory.mktemp("readme")
    done = run(demo_words(), where)
    assert (done.returncode, done.stderr) == (0, "")
    return where


# --- commands -----------------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_install_command_makes_the_demo_and_its_workbooks(folder: Path) -> None:
    assert command("install").startswith("python3 -m venv .venv && .venv/bin/pip install . && ")
    written = {path.name for path in (folder / "demo-workshop" / "reports").iterdir()}
    orders = {f"order-2026-W49-{supplier}.xml" for supplier in ("BRAC", "LODE", "QUIL", "TARN")}
    books = {f"{book}-2026-W49.xlsx" for book in ("report", "order", "bench", "returns")}
    assert written == books | orders | {"bench-2026-W49.html"}


@pytest.mark.slow
def test_what_the_demo_suggests_to_try_next_gives_an_answer(tmp_path: Path) -> None:
    said = run(demo_words(), tmp_path).stdout
    suggested = re.findall(r"^  reconcile (.+)$", said.partition("Try next:")[2], re.MULTILINE)
    assert suggested
    answers = [run(words, tmp_path) for words in suggested]
    assert [each.stderr for each in answers] == [""] * len(answers)


def test_the_windows_line_is_the_same_command() -> None:
    (windows,) = (each.text for each in BLOCKS if each.language == "bat")
    as_elsewhere = windows.replace("py -m", "python3 -m").replace("\\", "/").replace("/Scripts/", "/bin/")
    assert as_elsewhere == command("install")


def test_the_test_command_asks_for_an_extra_that_there_is() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    asked = re.findall(r'"\.\[(\w+)\]"', command("test"))
    assert asked == ["test"]
    assert set(asked) <= set(project["optional-dependencies"])


def pieces(answer: tuple[str, ...]) -> list[tuple[str, ...]]:
    """The runs of lines between the cuts; an empty run where a cut comes first or last."""
    runs: list[tuple[str, ...]] = [()]
    for line in answer:
        if line == CUT:
            runs.append(())
        else:
            runs[-1] += (line,)
    return runs


def unlike(answer: tuple[str, ...], printed: list[str]) -> str:
    """The first shown run of lines that the program did not print in its place; "" if all are true."""
    first, *others = pieces(answer)
    if tuple(printed[: len(first)]) != first:
        return "\n".join(first)
    at = len(first)
    for piece in others:
        places = range(at, len(printed) - len(piece) + 1)
        at = next((n for n in places if tuple(printed[n : n + len(piece)]) == piece), -1) + len(piece)
        if at < len(piece):
            return "\n".join(piece)
    last = pieces(answer)[-1]
    return "" if not last or tuple(printed[-len(last) :]) == last else "the last lines shown"


@pytest.mark.slow
@pytest.mark.parametrize("shown", SHOWN, ids=lambda shown: shown.words)
def test_a_command_gives_the_status_and_the_answer_shown(folder: Path, shown: Shown) -> None:
    for words in shown.after if shown.words.startswith(RESTING) else ():
        run(words, folder)
    done = run(shown.words, folder)
    assert (done.returncode, done.stderr) == (shown.status, "")
    if shown.answer:
        assert unlike(shown.answer, done.stdout.splitlines()) == ""


@pytest.mark.slow
def test_the_week_of_orders_runs_in_its_order_and_what_came_is_on_the_shelf(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Placed, answered, half received; then the week is closed and nothing on its way is ordered again."""
    shutil.copytree(folder / "demo-workshop", tmp_path / "demo-workshop")
    answer = "order,line,quantity,due\n2026-W49-QUIL,1,200,2026-12-03\n"
    (tmp_path / "answer.csv").write_text(answer, "utf-8")
    days = iter(("2026-11-30", "2026-11-30", "2026-12-01", "2026-12-01", "2026-12-02", "2026-12-02"))
    lines = [each for each in command("a week of orders").split("\n") if each.startswith("reconcile ")]
    for line in lines:
        done = run(f"{line.removeprefix('reconcile ')} --today {next(days)}", tmp_path)
        assert done.returncode in (0, 1), done.stderr
    (told,) = (
        each for each in done.stdout.split("\n") if "2026-W49-QUIL, line 1:" in each and "each" in each
    )
    assert "100 each of B14-250" in told
    done = run("week demo-workshop --week 2026-W49 --force --today 2026-12-02 --json", tmp_path)
    again = {part["part"] for part in json.loads(done.stdout)["parts"] if part["order"]}
    assert "B14-250" not in again


def test_a_false_answer_would_be_seen() -> None:
    printed = ["a", "b", "c", "d"]
    assert unlike(("a", CUT, "c", "d"), printed) == ""
    assert unlike(("a", CUT, "b", CUT), printed) == ""
    assert unlike(("a", CUT, "x", CUT), printed) == "x"
    assert unlike(("b", CUT), printed) == "b"
    assert unlike(("a", CUT, "c"), printed) == "the last lines shown"
    assert unlike(("a", CUT, "c", CUT, "b", CUT), printed) == "b"


def test_every_command_there_is_is_shown() -> None:
    shown = {each.words.split()[0] for each in SHOWN} | {demo_words().split()[0]}
    assert {"week", "check", "why", "problems", "demo", "blank", "frames", "read-description"} <= shown


def test_every_option_named_is_one_that_there_is(folder: Path) -> None:
    known = set()
    commands = re.findall(
        r"^  ([a-z-]+)  ", run("--help", folder).stdout.partition("Commands:")[2], re.MULTILINE
    )
    assert {"week", "frames", "read-description"} <= set(commands)
    for name in ("", *commands):
        known |= set(re.findall(r"--[a-z][a-z-]*", run(f"{name} --help", folder).stdout))
    assert set(re.findall(r"(?<![\w-])--[a-z][a-z-]*", TEXT)) <= known


@pytest.mark.slow
def test_the_python_shown_runs_in_its_order(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (block,) = (each for each in BLOCKS if each.language == "python")
    shutil.copytree(folder / "demo-workshop", tmp_path / "demo-workshop")
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    exec(compile(block.text, "README.md", "exec"), names)
    assert "planned" in names
    assert (tmp_path / "monday" / "report-2026-W49.xlsx").is_file()


def test_every_notebook_is_named() -> None:
    there = {path.name for path in (ROOT / "notebooks").glob("*.ipynb")}
    assert set(re.findall(r"\(notebooks/([a-z_]+\.ipynb)\)", TEXT)) == there


# --- lists ------------------------------------------------------------------------------------------------


def table_rows(text: str) -> list[list[str]]:
    return [
        [cell.strip() for cell in line.strip("|").split("|")] for line in text.split("\n") if line[:1] == "|"
    ]


def section(heading: str) -> str:
    """The text under the heading that begins so, up to the next heading of any level."""
    found = re.search(rf"^#+ {re.escape(heading)}.*?$(.*?)(?=^#+ |\Z)", TEXT, re.MULTILINE | re.DOTALL)
    assert found is not None
    return found[1]


def listed_columns(cells: list[str]) -> tuple[set[str], set[str]]:
    """The names in these cells, apart at commas, and those of them that are bold."""
    names = [name.strip() for cell in cells for name in cell.split(",")]
    bold = {name.strip("*") for name in names if name.startswith("**")}
    return {name.strip("*") for name in names}, bold


def named_columns(kind: SheetKind) -> tuple[set[str], set[str]]:
    """The columns that the README lists for a sheet, and those of them that it calls needed."""
    stock = section("Stock: workbook")
    if kind in (JOBS, STOCK):
        text = stock if kind is STOCK else section("Jobs: workbook")
        columns = text[text.index("| column |") :]
        columns = columns[: columns.index("\n\n")]
        return listed_columns([row[0] for row in table_rows(columns)[2:]])
    (row,) = (row for row in table_rows(stock) if row[0] == f"`{kind.name}`")
    return listed_columns([row[1]])


@pytest.mark.parametrize("kind", SHEETS, ids=lambda kind: kind.name)
def test_every_column_is_listed_and_the_needed_ones_are_bold(kind: SheetKind) -> None:
    listed, bold = named_columns(kind)
    assert listed == set(kind.headings)
    assert bold == set(kind.needed)


FRAME_TABLES = {
    "frame": frame_keys.FRAME,
    "adjustment": frame_keys.ADJUSTMENT,
    "joint": frame_keys.JOINT,
    "cover": frame_keys.COVER,
    "sized": frame_keys.SIZED,
    "disturbed": frame_keys.DISTURBED,
    "lengthen": frame_keys.LENGTHEN,
    "engagement": frame_keys.ENGAGEMENT,
    "nut": frame_keys.NUT,
    "washers": frame_keys.WASHER,
    "part": frame_keys.HANDS,
    "after": frame_keys.AFTER,
    "spacers": frame_keys.SPACER,
    "extras": frame_keys.EXTRA,
    "steps": frame_keys.COVER_RANGE,
    "sizes": frame_keys.SIZE_RANGE,
}


@pytest.mark.parametrize("name", FRAME_TABLES)
def test_every_key_of_a_frame_file_is_explained(name: str) -> None:
    rows = table_rows(section("Frames: a folder"))[2:]
    assert [key for key in FRAME_TABLES[name] if not any(f"`{key}`" in " ".join(row) for row in rows)] == []


def toml_example(heading: str) -> str:
    found = re.search(r"```toml\n(.*?)\n```", section(heading), re.DOTALL)
    assert found is not None
    return found[1]


def test_the_frame_shown_has_every_key_and_is_sound(tmp_path: Path) -> None:
    from reconcile.sheets.frames.files import read_frames

    frame = toml_example("Frames: a folder")
    (tmp_path / "NQ-T1.toml").write_text(frame, "utf-8")
    read = read_frames(tmp_path)
    assert (list(read.frames), read.problems, read.faulty) == (["nq-t1"], (), {})
    (adjustment,) = tomllib.loads(frame)["adjustment"]
    assert set(adjustment) == set(frame_keys.ADJUSTMENT)
    for name in ("joint", "cover", "sized", "disturbed", "after"):  # a joint has a nut, or ends in the frame
        shown = set().union(*adjustment[name])
        assert shown == set(FRAME_TABLES[name])


def test_the_settings_shown_have_every_key_and_are_sound(tmp_path: Path) -> None:
    from reconcile.sheets.settings.file import read_settings

    shown = toml_example("Settings: ")
    (tmp_path / "reconcile.toml").write_text(shown, "utf-8")
    assert set(tomllib.loads(shown)) == set(SETTINGS)
    settings = read_settings(tmp_path / "reconcile.toml")
    assert (settings.length_unit, settings.inspection_days) == ("in", 1)


def test_the_jobs_and_stock_shown_are_sound(tmp_path: Path) -> None:
    """The example rows, as csv, are read without a problem."""
    from datetime import date

    from reconcile.sheets.inputs import read_inputs
    from reconcile.sheets.request import Request

    shutil.copytree(ROOT / "data_demo" / "frames", tmp_path / "frames")
    (tmp_path / "stock").mkdir()
    for heading, file in (("Jobs: workbook", "jobs.csv"), ("Stock: workbook", "stock/Stock.csv")):
        headings, _, *rows = table_rows(section(heading).split("\n\n")[1])
        with (tmp_path / file).open("w", encoding="utf-8", newline="") as written:
            csv.writer(written).writerows([headings, *rows])
    inputs = read_inputs(Request(folder=tmp_path, today=date(2026, 11, 27)))
    assert (len(inputs.jobs), len(inputs.stock.parts), inputs.problems) == (2, 3, ())
    assert [part.number for part in inputs.stock.parts.values() if part.bolt] == ["B14-250", "B14-300"]


def test_every_problem_code_is_listed_and_explained(folder: Path) -> None:
    listed = [line.split()[0] for line in run("problems", folder).stdout.splitlines() if line[:1].strip()]
    assert listed == list(CODES)


def test_links_and_pictures_are_there() -> None:
    targets = re.findall(r"\]\(([^)#]+)\)", TEXT)
    assert [each for each in targets if not (ROOT / each).is_file()] == []
    pictures = [ROOT / each for each in targets if each.endswith(".png")]
    assert len(pictures) == 4
    assert all(picture.stat().st_size < 200_000 for picture in pictures)


# --- the answers shown, written anew ----------------------------------------------------------------------


def renewed(answer: tuple[str, ...], printed: list[str]) -> list[str]:
    """The same runs of lines as the program prints them now: as many, from where each run begins alike."""
    lines: list[str] = []
    at = 0
    for number, piece in enumerate(pieces(answer)):
        if number:
            lines.append(CUT)
            likeness = piece[0].split("  LATE")[0][:12] if piece else ""
            at = next(n for n in range(at, len(printed) + 1) if not piece or printed[n].startswith(likeness))
        count = len(printed) if piece and piece is pieces(answer)[-1] else at + len(piece)
        lines += printed[at:count]
        at = count
    return lines


def renew(folder: Path) -> None:
    text = TEXT
    run(demo_words(), folder)
    for shown in SHOWN:
        if shown.answer:
            printed = run(shown.words, folder).stdout.splitlines()
            text = text.replace("\n".join(shown.answer), "\n".join(renewed(shown.answer, printed)))
    README.write_text(text, "utf-8")


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as made:
        renew(Path(made))
