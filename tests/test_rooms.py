"""The rooms are small, each has its tests, and those that a short run takes cover every room."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from rooms import PACKAGE, ROOT, modules, rooms

MOST_MODULES = 15
MOST_LINES = 60
MOST_ANY = 59
MOST_IGNORED = 6
TESTS = ROOT / "tests"

SHARED = "its values are made and looked at in every other room's tests"
TESTED_ELSEWHERE = {
    "commands/shell": ("commands/test_quiet_and_progress.py", "it is seen in what the commands print"),
    "commands/entries": ("commands/test_orders_command.py", "all commands are tried side by side"),
    "standards": ("outside", "its tables are held against what is published"),
    "values/frames": ("sheets/frames", "frames are made from files, and checked whole there"),
    "values/ledger": ("ledger/test_jobs_holds_orders.py", "they are what the ledger books and gives back"),
    "values/orders": ("plan/ordering", "lines are made of what is booked of them, and looked at there"),
    "values/stock": ("sheets/stock", "parts are made from rows, and their rules are those of rows"),
    "values/week": ("plan", SHARED),
    "sheets/blanks": ("reports/writing/test_blank_books.py", "what it lists is seen in the blank workbooks"),
    "sheets/returns": (
        "commands/test_close_week.py",
        "returns are read back from the workbook that was written",
    ),
    "commands/starting": ("commands/test_begin.py", "commands are tried by their words, wherever they lie"),
    "reports/closing": ("commands/test_close_week.py", "the returns workbook is written, filled in and read"),
    "reports/beginning": ("commands/test_begin.py", "what is shown is seen as the command prints it"),
    "reports/levels": ("commands/test_levels_command.py", "levels are seen as the command writes them"),
}
"""Rooms without a folder of tests of their own: where their tests are, and why there."""


def short(room: Path) -> str:
    return room.relative_to(PACKAGE).as_posix()


# --- how large things are ----------------------------------------------------------------------------


def parsed() -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        yield path, ast.parse(path.read_text("utf-8"))


def lines_of(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    assert function.end_lineno is not None
    return function.end_lineno - function.lineno + 1


def test_no_room_holds_more_modules_than_can_be_taken_in() -> None:
    crowded = {short(room): len(modules(room)) for room in rooms() if len(modules(room)) > MOST_MODULES}
    assert crowded == {}


def test_no_function_is_longer_than_a_screen() -> None:
    long = {
        f"{short(path)}: {node.name}": lines_of(node)
        for path, tree in parsed()
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and lines_of(node) > MOST_LINES
    }
    assert long == {}


def test_few_types_are_left_open() -> None:
    open_types = {
        short(path): number
        for path, tree in parsed()
        if (number := sum(isinstance(node, ast.Name) and node.id == "Any" for node in ast.walk(tree)))
    }
    assert sum(open_types.values()) <= MOST_ANY, open_types


def test_few_lines_are_kept_from_the_type_checker() -> None:
    kept = {
        short(path): number
        for path in sorted(PACKAGE.rglob("*.py"))
        if (number := path.read_text("utf-8").count("type: ignore"))
    }
    assert sum(kept.values()) <= MOST_IGNORED, kept


# --- where tests are ---------------------------------------------------------------------------------


def rooms_with_modules() -> list[str]:
    return [short(room) for room in rooms() if room != PACKAGE and modules(room)]


@pytest.mark.parametrize("room", rooms_with_modules())
def test_a_room_has_its_tests_in_the_folder_of_the_same_name(room: str) -> None:
    there, reason = TESTED_ELSEWHERE.get(room, (room, ""))
    place = TESTS / there
    assert any(place.rglob("test_*.py")) if place.is_dir() else place.is_file(), reason or room


def test_no_exception_is_kept_for_longer_than_it_is_needed() -> None:
    needless = [room for room in TESTED_ELSEWHERE if any((TESTS / room).glob("test_*.py"))]
    assert needless == []
    assert set(TESTED_ELSEWHERE) <= set(rooms_with_modules())


@pytest.mark.parametrize("module", [module.stem for module in modules(PACKAGE) if module.stem != "cli"])
def test_a_module_beside_the_rooms_has_tests_of_its_own(module: str) -> None:
    names = {"standards": "test_standards.py", "week": "commands/test_hand_worked_week.py"}
    assert (TESTS / names.get(module, f"test_{module}.py")).is_file()


# --- what a short run takes --------------------------------------------------------------------------

NEEDS_A_BROWSER = "browser"
"""The one folder that a short run may leave out: a browser is seldom at hand."""


def is_slow(mark: ast.expr) -> bool:
    """``pytest.mark.slow``, or a list with it."""
    if isinstance(mark, ast.List | ast.Tuple):
        return any(is_slow(entry) for entry in mark.elts)
    return isinstance(mark, ast.Attribute) and mark.attr == "slow"


def quick_tests(path: Path) -> list[str]:
    """The tests of a file that are not marked slow, alone, by their class or by their file."""
    found: list[str] = []
    for node in ast.parse(path.read_text("utf-8")).body:
        if (
            isinstance(node, ast.Assign)
            and ast.unparse(node.targets[0]) == "pytestmark"
            and is_slow(node.value)
        ):
            return []
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and node.name.lower().startswith("test"):
            found += [] if any(is_slow(mark) for mark in node.decorator_list) else [node.name]
    return found


def folders_of_tests() -> list[str]:
    return sorted({path.parent.relative_to(TESTS).as_posix() for path in TESTS.rglob("test_*.py")})


@pytest.mark.parametrize("folder", [name for name in folders_of_tests() if name != NEEDS_A_BROWSER])
def test_a_short_run_covers_every_room(folder: str) -> None:
    assert [name for path in (TESTS / folder).glob("test_*.py") for name in quick_tests(path)] != []


def test_a_mark_on_a_file_or_a_class_counts_for_what_is_in_it(tmp_path: Path) -> None:
    marked = tmp_path / "test_marked.py"
    marked.write_text("import pytest\npytestmark = [pytest.mark.slow]\ndef test_a(): pass\n", "utf-8")
    some = tmp_path / "test_some.py"
    some.write_text(
        "@pytest.mark.slow\nclass TestA: pass\n@pytest.mark.slow\ndef test_b(): pass\ndef test_c(): pass\n"
    )
    assert quick_tests(marked) == []
    assert quick_tests(some) == ["test_c"]


# --- names -------------------------------------------------------------------------------------------


def classes() -> dict[str, list[str]]:
    """Public classes with the modules that define them."""
    found: dict[str, list[str]] = {}
    for path, tree in parsed():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found.setdefault(node.name, []).append(short(path))
    return found


def test_no_two_classes_share_a_name() -> None:
    assert {name: where for name, where in classes().items() if len(where) > 1} == {}
