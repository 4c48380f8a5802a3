"""What is printed of a sheet, and after which rows its pages end."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise

MOST_BREAKS = 1000
"""Page breaks that common spreadsheet programs keep on a sheet are 1,023 ([MS-XLSB], 2.4.196)."""

FEW = 3
"""Rows that are too few for a page of their own."""


@dataclass(frozen=True, slots=True)
class Paper:
    """How a sheet is printed: which columns, which way, and which rows stay together."""

    columns: int = 0
    """So many columns from the left are printed, and the others lie beside the print area; 0: all."""
    landscape: bool = True
    most_pages: int = 0
    """Rows that follow are on the screen alone, and the page's head says so; 0: all are printed."""
    together: int | None = None
    """The column (A is 0) whose equal cells keep rows on one page, where a page holds them."""
    page_each: bool = False
    """Every run of such rows begins a page."""
    below: int = 0
    """Rows below the table that are printed too: a chart stands there."""
    printed: bool = True
    """A sheet for the screen alone has nothing in its print area, so no page comes out."""


ON_PAPER, SCREEN = Paper(), Paper(printed=False)


def fitted(widths: Sequence[int], least: Sequence[int], room: int) -> list[int]:
    """Widths that together take no more than ``room``: the widest give way first, none below ``least``."""
    fits = list(widths)
    while sum(fits) > room:
        free = [place for place, width in enumerate(fits) if width > least[place]]
        if not free:
            return fits
        fits[max(free, key=lambda place: fits[place])] -= 1
    return fits


def column_ends(widths: Sequence[int], kept: int, room: int) -> list[int]:
    """How many columns there are up to the end of each page, where ``kept`` of them stand on every page.

    Pages hold ``room`` characters, and are filled about alike.
    """
    first = sum(widths[:kept])
    pages = max(-(-(sum(widths) - first) // max(room - first, 1)), 1)
    share = (sum(widths) - first) / pages
    ends: list[int] = []
    taken = 0
    for place, width in enumerate(widths[kept:], kept):
        over = taken + width > room - first
        if taken and (over or (taken >= share and len(ends) < pages - 1)):
            ends.append(place)
            taken = 0
        taken += width
    return [*ends, len(widths)]


def page_ends(heights: Sequence[float], starts: Sequence[int], room: float, *, page_each: bool) -> list[int]:
    """How many rows there are down to the end of each page, the last page's end too.

    ``heights`` are the rows' in points; ``starts`` the places at which a run of rows begins that stay
    together, 0 first. A run longer than a page is broken within, and no page is left with a row or two.
    """
    ends: list[int] = []
    begun = 0
    runs = list(pairwise([*starts, len(heights)]))
    sums = [0.0, *accumulate(heights)]
    for first, last in runs:
        if first > begun and (page_each or sums[last] - sums[begun] > room):
            ends.append(first)
            begun = first
        while sums[last] - sums[begun] > room:
            end = max(
                place
                for place in range(begun + 1, last + 1)
                if place == begun + 1 or sums[place] - sums[begun] <= room
            )
            begun = _not_alone(begun, end, last)
            ends.append(begun)
    closed = ends if ends[-1:] == [len(heights)] else [*ends, len(heights)]
    return _shared_out(closed, set(starts), page_each=page_each)


def _not_alone(begun: int, end: int, last: int) -> int:
    """The end of a page within a run, moved up where a row or two would be left over."""
    moved = last - FEW
    return moved if 0 < last - end < FEW <= moved - begun else end


def _shared_out(ends: list[int], starts: set[int], *, page_each: bool) -> list[int]:
    """The last page takes runs over from the one before if it would have only a row or two."""
    if page_each or len(ends) < 2:
        return ends
    before = ends[-3] if len(ends) > 2 else 0
    end, last = ends[-2], ends[-1]
    if last - end >= FEW:
        return ends
    moved = [place for place in starts if before + FEW <= place <= last - FEW and place < end]
    return [*ends[:-2], max(moved), last] if moved else ends
