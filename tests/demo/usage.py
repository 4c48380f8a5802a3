# ruff: noqa: E501 (tables are read across)
"""A year's use: what the jobs of the demonstration's own frames took, week by week, and repairs beside.

The jobs are drawn by chance from one seed; what each takes is the program's own answer for it, first choices
only. So the usage fits the frames, the parts and some 35 jobs a week, and levels learned from it fit too.
"""

import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from demo.tables import SEED, TODAY
from reconcile.plan.needs.demands import Planner
from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.request import Request
from reconcile.values.measure import MM_PER_INCH
from reconcile.values.week.jobs import Job
from reconcile.values.week.results import Inputs

FIRST_WEEK = date(2025, 11, 24)
WEEKS = 52
JOBS_A_WEEK, SPREAD = 35, 5
SLACK_WEEKS = {4: 8, 5: 6, 36: 22, 37: 20}
"""Weeks with fewer jobs, by their number from the first: the turn of the year, two weeks in summer."""


@dataclass(frozen=True)
class Refit:
    """One adjustment of a frame, how often it is asked for, and between which sizes."""

    frame: str
    adjustment: str
    weight: int
    unit: Fraction
    sizes: tuple[tuple[str, int], ...]
    """Sizes now with their weights."""
    changes: tuple[tuple[str, int], ...]
    """Likewise what is added to them."""
    lowest: str
    highest: str
    options: tuple[tuple[str, float], ...] = ()
    """With the share of the chairs that have them."""


INCH, MM = MM_PER_INCH, Fraction(1)
REFITS = (
    Refit(
        "NQ-T1", "seat width", 56, INCH,
        (("14", 5), ("15", 12), ("16", 45), ("33/2", 4), ("17", 20), ("18", 11), ("19", 3)),
        (("1", 64), ("2", 8), ("1/2", 5), ("-1", 19), ("-2", 4)), "14", "20",
        (("front rigging", 0.08), ("anti-tippers", 0.25), ("solid seat", 0.15), ("push bar", 0.12), ("fixed axle", 0.08)),
    ),
    Refit(
        "KD-W5", "seat width", 17, MM, (("350", 8), ("375", 25), ("400", 40), ("425", 20), ("450", 7)),
        (("25", 60), ("50", 8), ("25/2", 8), ("-25", 24)), "350", "475",
        (("elevating leg rests", 0.15), ("fixed axle", 0.1)),
    ),
    Refit(
        "OS-X3", "seat width", 12, INCH, (("15", 10), ("16", 40), ("17", 35), ("18", 15)),
        (("1", 60), ("2", 5), ("-1", 35)), "15", "19", (("cable brakes", 0.4),),
    ),
    Refit("BD-A4", "seat depth", 7, INCH, (("15", 40), ("16", 60)), (("1", 80), ("1/2", 20)), "15", "17", (("solid seat", 0.3),)),
    Refit("BD-A4", "back height", 4, INCH, (("14", 30), ("15", 30), ("16", 40)), (("2", 100),), "14", "20", (("push handles", 0.4),)),
    Refit("VL-M2", "back height", 2, MM, (("400", 50), ("450", 50)), (("25", 60), ("50", 40)), "400", "500", (("push handles", 0.5),)),
    Refit("VL-M2", "seat depth", 2, MM, (("400", 100),), (("25", 60), ("25/2", 40)), "400", "425"),
)  # fmt: skip

REPAIRS = (
    ("CAS-5", 0.35), ("CAS-6", 0.3), ("CAS-8", 0.2), ("BRG-608", 0.5), ("TYR-24", 0.4), ("TUB-24", 0.5),
    ("ARM-PAD", 0.3), ("BRK-L", 0.2), ("BRK-R", 0.2), ("BLT-PEL", 0.25), ("FTP-L", 0.15), ("FTP-R", 0.15),
    ("GRP-22", 0.3), ("AXL-12", 0.2), ("1E5", 0.3), ("WSH-M6", 0.3), ("NUT-LK-M6", 0.3), ("TIE-300", 0.3),
)  # fmt: skip
"""Parts that repairs take, each with the share of weeks in which one does."""


def drawn(weighted: tuple[tuple[str, int], ...], luck: random.Random) -> Fraction:
    (text,) = luck.choices([value for value, _ in weighted], [weight for _, weight in weighted])
    return Fraction(text)


def a_job(number: str, day: date, luck: random.Random) -> Job:
    """One job of the year, within the range of its frame."""
    (kind,) = luck.choices(REFITS, [refit.weight for refit in REFITS])
    size, change = drawn(kind.sizes, luck), drawn(kind.changes, luck)
    wanted = min(max(size + change, Fraction(kind.lowest)), Fraction(kind.highest))
    options = tuple(option for option, share in kind.options if luck.random() < share)
    chairs = 2 if luck.random() < 0.08 else 1
    return Job(
        number, day, kind.frame, size * kind.unit, wanted * kind.unit, kind.adjustment, options, chairs=chairs
    )


def jobs_of_a_year(luck: random.Random) -> Iterator[Job]:
    number = 2200
    for week in range(WEEKS):
        usual = round(luck.gauss(JOBS_A_WEEK, SPREAD))
        for at in range(SLACK_WEEKS.get(week, usual)):
            yield a_job(f"J-{number}", FIRST_WEEK + timedelta(weeks=week, days=at % 5), luck)
            number += 1


def taken(inputs: Inputs, jobs: tuple[Job, ...]) -> Iterator[tuple[date, str, Fraction]]:
    """What each job takes, by first choices, on the Friday of its week: then it is booked."""
    for planned in Planner(inputs).planned(jobs):
        friday = planned.job.day + timedelta(days=4 - planned.job.day.weekday())
        for line in planned.explosion.lines:
            for part, each in line.choices[0].parts if line.choices else ():
                yield friday, part, line.quantity * each * planned.job.chairs


def repairs(luck: random.Random) -> Iterator[tuple[date, str, Fraction]]:
    for week in range(WEEKS):
        friday = FIRST_WEEK + timedelta(weeks=week, days=4)
        for part, share in REPAIRS:
            if luck.random() < share:
                yield friday, part, Fraction(luck.choice((1, 1, 2, 2, 4)))


def usage_rows(books: dict[str, bytes], demo: Path) -> list[list[Any]]:
    """A year of use to the week before today's, by week and part.

    ``books`` are the jobs and stock workbooks without usage; the frames are read from the demo's folder.
    """
    luck = random.Random(SEED + 1)
    with TemporaryDirectory() as folder:
        for name, content in books.items():
            (Path(folder) / name).write_bytes(content)
        request = Request(folder=Path(folder), today=TODAY, week="2026-W49", frames=demo / "frames")
        inputs = read_inputs(request)
    used: Counter[tuple[date, str]] = Counter()
    for day, part, quantity in (*taken(inputs, tuple(jobs_of_a_year(luck))), *repairs(luck)):
        used[day, part] += quantity
    listed = {key: number for key, number in used.items() if key[1] in inputs.stock.parts}
    return [[day, part, plain(number)] for (day, part), number in sorted(listed.items())]


def plain(quantity: Fraction) -> int | float:
    return int(quantity) if quantity.denominator == 1 else float(quantity)
