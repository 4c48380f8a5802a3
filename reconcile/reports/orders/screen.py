"""Orders on their way as text for a terminal 80 columns wide, and as JSON."""

import json
from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.reports.orders.chase import credit_sentence, named, sentence, to_chase
from reconcile.reports.writing.text import wrapped
from reconcile.reports.writing.wording import count_text, day_text, money_text, some_of
from reconcile.values.ledger.orders import WRITTEN, OrderEvent
from reconcile.values.measure import plain_number, quantity_text
from reconcile.values.orders.answers import REFUSED, AnsweredLine, KitChange
from reconcile.values.orders.listed import OpenLine, OrderList
from reconcile.values.orders.records import SupplierRecord
from reconcile.values.orders.written import ADDED, STRUCK, Change, WrittenOrder
from reconcile.values.week.results import COMPLETE, SHORT, TO_ORDER, WAITS

KITS = {
    COMPLETE: "complete", WAITS: "complete when deliveries are in", TO_ORDER: "to be ordered for",
    SHORT: "short",
}  # fmt: skip


# --- the list -------------------------------------------------------------------------------------


def list_screen(orders: OrderList) -> str:
    """Every open line, what is at stake first; then credits that are expected."""
    if not orders.lines and not orders.credits:
        return "Nothing is on order, and no written order waits to be placed."
    lines: list[str] = [f"{count_text(len(orders.lines), 'line')} open, what is at stake first"]
    for line in orders.lines:
        lines += line_lines(line)
    if orders.credits:
        lines += ["", "Credit expected"]
        lines += [wrapped(credit_sentence(each.line), "  ", "      ") for each in orders.credits]
    return "\n".join(lines)


def line_lines(line: OpenLine) -> Iterator[str]:
    due = line.said or line.due
    when = "not placed" if due is None else f"due {day_text(due)}"
    between = "" if line.days_between is None else f", {days_text(line.days_between)}"
    needed = f", needed {day_text(line.needed)}{between}" if line.needed else ""
    standing = "" if line.standing == when else f"{line.standing}: "
    head = (
        f"{named(line.order, line.line)}: {quantity_text(line.to_come)} {line.unit} of {line.part}"
        f"{f' from {line.supplier}' if line.supplier else ''}"
    )
    yield wrapped(head, "  ", "      ")
    yield wrapped(f"{standing}{when}{needed}", "      ")
    if line.hanging:
        yield wrapped(f"hang on it: {hanging_text(line)}", "      ", "        ")
    if to_chase(line) and line.due:
        yield wrapped(f'send: "{sentence(line)}"', "      ", "        ")


def days_text(days: int) -> str:
    """How the day that it is due lies to the day that it is needed."""
    if days == 0:
        return "on the day"
    return f"{count_text(abs(days), 'day')} {'too late' if days > 0 else 'before'}"


def hanging_text(line: OpenLine) -> str:
    told = [
        f"{each.job} {quantity_text(each.quantity)}{_of_late(each.late, each.orderable)}"
        for each in line.hanging
    ]
    return some_of(told)


def _of_late(late: bool, orderable: bool) -> str:
    if not late:
        return ""
    return " (too late; an order placed today is in time)" if orderable else " (too late)"


def list_json(orders: OrderList) -> str:
    """The same as one JSON object; quantities are numbers, exact where whole; dates are ISO."""
    rows = [
        {
            "standing": line.standing, "order": line.order, "line": line.line, "part": line.part,
            "supplier": line.supplier, "to_come": plain_number(line.to_come), "unit": line.unit,
            "due": _iso(line.said or line.due), "needed": _iso(line.needed),
            "days_between": line.days_between,
            "jobs": [
                {
                    "job": each.job, "day": each.day.isoformat(), "quantity": plain_number(each.quantity),
                    "late": each.late, "orderable": each.orderable,
                }
                for each in line.hanging
            ],
            "send": sentence(line) if to_chase(line) else "",
        }
        for line in orders.lines
    ]  # fmt: skip
    due = [
        {
            "order": each.line.order, "line": each.line.line, "part": each.line.part,
            "quantity": plain_number(each.line.credit), "unit": each.line.unit,
        }
        for each in orders.credits
    ]  # fmt: skip
    found = {"today": orders.today.isoformat(), "lines": rows, "credits": due}
    return json.dumps(found, ensure_ascii=False, indent=1)


def _iso(day: date | None) -> str | None:
    return day.isoformat() if day else None


# --- placed ---------------------------------------------------------------------------------------


def changes_screen(orders: Sequence[WrittenOrder]) -> str:
    """What a buyer changed of each order since it was written."""
    lines: list[str] = []
    for order in orders:
        count = count_text(len(order.lines), "line")
        lines.append(f"{order.reference}: {count}{'' if order.changes else ', as written'}")
        lines += [wrapped(change_text(each), "  ", "      ") for each in order.changes]
    return "\n".join(lines)


