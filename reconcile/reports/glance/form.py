"""The glance as a sheet to read standing: ruled like a form, on one page of A4 and of Letter.

A state is a mark, a line around its cell and a colour, and its word stands in the key: print it in grey.
"""

from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from reconcile.reports.glance.facts import (
    LEFT,
    MOST_SUPPLIERS,
    DayJob,
    Figure,
    Glance,
    SupplierValue,
)
from reconcile.reports.glance.table import lines_text, stake_text
from reconcile.reports.glance.todo import MOST_TO_DO, DueTask
from reconcile.reports.writing.grid import Field, Look, RuledForm
from reconcile.reports.writing.styles import WORD_FILLS
from reconcile.reports.writing.widths import LINE, text_width
from reconcile.reports.writing.wording import count_text, day_text, money_text
from reconcile.values.week.results import COMPLETE, DONE, SHORT, TO_ORDER, WAITS

WIDTHS = (9, 9, *(11,) * 8)
"""Two columns for a day, and eight for its jobs, in characters."""
LAST = len(WIDTHS) - 1
A_ROW = LAST - 1
"""Jobs of a day in a row."""

MOST_DAY_ROWS = 12
"""Of more jobs, each day is told by counts."""

MARKS = {
    COMPLETE: "\u25a0",
    WAITS: "\u25a1",
    TO_ORDER: "\u25ba",
    SHORT: "\u00d7",
    DONE: "\u25cf",
    LEFT: "\u25c4",
}
"""All in the characters that every usual font has (WGL4)."""
BOXES = {COMPLETE: "thin", WAITS: "dashed", TO_ORDER: "dotted", SHORT: "double", DONE: "thin"}
KEY = {
    COMPLETE: "complete",
    WAITS: "waits for what is coming",
    TO_ORDER: "complete if ordered in time",
    SHORT: "short",
    DONE: "done",
}

TITLE = Look(size=12, bold=True, over="thin")
STRONG = Look(bold=True)
RIGHT = Look(align="right")
ROW = Look(over="hair")

FormRow = tuple[tuple[Field, ...], float]


def glance_form(shown: Glance) -> RuledForm:
    """The page: verdict, five figures, the days, what to do today, order value, and nothing else."""
    rows = (
        *_verdict_rows(shown), *_figure_rows(shown.figures), *_day_rows(shown), *_todo_rows(shown.to_do),
        *_value_rows(shown),
    )  # fmt: skip
    return RuledForm(WIDTHS, rows)


def _lines(text: str, first: int, last: int, size: float = 10) -> int:
    """Lines that a text takes in these columns; words are rarely broken where a line could end."""
    room = sum(WIDTHS[first : last + 1]) * 10 / size - 1
    return max(ceil(text_width(text) * 1.03 / room), 1)


def _row(*fields: Field) -> FormRow:
    """As tall as its tallest text."""
    lines = (
        _lines(each.value, each.first, each.last, each.look.size) * each.look.size * LINE / 10
        for each in fields
        if isinstance(each.value, str)
    )
    return fields, max([LINE, *lines]) + 2


def _gap(points: float = 6) -> FormRow:
    return (), points


# --- the parts of the page --------------------------------------------------------------------------------


def _verdict_rows(shown: Glance) -> Iterator[FormRow]:
    said = Field(0, LAST, shown.verdict, Look(size=18, serif=True, over="thick"))
    # The serif is narrower than the letters that widths are counted in.
    yield (said,), 22.5 * _lines(shown.verdict, 0, LAST, 15) + 4
    if shown.under:
        yield _row(Field(0, LAST, " ".join(shown.under)))
    yield _gap()


def _figure_rows(figures: tuple[Figure, ...]) -> Iterator[FormRow]:
    places = [(2 * number, 2 * number + 1, figure) for number, figure in enumerate(figures)]
    number = Look(size=24, over="thin")
    yield tuple(Field(first, last, figure.chairs, number) for first, last, figure in places), 31
    states = [
        Field(first, last, f"{MARKS[figure.state]} chairs {_state(figure.state)}", STRONG)
        for first, last, figure in places
    ]
    yield _row(*states)
    yield _row(*(Field(first, last, figure.says) for first, last, figure in places))
    yield _gap()


def _state(state: str) -> str:
    return {WAITS: "waiting", TO_ORDER: "to order for"}.get(state, state)


