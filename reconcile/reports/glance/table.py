"""The glance as rows, for csv files and data frames: the same facts as on the page."""

from collections.abc import Iterator

from reconcile.reports.glance.facts import Glance, SupplierValue, glance_of
from reconcile.reports.glance.todo import DueTask
from reconcile.reports.writing.grid import TEXT, Column, Row, Table, table
from reconcile.reports.writing.wording import count_text, day_text, money_text, period_text
from reconcile.values.week.results import Week

NAME = "At a glance"
COLUMNS = (Column("about", TEXT, 16), Column("what", TEXT, 40), Column("answer", TEXT, 96))

Fact = tuple[str, str]


def glance(week: Week) -> Table:
    """Sections of facts: verdict, chairs, days, what to do today, order value."""
    shown = glance_of(week)
    sections = (
        ("verdict", [(period_text(week), shown.verdict), *(("to note", text) for text in shown.under)]),
        ("chairs", [(figure.state, f"{figure.chairs}: {figure.says}") for figure in shown.figures]),
        ("days", _day_facts(shown)),
        ("do today", [(each.what, todo_text(each)) for each in shown.to_do] or [("nothing", "")]),
        ("order value", _value_facts(shown)),
    )
    rows: list[Row] = [(about, *fact) for about, facts in sections for fact in facts]
    return table(NAME, f"{NAME}, {period_text(week)}", COLUMNS, rows)


def todo_text(each: DueTask) -> str:
    """``buyer, 8 chairs: Lacking from Thu 2026-12-03. For J-4101, J-4102.``"""
    return f"{each.who}, {stake_text(each.chairs)}: {each.why} {each.more}".rstrip()


def stake_text(chairs: int | None) -> str:
    """How many chairs hang on it."""
    return "not known" if chairs is None else count_text(chairs, "chair") if chairs else "no chair"


def _day_facts(shown: Glance) -> Iterator[Fact]:
    for day, jobs in shown.days:
        yield day_text(day), ", ".join(f"{job.text} {job.kit}" for job in jobs)


def _value_facts(shown: Glance) -> Iterator[Fact]:
    if not shown.values:
        yield "nothing", "Nothing needs to be ordered."
    yield from ((value.name, value_text(value)) for value in (*shown.values, *shown.totals))


def value_text(value: SupplierValue) -> str:
    """``7 lines: goods 474.00, delivery free, total 474.00 EUR``."""
    lines = lines_text(value)
    if value.goods is None or value.total is None:
        return f"{lines}: value not known"
    told = f"goods {money_text(value.goods)}, delivery {value.delivery}, total {money_text(value.total)}"
    return f"{lines}: {told} {value.currency}".rstrip()


def lines_text(value: SupplierValue) -> str:
    """``10 lines``; ``10 lines, 2 without a price``."""
    unpriced = f", {value.unpriced} without a price" if value.unpriced else ""
    return f"{count_text(value.lines, 'line')}{unpriced}"
