"""The developers' page says what is true: its tables are those of the docstrings, and its paths are there.

``python tests/test_developers.py`` writes the tables of rooms anew.
"""

import re
from pathlib import Path

import pytest
from helpers.rooms import (
    BEGIN,
    END,
    PACKAGE,
    PAGE,
    ROOT,
    STALE,
    docstring,
    job_of,
    modules,
    page_of,
    rooms,
    tables,
    with_tables,
)

TEXT = PAGE.read_text("utf-8")
PROSE = TEXT.partition(BEGIN)[0] + TEXT.partition(END)[2]
MODULES = [module for room in rooms() for module in modules(room)]
SUB_ROOMS = [room for room in rooms() if room != PACKAGE]


def short(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


# --- the tables of rooms -----------------------------------------------------------------------------


def test_the_tables_say_what_the_docstrings_say() -> None:
    assert with_tables(TEXT) == TEXT, STALE


@pytest.mark.parametrize("module", MODULES, ids=short)
def test_a_module_says_in_a_line_what_it_is_for(module: Path) -> None:
    assert job_of(module) != ""
    assert f"| `{module.name}` | " in TEXT


def a_room(folder: Path, *names: str) -> Path:
    """A package with one room of modules, each with its name as its docstring."""
    room = folder / "house" / "shelf"
    room.mkdir(parents=True)
    (folder / "house" / "__init__.py").write_text('"""A house."""\n', "utf-8")
    (room / "__init__.py").write_text('"""What lies on ``Stock``.\n\nTests: none.\n"""\n', "utf-8")
    for name in names:
        (room / f"{name}.py").write_text(f'"""Of a | {name}.\n\nMore of it.\n"""\n', "utf-8")
    return folder / "house"


def test_a_room_is_told_by_its_page_and_then_by_the_first_line_of_each_module(tmp_path: Path) -> None:
    assert tables(a_room(tmp_path, "nut", "bolt")) == (
        "### `house/`\n\nA house.\n\n### `house/shelf/`\n\nWhat lies on `Stock`.\n\nTests: none.\n\n"
        "| file | job |\n|---|---|\n| `bolt.py` | Of a \\| bolt |\n| `nut.py` | Of a \\| nut |"
    )


def test_a_module_that_is_not_listed_makes_the_page_stale(tmp_path: Path) -> None:
    house = a_room(tmp_path, "nut")
    page = with_tables(f"Above.\n{BEGIN}\n{END}\nBelow.\n", house)
    assert with_tables(page, house) == page
    (house / "shelf" / "washer.py").write_text('"""Of a washer."""\n', "utf-8")
    assert with_tables(page, house) == page.replace("| nut |", "| nut |\n| `washer.py` | Of a washer |")


@pytest.mark.parametrize("room", SUB_ROOMS, ids=short)
def test_a_room_says_what_it_is_for_and_where_its_tests_are(room: Path) -> None:
    page = page_of(room)
    named = re.findall(r"tests/[\w/.]*\w", page)
    assert named != [], page
    assert [path for path in named if not (ROOT / path).exists()] == []


@pytest.mark.parametrize("path", sorted((ROOT / "tests").rglob("*.py")), ids=short)
def test_a_file_of_tests_says_what_it_is_about(path: Path) -> None:
    assert docstring(path) != ""


# --- the paths that the prose names ------------------------------------------------------------------

PATH = re.compile(r"`(?:python )?([\w.-]*[\w/.-]*(?:\.(?:py|md|toml|yaml|xlsx|ipynb)|/))`")
NAMED = sorted(set(PATH.findall(PROSE)))


def is_there(path: str) -> bool:
    """A path from the root, the package or the demo's folder; or the name alone of a file of the package."""
    if any((base / path).exists() for base in (ROOT, PACKAGE, ROOT / "data_demo")):
        return True
    return "/" not in path and any(PACKAGE.rglob(path))


@pytest.mark.parametrize("path", NAMED)
def test_a_path_that_the_page_names_is_there(path: str) -> None:
    assert is_there(path)


def test_a_path_that_is_gone_would_be_seen() -> None:
    assert PATH.findall("In `plan/nowhere.py` and `python tests/gone.py`.") == [
        "plan/nowhere.py",
        "tests/gone.py",
    ]
    assert not is_there("plan/nowhere.py")
    assert len(NAMED) > 40


DOTTED = sorted(set(re.findall(r"`((?:[a-z_]+\.)+(?!(?:py|md|toml|xlsx)`)[a-z_]+)(?:\(\))?`", PROSE)))


@pytest.mark.parametrize("dotted", DOTTED)
def test_a_function_that_the_page_names_is_there(dotted: str) -> None:
    module, _, name = dotted.rpartition(".")
    within = PACKAGE / module.removeprefix("reconcile").strip(".").replace(".", "/")
    pages = [path for path in (within.with_suffix(".py"), within / "__init__.py") if path.is_file()]
    assert any(re.search(rf"\b{name}\b", path.read_text("utf-8")) for path in pages), dotted


if __name__ == "__main__":
    PAGE.write_text(with_tables(TEXT), "utf-8", newline="\n")
