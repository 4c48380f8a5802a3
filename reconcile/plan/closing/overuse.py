"""Planned against used, week after week: where a frame file or a habit may be wrong. Pure.

Lines are gathered by the key of the frame file that asks for them, whoever did the work and whichever part
served: a key that takes more than it plans in one week after another is wrong, or something is done at that
joint that nobody wrote down.
"""

from collections.abc import Iterable
from fractions import Fraction

from reconcile.values.stock.movements import PlannedUse
from reconcile.values.stock.overuse import UsedMore, WeekUse

WEEKS_IN_A_ROW = 2
"""A line that used more than planned in so many of its weeks, the last ones, is listed (a choice of ours):
one week is chance."""


def used_more(uses: Iterable[tuple[str, PlannedUse]], least: int = WEEKS_IN_A_ROW) -> list[UsedMore]:
    """The lines to look at, by frame and key. ``uses``: each line with its week, in the order of closing.

    A week in which a frame's line was not asked for says nothing of it, and is passed over.
    """
    lines: dict[tuple[str, str, str], list[tuple[str, PlannedUse]]] = {}
    for week, each in uses:
        if each.key:
            lines.setdefault((each.frame, each.key, each.unit), []).append((week, each))
    found = (_used_more(key, own, least) for key, own in sorted(lines.items()))
    return [each for each in found if each is not None]


def _used_more(key: tuple[str, str, str], own: list[tuple[str, PlannedUse]], least: int) -> UsedMore | None:
    weeks: dict[str, WeekUse] = {}
    for week, each in own:
        before = weeks.get(week, WeekUse(week, Fraction(0), Fraction(0)))
        weeks[week] = WeekUse(week, before.planned + each.planned, before.used + each.used)
    last: list[WeekUse] = []
    for one in reversed(weeks.values()):
        if one.used <= one.planned:
            break
        last.insert(0, one)
    if len(last) < least:
        return None
    named = {each.week for each in last}
    rows = [each for week, each in own if week in named and each.used > each.planned]
    frame, place, unit = key
    return UsedMore(
        frame, place, rows[0].name, unit, tuple(last),
        tuple(dict.fromkeys(row.part for row in rows)),
        tuple(dict.fromkeys(row.reason for row in rows if row.reason)),
    )  # fmt: skip
