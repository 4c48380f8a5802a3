"""How long it takes to list open lines with what hangs on each, beyond reading and planning.

``python tests/bench/orders.py`` prints a row for each size: 2,500 to 20,000 lines of ten to an order, with a
job for each ten lines. ``walk`` is what the list adds to a plan; nothing of it solves anything.
"""

import sys
import time
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "helpers"))

from workshop import FRIDAY_BEFORE, MON, due, kit_frame, kit_job, part, planned, stock

from reconcile.plan.ordering.hanging import order_list
from reconcile.plan.ordering.standing import lines_of, opened
from reconcile.reports.orders.screen import list_json, list_screen
from reconcile.values.ledger.orders import RECEIVED, OrderEntry, OrderEvent

PARTS = 500
SIZES = (2_500, 5_000, 10_000, 20_000)


def shop(size: int):
    """Orders of ten lines each over eight weeks; a job for each ten lines takes two parts."""
    parts = [part(f"P-{number}", 1, lead_time=5, supplier=f"S-{number % 40}") for number in range(PARTS)]
    rows = tuple(
        replace(
            due(f"P-{number * 7 % PARTS}", 3, MON + timedelta(days=number * 13 % 56), f"PO-{number // 10}"),
            line=str(number % 10 + 1),
        )
        for number in range(size)
    )
    frames = [
        kit_frame(f"F-{number}", {f"P-{number}": 2, f"P-{(number + 250) % PARTS}": 1})
        for number in range(PARTS)
    ]
    jobs = [
        kit_job(
            f"J-{number}", MON + timedelta(days=number * 11 % 53), f"F-{number * 3 % PARTS}", row=number + 2
        )
        for number in range(size // 10)
    ]
    return jobs, frames, stock(*parts, due=rows)


def timed(work):
    begun = time.perf_counter()
    found = work()
    return found, time.perf_counter() - begun


def main() -> None:
    print(f"{'lines':>7} {'jobs':>6} {'plan s':>8} {'fold s':>8} {'walk s':>8} {'print s':>8} {'late':>6}")
    for size in SIZES:
        jobs, frames, shelf = shop(size)
        week, plan = timed(
            lambda jobs=jobs, frames=frames, shelf=shelf: planned(
                jobs, frames, shelf, look_ahead=MON + timedelta(days=56), today=FRIDAY_BEFORE
            )
        )
        events = list(opened(shelf, {}, FRIDAY_BEFORE, "clerk"))
        events += [
            OrderEvent(each.order, each.line, RECEIVED, MON, "c", each.part, "each", Fraction(1))
            for each in events
        ]
        entries = [OrderEntry(number, each) for number, each in enumerate(events, 1)]
        lines, fold = timed(lambda entries=entries: lines_of(entries))
        listed, walk = timed(lambda week=week, lines=lines: order_list(week, lines))
        _, shown = timed(lambda listed=listed: (list_screen(listed), list_json(listed)))
        late = sum(bool(line.late) for line in listed.lines)
        print(f"{size:>7} {len(jobs):>6} {plan:>8.2f} {fold:>8.2f} {walk:>8.2f} {shown:>8.2f} {late:>6}")


if __name__ == "__main__":
    main()
