"""The page that explains every problem code, made from the catalogue itself."""

from pathlib import Path

from reconcile.values.catalogue import CODES, Code

PAGE = Path(__file__).resolve().parents[2] / "problems.md"
"""Where the page lies, inside the package."""

_HEAD = """# Problems, code by code

What the program finds wrong with its inputs, or with a call, is reported as a problem with a code. An error
means that something was set aside or that there is no result; a notice that something was used all the same.
`reconcile problems CODE` prints the same words. A message may say more; then it knows more than this page.
"""


def catalogue_page() -> str:
    """The page as Markdown: a list of all codes, then a section for each, in the order of the alphabet."""
    codes = sorted(CODES.items())
    contents = "\n".join(f"- [{name}](#{name}) – {_in_line(entry.means)}" for name, entry in codes)
    sections = "\n".join(_section(name, entry) for name, entry in codes)
    return f"{_HEAD}\n{contents}\n\n{sections}"


def _section(name: str, entry: Code) -> str:
    told = {
        "What it means": _in_line(entry.means),
        "For example": _as_typed(entry.example),
        "What was done": _in_line(entry.did),
        "What to do": _in_line(entry.do),
    }
    lines = "\n".join(f"- **{label}:** {words}" for label, words in told.items())
    return f"## {name}\n\n*{entry.severity.capitalize()}.*\n\n{lines}\n"


def _in_line(words: str) -> str:
    """Words in which nothing is taken for a mark of Markdown."""
    return "".join(f"\\{sign}" if sign in "\\`*_[]<>|" else sign for sign in words)


def _as_typed(example: str) -> str:
    """An example in type of its own, with a fence longer than any that it holds."""
    fence = "``" if "`" in example else "`"
    return f"{fence}{example}{fence}"
