"""How a page is rendered: one environment, autoescaped, with the words and marks that all pages share."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cache, partial
from importlib.resources import files
from secrets import token_hex
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from markupsafe import Markup, escape
from starlette.responses import HTMLResponse

from reconcile.page.asked import Asked, call_unusable
from reconcile.reports.writing.style import MARKS, mark, mark_defs
from reconcile.reports.writing.text import unbroken
from reconcile.reports.writing.wording import amount_text, count_text, day_text, money_text, period_text
from reconcile.values.catalogue import ERROR
from reconcile.values.days import DAY_NAMES
from reconcile.values.measure import length_text, quantity_text
from reconcile.values.orders.lines import ANSWERED, OVERDUE, PART_RECEIVED, PLACED, UNPLACED
from reconcile.values.problem import Problem, Unusable
from reconcile.values.week.results import Week

if TYPE_CHECKING:
    from jinja2 import Environment

INDEX = (
    ("today", "Today"), ("ask", "Ask"), ("jobs", "Jobs"), ("parts", "Parts"), ("orders", "Orders"),
    ("mend", "Mend"), ("close", "Close"), ("count", "Count"),
)  # fmt: skip
"""What the index at the head of every page leads to."""

_RING, _GOAL = '<circle cx="6" cy="8" r="5"{}/>', '<path fill="none" stroke-width="2" d="M26 2v12"/>'
ORDER_MARKS = {
    UNPLACED: ("o-write", _RING.format(' fill="none" stroke-dasharray="2.6 1.9"')),
    PLACED: ("o-placed", _RING.format(' fill="none"') + '<path fill="none" d="M11 8H26"/>' + _GOAL),
    ANSWERED: (
        "o-answered",
        '<path fill="none" d="M1 8h7M18 8h8"/><circle cx="13" cy="8" r="5" fill="none"/>'
        '<path d="M13 3a5 5 0 0 0 0 10z"/>' + _GOAL,
    ),
    PART_RECEIVED: (
        "o-received",
        '<path fill="none" d="M1 8h14"/><circle cx="20" cy="8" r="5"/>' + _GOAL,
    ),
    OVERDUE: (
        "o-late",
        '<path fill="none" stroke-width="2" d="M2 2v12"/><path fill="none" stroke-dasharray="2.5 2" '
        'd="M3 8H15"/><circle cx="20" cy="8" r="5"/>',
    ),
}
"""How a line of an order stands: its class, and what is drawn. A parcel on a rail to its day."""


@dataclass(frozen=True, slots=True)
class PageHead:
    """What stands around every page."""

    workshop: str
    period: str
    today: str
    looked: str
    """When the files were looked at."""
    changed: tuple[str, ...]
    """Files that changed since the plan that is shown."""
    made: str
    """When that plan was made."""
    faults: int
    """Cells to mend."""


@dataclass(frozen=True, slots=True)
class FaultShown:
    """A problem in words."""

    place: str
    says: str
    did: str
    do: str
    code: str


def page(
    asked: Asked, template: str, current: str, values: Mapping[str, object], status: int = 200
) -> HTMLResponse:
    """A page in its frame. ``current``: which of ``INDEX`` it belongs to."""
    text = environment().get_template(template).render(
        {
            **values, "asked": asked, "token": asked.desk.keys.token, "head": head_of(asked), "index": INDEX,
            "current": current, "who": asked.desk.who,
        }
    )  # fmt: skip
    return HTMLResponse(text, 422 if asked.refused else status)


def head_of(asked: Asked) -> PageHead:
    shown = asked.shown
    week = shown.week
    workshop = week.settings.workshop.name if week else ""
    made = shown.made.looked if shown.made else None
    return PageHead(
        workshop or asked.desk.folder.resolve().name or "Workshop",
        f"{period_text(week)}, {day_text(week.period.first)} to {day_text(week.period.last)}" if week else "",
        day_text(week.today) if week else "",
        f"{day_text(shown.looked.date())}, {shown.looked:%H:%M:%S}",
        shown.changed,
        f"{made:%H:%M:%S}" if made else "",
        len({str(fault.place) for fault in faults_of(asked)}),
    )


def faults_of(asked: Asked) -> list[Problem]:
    """Every error of the plan that is shown, or all that forbids one."""
    shown = asked.shown
    if shown.made is None:
        return []
    found = shown.made.week.problems if shown.made.week else shown.made.refused
    return [fault for fault in found if fault.severity == ERROR]


def planned(asked: Asked) -> Week:
    """The plan that is shown. Raises Unusable with all that forbids one, or where the first is being made."""
    shown = asked.shown
    if shown.made is None:
        says = "The sheets are being read for the first time. Look again in a moment."
        raise Unusable(call_unusable("plan", says))
    if shown.week is None:
        raise Unusable(*shown.made.refused)
    return shown.week


@cache
def environment() -> "Environment":
    """The one environment of all pages: whatever comes from a sheet is escaped."""
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    made = Environment(
        loader=FunctionLoader(template_text), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True, auto_reload=False,
    )  # fmt: skip
    made.filters.update(
        day=day, iso=lambda value: value.isoformat() if value else "", number=quantity_text,
        amount=amount_text, money=money, nb=no_break, n=copied, counted=count_text, sized=length_text,
        state=state, order_state=order_state, said=said, fault=fault_shown, link=link, short_day=short_day,
    )  # fmt: skip
    made.globals.update(
        marks=Markup(mark_defs(*MARKS) + order_mark_defs()),
        mark=lambda kind: Markup(mark(kind)),
        link=link,
        once=partial(token_hex, 8),
    )
    return made


def template_text(name: str) -> str:
    return files("reconcile.page").joinpath("templates", name).read_text("utf-8")


# --- filters --------------------------------------------------------------------------------------


def day(value: date | None) -> Markup:
    """``Wed 2026-12-02``, on one line."""
    return no_break(day_text(value)) if value else Markup("")


def short_day(value: date) -> str:
    """``Wed 2``."""
    return f"{DAY_NAMES[value.weekday()]} {value.day}"


def no_break(text: object) -> Markup:
    return Markup('<span class="nb">{}</span>').format(text)


def said(text: object) -> Markup:
    """Words in which a length, or a number or day with hyphens, is never broken at the end of a line."""
    words = unbroken(str(text)).split(" ")
    return Markup(" ").join(
        no_break(word) if "-" in word and len(word) < 17 else escape(word) for word in words
    )


def fault_shown(fault: Problem) -> FaultShown:
    """A problem as a page tells it: what was typed has no cell, and needs no word on the command line."""
    typed = fault.place.file in ("command line", "page")
    do = "" if fault.code == "call-unusable" else fault.do
    return FaultShown(
        "" if typed else str(fault.place), fault.says, "" if typed else fault.did, do, fault.code
    )


def copied(text: object) -> Markup:
    """What hands copy: a part, a bin, an order, a cell; in a face of fixed width, as it is written."""
    parts = Markup("!<wbr>").join(str(text).split("!"))
    return Markup('<bdi class="n{}">{}</bdi>').format("" if len(str(text)) < 20 else " wraps", parts)


def money(value: Decimal | None) -> str:
    return "" if value is None else money_text(value)


def state(kind: str, word: str = "") -> Markup:
    """A mark and its word."""
    return Markup('<span class="state">{}{}</span>').format(Markup(mark(kind)), word or kind.capitalize())


def order_state(standing: str) -> Markup:
    name, _ = ORDER_MARKS.get(standing, ORDER_MARKS[PLACED])
    drawn = Markup('<svg class="mk {0}" aria-hidden="true"><use href="#{0}"/></svg>').format(name)
    return Markup('<span class="state">{}{}</span>').format(drawn, standing.capitalize())


def order_mark_defs() -> str:
    symbols = "".join(
        f'<symbol id="{name}" viewBox="0 0 27 16">{drawn}</symbol>' for name, drawn in ORDER_MARKS.values()
    )
    return f'<svg class="sprite" width="0" height="0" aria-hidden="true">{symbols}</svg>'


def link(path: str, **given: object) -> str:
    """An address of ours: names go into the query, whatever letters they have."""
    query = urlencode({name: value for name, value in given.items() if value not in ("", None)})
    return f"{path}?{query}" if query else path
