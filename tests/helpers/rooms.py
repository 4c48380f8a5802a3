"""The rooms of the package as its folders and docstrings tell them, and their tables in DEVELOPERS.md."""

import ast
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "reconcile"
PAGE = ROOT / "DEVELOPERS.md"
BEGIN, END = "<!-- rooms: begin -->", "<!-- rooms: end -->"
STALE = "stale: run python tests/test_developers.py"


def rooms(package: Path = PACKAGE) -> list[Path]:
    """The folders of code, the package itself first, each followed by its sub-rooms."""
    return sorted(page.parent for page in package.rglob("__init__.py"))


def modules(room: Path) -> list[Path]:
    """The modules that lie in a room itself, its page left out."""
    return sorted(path for path in room.glob("*.py") if path.name != "__init__.py")


def docstring(path: Path) -> str:
    """What a file says of itself; empty where it says nothing."""
    return ast.get_docstring(ast.parse(path.read_text("utf-8"))) or ""


def page_of(room: Path) -> str:
    """What a room is for, as its ``__init__`` says it."""
    return docstring(room / "__init__.py")


def job_of(module: Path) -> str:
    """The first line of a module's docstring, without its full stop."""
    return docstring(module).partition("\n")[0].removesuffix(".")


def tables(package: Path = PACKAGE) -> str:
    """All rooms as Markdown: a heading each, what the room is for, and its modules in a table."""
    return "\n\n".join(_section(room, package) for room in rooms(package))


def _section(room: Path, package: Path) -> str:
    depth = len(room.relative_to(package).parts)
    parts = [f"{'#' * (3 + max(depth - 1, 0))} `{room.relative_to(package.parent).as_posix()}/`"]
    parts += [_markdown(page_of(room))] if page_of(room) else []
    rows = [f"| `{module.name}` | {_cell(job_of(module))} |" for module in modules(room)]
    parts += ["\n".join(["| file | job |", "|---|---|", *rows])] if rows else []
    return "\n\n".join(parts)


def _markdown(text: str) -> str:
    return text.replace("``", "`")


def _cell(text: str) -> str:
    return _markdown(text).replace("|", r"\|")


def with_tables(text: str, package: Path = PACKAGE) -> str:
    """A page with the tables of the rooms between its marks, as they are now."""
    before, _, rest = text.partition(BEGIN)
    _, _, after = rest.partition(END)
    return f"{before}{BEGIN}\n\n{tables(package)}\n\n{END}{after}"
