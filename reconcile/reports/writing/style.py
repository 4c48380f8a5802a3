"""The one style of all pages, and the marks of a kit's state. A page holds both; it needs no other file."""

from functools import cache
from importlib.resources import files

from reconcile.values.week.results import COMPLETE, SHORT, WAITS

TO_ORDER, DONE, PART_DONE, LEFT_OVER = "order", "done", "part done", "left over"
"""States beside those of a planned kit."""

_FULL = "M1 2h4v12h-4zM8 2h4v12h-4z"
_REST = "M15 2h4v12h-4zM22 2h4v12h-4z"
_LOW = "M3 4h3.5v8H3zM9 4h3.5v8H9z"
_LOW_REST = "M15 4h3.5v8H15zM21 4h3.5v8H21z"

MARKS: dict[str, tuple[tuple[str, str], ...]] = {
    COMPLETE: ((_FULL + _REST, "full"),),
    WAITS: ((_FULL, "full"), (_REST, "hollow")),
    TO_ORDER: ((_FULL, "full"), ("M27 8H16M20 3.5L15.5 8 20 12.5", "stroke")),
    SHORT: ((_FULL, "full"), ("M16 3l10 10M26 3L16 13", "stroke")),
    DONE: ((_LOW + _LOW_REST, "full"), ("M0 1h27M0 15h27", "stroke")),
    PART_DONE: ((_LOW, "full"), (_LOW_REST, "hollow"), ("M0 15h27", "stroke")),
    LEFT_OVER: ((_FULL, "hollow"), ("M15 8H26M22 3.5L26.5 8 22 12.5", "stroke")),
}
"""A stack of four spacers: whole, two to come, arrow in, cross, clamped, on its base, arrow out."""

_BOX = "0 0 27 16"
_DRAWN = {"full": "", "hollow": ' fill="none"', "stroke": ' fill="none" stroke-width="2"'}


@cache
def page_style() -> str:
    """The style sheet, whole."""
    return files("reconcile.reports.writing").joinpath("style.css").read_text("utf-8")


def mark_name(state: str) -> str:
    """``k-part-done``: the id of a mark, and its class."""
    return f"k-{state.replace(' ', '-')}"


def mark_defs(*states: str) -> str:
    """The marks of some states, once for a page."""
    symbols = "".join(
        f'<symbol id="{mark_name(state)}" viewBox="{_BOX}">{_paths(state)}</symbol>' for state in states
    )
    return f'<svg class="sprite" width="0" height="0" aria-hidden="true">{symbols}</svg>'


def mark(state: str) -> str:
    """A mark. The word stands beside it, always: it is hidden from a screen reader."""
    name = mark_name(state)
    return f'<svg class="mk {name}" aria-hidden="true"><use href="#{name}"/></svg>'


def mark_of_its_own(state: str) -> str:
    """A mark for the head of a table that goes on over pages, where Chromium prints what is used from
    elsewhere a third too large.
    """
    return f'<svg class="mk {mark_name(state)}" viewBox="{_BOX}" aria-hidden="true">{_paths(state)}</svg>'


def _paths(state: str) -> str:
    return "".join(f'<path d="{path}"{_DRAWN[how]}/>' for path, how in MARKS[state])
