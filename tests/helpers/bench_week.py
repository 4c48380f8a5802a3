"""A planned week of any number of jobs for the tests of the bench sheets."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

from workshop import MON, frame, inch, job, joint, part, planned, screw, seat_width, stock, window

from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.request import Request
from reconcile.values.week.results import Week
from reconcile.week import plan_week

UPPER = joint(length=inch("1"), reuse=True, torque="9 N*m", **window("3/8", "5/8", grip="1/2"))


def workshop_week(count: int, **given) -> Week:
    """So many jobs over five days; the bolts that some of them ask for run out, and others serve."""
    sizes = (("16", "17"), ("17", "16"), ("14", "17 1/2"))
    jobs = [job(f"J-{4000 + n}", MON + timedelta(days=n % 5), *sizes[n % 3], **given) for n in range(count)]
    shelf = stock(
        part("SP-050", 999), part("SP-100", 99), screw("B-200", "2", 40), screw("B-250", "2 1/2", 3),
        screw("B-2375", "2 3/8", 99), screw("B-275", "2 3/4", 9),
    )  # fmt: skip
    return planned(jobs, [frame(seat_width(UPPER, replace(UPPER, name="upper rear")))], shelf)


@cache
def planned_demo() -> Week:
    """The week of the demonstration."""
    folder = Path(__file__).resolve().parents[2] / "data_demo"
    return plan_week(read_inputs(Request(folder=folder, today=date(2026, 11, 27))), datetime(2026, 11, 27, 8))
