"""The house keeps its rooms: who may import whom, and what a run does not pay for."""

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from workshop import FRIDAY_BEFORE, MON

import reconcile

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "data_demo"
TODAY = ("--today", FRIDAY_BEFORE.isoformat())


# --- who may import whom ------------------------------------------------------------------------------

LINT = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports(no_cache=True))"


def contracts(checkout: Path) -> subprocess.CompletedProcess[str]:
    """The import rules of pyproject.toml held against the package beside it."""
    return subprocess.run(
        [sys.executable, "-c", LINT], cwd=checkout, capture_output=True, check=False, text=True
    )  # fmt: skip


def copied(folder: Path) -> Path:
    """The package and its rules alone, in another folder."""
    shutil.copytree(ROOT / "reconcile", folder / "reconcile", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


def test_every_room_imports_only_what_it_may() -> None:
    done = contracts(ROOT)
    assert done.returncode == 0, done.stdout
    assert " 0 broken" in done.stdout


@pytest.mark.parametrize(
    ("module", "line", "broken"),
    [
        ("values/measure.py", "from reconcile.plan import needs", "Data flows one way"),
        ("plan/needs/lines.py", "import pandas", "The thinking knows no sheets"),
        (
            "sheets/tables/rows.py",
            "from reconcile.sheets.stock import headings",
            "Readers of files and cells know no jobs and no stock",
        ),
        (
            "reports/week/tables.py",
            "from reconcile.sheets.figures import units",
            "Reports are made from values alone",
        ),
        ("work/entries/closing.py", "import typer", "What people do has no terminal"),
        ("work/entries/count.py", "import rich", "What people do has no terminal"),
        (
            "work/questions/asking.py",
            "from reconcile.commands.shell import terminal",
            "What people do has no terminal",
        ),
        ("work/levels.py", "from reconcile import interface", "Data flows one way"),
        (
            "work/entries/count.py",
            "from reconcile.reports.counts import screen",
            "What people do is a value",
        ),
        ("page/views/jobs.py", "from reconcile.plan import needs", "The page has no rule of its own"),
        ("page/views/jobs.py", "from reconcile.sheets import inputs", "The page has no rule of its own"),
        ("page/kept.py", "import openpyxl", "The page has no rule of its own"),
        ("work/planning.py", "from reconcile.page import kept", "What people do has no terminal"),
        (
            "commands/check.py",
            "from reconcile.page import kept",
            "The page is loaded by the command that opens it",
        ),
        ("plan/flows/supply.py", "from reconcile.plan.needs import lines", "Inside the thinking"),
        ("reports/writing/grid.py", "from reconcile.reports.week import tables", "Inside the reports"),
        ("work/planning.py", "from reconcile.work.entries import undoing", "Inside what people do"),
        ("sheets/figures/text.py", "from reconcile.sheets.tables import rows", "Inside the sheets"),
    ],
)
def test_a_wrong_import_is_caught(tmp_path: Path, module: str, line: str, broken: str) -> None:
    checkout = copied(tmp_path)
    path = checkout / "reconcile" / module
    path.write_text(f"{path.read_text('utf-8')}\n{line}\n", "utf-8")
    done = contracts(checkout)
    assert done.returncode != 0
    told = [each for each in done.stdout.splitlines() if " BROKEN" in each]
    assert any(each.startswith(broken) for each in told), done.stdout


def modules_of(source: str) -> set[str]:
    """The modules of the package whose text imports this one."""
    package = Path(reconcile.__file__).parent
    return {
        str(path.relative_to(package))
        for path in package.rglob("*.py")
        if f"import {source}" in path.read_text("utf-8") or f"from {source}" in path.read_text("utf-8")
    }


@pytest.mark.parametrize(
    ("source", "user"),
    [
        ("pint", "sheets/figures/units.py"),
        ("python_calamine", "sheets/files/fast_reader.py"),
        ("pandas", "reports/writing/grid.py"),
        ("highspy", "plan/solver/programme.py"),
        ("uvicorn", "page/serving.py"),
    ],
)
def test_a_library_has_one_user(source: str, user: str) -> None:
    assert modules_of(source) == {user}


@pytest.fixture(autouse=True)
def cache_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No choice of kits is known from an earlier run."""
    monkeypatch.setenv("RECONCILE_CACHE", str(tmp_path / "cache"))


def test_the_command_line_library_is_known_to_the_commands_alone() -> None:
    users = modules_of("typer")
    assert "cli.py" in users
    assert {user for user in users if not user.startswith("commands/")} == {"cli.py"}


# --- what a run does not pay for --------------------------------------------------------------------

RUN = """
import sys
sys.argv = ["reconcile", *sys.argv[1:]]
from reconcile.cli import main
try:
    main()
except SystemExit as end:
    print("\\n" + str(end.code))
import json
print(json.dumps(sorted({name.partition(".")[0] for name in sys.modules})))
"""


def loaded_by(*words: str) -> tuple[str, frozenset[str]]:
    """The exit status of a command in a fresh interpreter, and the packages that it loaded."""
    done = subprocess.run([sys.executable, "-c", RUN, *words], capture_output=True, check=True, text=True)
    status, loaded = done.stdout.splitlines()[-2:]
    return status, frozenset(json.loads(loaded))


def test_the_thinking_loads_no_heavy_library() -> None:
    code = "import sys, json, reconcile.week; print(json.dumps(list(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True, text=True)
    loaded = {name.partition(".")[0] for name in json.loads(done.stdout)}
    assert "reconcile" in loaded
    assert loaded & {"pandas", "openpyxl", "pint", "scipy", "numpy", "highspy", "typer"} == set()


def test_a_check_of_the_demo_loads_no_table_library() -> None:
    status, loaded = loaded_by("check", "J-4101", "--in", str(DEMO), *TODAY)
    assert status == "0"
    assert loaded & {"pandas", "scipy", "openpyxl", "pydantic", "starlette", "uvicorn", "jinja2"} == set()


@pytest.fixture(scope="module")
def plenty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop in which nothing is scarce: no choice of kits is to be solved."""
    folder = tmp_path_factory.mktemp("plenty")
    (folder / "frames").mkdir()
    shutil.copy(ROOT / "tests/cases/hand_week/frames/HW-B.toml", folder / "frames")
    row = f"J-1,{MON.isoformat()},HW-B,400 mm,412.5 mm"
    (folder / "jobs.csv").write_text(f"job,date,frame,from,to\n{row}\n", "utf-8")
    bolt = "B6-45,,M6,45 mm,hex,9,each"
    (folder / "stock").mkdir()
    (folder / "stock" / "Stock.csv").write_text(
        f"part,description,thread,length,head,on hand,unit\n{bolt}\nSP-125,,,,,9,each\n", "utf-8"
    )
    return folder


def test_a_check_with_nothing_scarce_loads_no_solver_either(plenty: Path) -> None:
    status, loaded = loaded_by("check", "J-1", "--in", str(plenty), *TODAY)
    assert status == "0"
    assert loaded & {"pandas", "scipy", "openpyxl", "pydantic", "numpy", "highspy", "pint"} == set()


def test_a_week_with_its_workbooks_loads_no_pandas(tmp_path: Path) -> None:
    status, loaded = loaded_by("week", str(DEMO), *TODAY, "--out", str(tmp_path))
    assert status == "1"
    assert "openpyxl" in loaded
    assert loaded & {"pandas", "pydantic", "scipy"} == set()


@pytest.mark.parametrize(
    "words", [("--help",), ("week", "--help"), ("check", "-h"), ("open", "-h")], ids=" ".join
)
def test_help_loads_nothing_heavy(words: tuple[str, ...]) -> None:
    status, loaded = loaded_by(*words)
    assert status == "0"
    assert "typer" in loaded
    assert (
        loaded
        & {
            "pandas",
            "pint",
            "openpyxl",
            "numpy",
            "pydantic",
            "python_calamine",
            "rich",
            "starlette",
            "uvicorn",
        }
        == set()
    )