def _day_rows(shown: Glance) -> Iterator[FormRow]:
    yield _row(Field(0, LAST, "The days", TITLE))
    if not shown.days:
        yield _row(Field(0, LAST, "No job of the period could be planned."))
        return
    there = {job.kit for _, jobs in shown.days for job in jobs}
    key = "   ".join(f"{MARKS[kit]} {words}" for kit, words in KEY.items() if kit in there)
    yield _row(Field(0, LAST, f"{key}   (2): of 2 chairs"))
    if sum(ceil(len(jobs) / A_ROW) for _, jobs in shown.days) > MOST_DAY_ROWS:
        yield from _counted_days(shown)
        return
    for day, jobs in shown.days:
        for place in range(0, len(jobs), A_ROW):
            cells = jobs[place : place + A_ROW]
            label = Field(0, 1, "" if place else day_text(day), Look(bold=True, over="" if place else "hair"))
            ticks = [_tick(2 + number, job) for number, job in enumerate(cells)]
            lines = max(ceil(text_width(str(tick.value)) / (WIDTHS[2] + 1)) for tick in ticks)
            yield (label, *ticks), LINE * lines + 4
    yield _gap()


def _tick(column: int, job: DayJob) -> Field:
    look = Look(align="center", fill=WORD_FILLS.get(job.kit, ""), box=BOXES[job.kit])
    return Field(column, column, f"{MARKS[job.kit]} {job.text}", look)


def _counted_days(shown: Glance) -> Iterator[FormRow]:
    """Of very many jobs: how many of each state; of very many days the first."""
    for day, jobs in shown.days[:MOST_DAY_ROWS]:
        counts = {kit: sum(job.kit == kit for job in jobs) for kit in KEY}
        told = "   ".join(f"{MARKS[kit]} {count} {KEY[kit]}" for kit, count in counts.items() if count)
        yield _row(Field(0, 1, day_text(day), replace(STRONG, over="hair")), Field(2, LAST, told, ROW))
    if (more := len(shown.days) - MOST_DAY_ROWS) > 0:
        yield _row(Field(0, LAST, f"{count_text(more, 'day')} more: see Jobs by day."))
    yield _gap()


def _todo_rows(to_do: tuple[DueTask, ...]) -> Iterator[FormRow]:
    yield _row(Field(0, LAST, _todo_title(len(to_do)), TITLE))
    for number, each in enumerate(to_do[:MOST_TO_DO], 1):
        yield _row(
            Field(0, 0, f"{number}.", replace(ROW, align="right")),
            Field(1, 4, each.what, replace(ROW, bold=True)),
            Field(5, 7, each.why, ROW),
            Field(8, 8, each.who, ROW),
            Field(9, LAST, stake_text(each.chairs), replace(ROW, align="right")),
        )
    yield _gap()


def _todo_title(count: int) -> str:
    if not count:
        return "Do today: nothing"
    beside = f", {MOST_TO_DO} of {count}" if count > MOST_TO_DO else ""
    return f"Do today{beside}: most chairs at stake first"


def _value_rows(shown: Glance) -> Iterator[FormRow]:
    yield _row(Field(0, LAST, "To order" if shown.values else "To order: nothing", TITLE))
    if not shown.values:
        return
    heads = (
        (4, 5, "lines"),
        (6, 6, "goods"),
        (7, 7, "delivery"),
        (8, 8, "in all"),
        (9, 9, "currency"),
    )
    yield _row(Field(0, 3, "supplier"), *(Field(first, last, words, RIGHT) for first, last, words in heads))
    for value in shown.values[:MOST_SUPPLIERS]:
        yield _value_row(value, ROW)
    if (more := len(shown.values) - MOST_SUPPLIERS) > 0:
        yield _row(Field(0, LAST, f"{count_text(more, 'order')} more: see Order value.", ROW))
    for total in shown.totals:
        yield _value_row(total, Look(bold=True, over="thin"))


def _value_row(value: SupplierValue, look: Look) -> FormRow:
    right = replace(look, align="right")
    return _row(
        Field(0, 3, value.name, look),
        Field(4, 5, lines_text(value), right),
        Field(6, 6, "not known" if value.goods is None else money_text(value.goods), right),
        Field(7, 7, value.delivery, right),
        Field(8, 8, "not known" if value.total is None else money_text(value.total), right),
        Field(9, 9, value.currency, right),
    )
