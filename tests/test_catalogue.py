"""Every problem code is explained, the page says what the code says, and every code is raised by some test.

``python tests/test_catalogue.py`` writes the page anew.
"""

import subprocess
import sys
from dataclasses import fields
from pathlib import Path

import pytest
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.reports.writing.catalogue_page import PAGE, catalogue_page
from reconcile.values.catalogue import CODES, ERROR, NOTICE, Code

HERE = Path(__file__).parent / "helpers"
ENTRIES = pytest.mark.parametrize(("name", "entry"), CODES.items(), ids=list(CODES))


def undocumented(codes: dict[str, Code]) -> list[str]:
    """The blank fields of a catalogue, as ``code: field``."""
    return [
        f"{name}: {field.name}"
        for name, entry in codes.items()
        for field in fields(entry)
        if not str(getattr(entry, field.name)).strip()
    ]


def test_no_code_is_undocumented() -> None:
    assert undocumented(CODES) == []


def test_a_blank_field_would_be_found() -> None:
    assert undocumented({"a": Code(ERROR, "m", " ", "d", "")}) == ["a: example", "a: do"]


@ENTRIES
def test_an_entry_is_written_in_sentences(name: str, entry: Code) -> None:
    assert entry.severity in (ERROR, NOTICE)
    assert [words for words in (entry.means, entry.did, entry.do) if not words.endswith(".")] == []
    assert name == name.lower().replace(" ", "-").replace("_", "-")


def test_the_page_says_what_the_catalogue_says() -> None:
    assert PAGE.read_text("utf-8") == catalogue_page(), "stale: run python tests/test_catalogue.py"


def test_the_page_has_a_section_for_each_code_with_all_that_is_to_be_said() -> None:
    sections = catalogue_page().split("\n## ")[1:]
    assert [section.split("\n")[0] for section in sections] == sorted(CODES)
    labels = ["**What it means:**", "**For example:**", "**What was done:**", "**What to do:**"]
    assert [label for section in sections for label in labels if section.count(label) != 1] == []


@ENTRIES
def test_the_command_prints_all_that_is_to_be_said_of_a_code(name: str, entry: Code) -> None:
    answer = CliRunner().invoke(app, ["problems", name])
    said = " ".join(answer.stdout.split())
    told = (entry.severity, entry.means, entry.example, entry.did, entry.do)
    assert answer.exit_code == 0
    assert [words for words in told if " ".join(words.split()) not in said] == []


def test_an_unknown_code_is_answered_by_those_most_like_it() -> None:
    answer = CliRunner().invoke(app, ["problems", "job-dubled"])
    assert answer.exit_code == 2
    assert "job-doubled" in answer.stderr


# --- codes that no test raises ------------------------------------------------------------------------------

A_PROJECT = {
    "conftest.py": "import sys\nsys.path.insert(0, {here!r})\nfrom codes_raised import *\n"
    "import codes_raised\ncodes_raised.CODES = {{'job-doubled': 1, 'file-kind': 1, 'file-broken': 1}}\n",
    "pytest.ini": "[pytest]\ntestpaths = tests\n",
    "tests/test_one.py": "import pytest\nfrom reconcile.sheets.files.books import open_book\n"
    "from reconcile.values.problem import Unusable, Place, problem\n"
    "def test_kind(tmp_path):\n"
    "    (tmp_path / 'a.docx').write_bytes(b'x')\n"
    "    with pytest.raises(Unusable):\n        open_book(tmp_path / 'a.docx')\n"
    "def test_by_hand():\n    problem('file-broken', Place('a'), 'Made by a test, not by the code.')\n",
    "tests/test_two.py": "from reconcile.sheets.tables.rows import Fault\n"
    "from reconcile.values.problem import RowPlace\n"
    "def test_doubled():\n    Fault('job', 'job-doubled', 'x').at(RowPlace('f', 's', 1))\n",
}


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two small test files that raise two of three codes between them."""
    folder = tmp_path_factory.mktemp("project")
    (folder / "tests").mkdir()
    for name, text in A_PROJECT.items():
        (folder / name).write_text(text.format(here=str(HERE)), "utf-8")
    return folder


def run_tests(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *words],
        cwd=folder, capture_output=True, check=False, text=True,
    )  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("words", [(), ("-n", "2")], ids=["alone", "two workers"])
def test_a_full_run_fails_for_a_code_that_no_test_raises(project: Path, words: tuple[str, ...]) -> None:
    done = run_tests(project, *words)
    assert done.returncode == pytest.ExitCode.TESTS_FAILED, done.stdout
    _, _, listed = done.stdout.partition("problem codes that no test raises")
    assert listed.split("\n")[1] == "file-broken"
    assert "job-doubled" not in listed
    assert "file-kind" not in listed


@pytest.mark.slow
@pytest.mark.parametrize(
    "words", [("tests/test_one.py",), ("-k", "kind"), ("--deselect", "tests/test_two.py")]
)
def test_a_selection_of_tests_is_asked_for_nothing(project: Path, words: tuple[str, ...]) -> None:
    done = run_tests(project, *words)
    assert done.returncode == pytest.ExitCode.OK, done.stdout
    assert "no test raises" not in done.stdout


if __name__ == "__main__":
    PAGE.write_text(catalogue_page(), "utf-8", newline="\n")