def change_text(change: Change) -> str:
    name = f"line {change.line}, {change.part}" if change.line else change.part
    if change.what == STRUCK:
        return f"{name}: struck out, {_value(change.before)} {change.unit} not ordered"
    if change.what == ADDED:
        return f"{name}: added, {_value(change.after)} {change.unit}"
    return f"{name}: {change.what} {_value(change.after)}, written as {_value(change.before)}"


def _value(value: Fraction | Decimal | date | None) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, Decimal):
        return money_text(value)
    return value.isoformat() if isinstance(value, date) else quantity_text(value)


# --- answered -------------------------------------------------------------------------------------


def answer_screen(answered: Sequence[AnsweredLine], kits: Sequence[KitChange], *, posted: bool) -> str:
    """What the supplier changes, and what that does to kits."""
    lines = [wrapped(answered_text(each), "", "    ") for each in answered]
    lines += ["", "Kits"] if kits else ["", "No kit changes."]
    lines += [wrapped(kit_text(each), "  ", "      ") for each in kits]
    if not posted:
        lines += ["", "Nothing is booked; --post books it."]
    return "\n".join(lines)


def answered_text(each: AnsweredLine) -> str:
    before, after = each.before, each.after
    head = f"{named(before.order, before.line)}, {before.part}: {each.how}"
    if each.how == REFUSED:
        return f"{head}; {quantity_text(before.to_come)} {before.unit} will not come."
    told = []
    if after.to_come != before.to_come:
        told.append(
            f"{quantity_text(after.to_come)} {before.unit} to come, not {quantity_text(before.to_come)}"
        )
    if after.due != before.due:
        told.append(f"due {_value(after.due)}, not {_value(before.due)}")
    if after.price != before.price:
        told.append(f"price {_value(after.price)}, not {_value(before.price)}")
    return f"{head}{'; ' if told else ''}{'; '.join(told)}."


def kit_text(each: KitChange) -> str:
    """``J-4127 becomes short``; ``J-4130 complete on 2026-12-04``."""
    name = f"{each.job}, {day_text(each.day)}"
    on = f"; it could be done on {day_text(each.ready)}" if each.ready and each.after == SHORT else ""
    if each.after in (COMPLETE, WAITS) and each.ready:
        return (
            f"{each.job}, {day_text(each.day)}: complete on {day_text(each.ready)} (was {KITS[each.before]})"
        )
    if each.before == each.after:
        return f"{name}: still {KITS[each.after]}{on}"
    return f"{name}: becomes {KITS[each.after]}{on} (was {KITS[each.before]})"


# --- the record -----------------------------------------------------------------------------------


def records_screen(suppliers: Sequence[SupplierRecord]) -> str:
    """Promised against came, supplier by supplier and line by line."""
    lines: list[str] = []
    for each in suppliers:
        told = [count_text(len(each.lines), "line"), f"{each.late} late", f"{each.in_parts} in parts",
                f"{each.short} short"]  # fmt: skip
        if each.median is not None:
            told.append(
                f"lead time {quantity_text(each.median)} working days in the middle, nine in ten within"
                f" {each.ninety}"
            )
        lines.append(wrapped(f"{each.supplier or 'no supplier named'}: {', '.join(told)}", "", "    "))
        for line in each.lines:
            came = f"came {line.came}" if line.came else "nothing came"
            late = "" if not line.days_late else f", {_late_text(line.days_late)}"
            parts = f", in {line.parts} parts" if line.parts > 1 else ""
            short = (
                f", {quantity_text(line.received)} of {quantity_text(line.ordered)} {line.unit}"
                if line.short
                else ""
            )
            lines.append(wrapped(
                f"{named(line.order, line.line)}, {line.part}: promised {line.promised or 'no day'}, "
                f"{came}{late}{parts}{short}", "  ", "      ",
            ))  # fmt: skip
    return "\n".join(lines) or "The ledger has no line of an order of which anything came yet."


def _late_text(days: int) -> str:
    return f"{count_text(abs(days), 'day')} {'late' if days > 0 else 'early'}"


# --- what is booked -------------------------------------------------------------------------------


def events_screen(events: Sequence[OrderEvent]) -> str:
    """A line for each thing that happened to a line of an order."""
    shown = [each for each in events if each.event != WRITTEN]
    return "\n".join(wrapped(event_text(each), "", "    ") for each in shown)


def event_text(each: OrderEvent) -> str:
    quantity = "" if each.quantity is None else f" {quantity_text(each.quantity)} {each.unit}"
    expected = f", {each.expected} expected" if each.expected else ""
    reason = f" ({each.reason})" if each.reason else ""
    return f"{named(each.order, each.line)}, {each.part}: {each.event}{quantity}{expected}{reason}"
