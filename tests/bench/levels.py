"""How long shelf levels take, and how the time grows with parts and with weeks.

Weekly use of every kind: smooth, seldom, in lots of two and eight, by the fifth of a millilitre. Most parts
are bought in packs, half have levels already.

    python tests/bench/levels.py [--parts 2500 5000 10000 20000] [--weeks 52 104] [--measures cycle fill kits]
"""

import argparse
import random
import time
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from reconcile.plan.levels.money.shelf import Aim
from reconcile.plan.levels.proposals import propose
from reconcile.values.days import WorkDays
from reconcile.values.problem import RowPlace
from reconcile.values.rules import LevelRules
from reconcile.values.stock.parts import Part, Stock, Usage

TODAY = date(2026, 11, 27)
MONDAY = date(2026, 11, 23)
PLACE = RowPlace("stock.xlsx", "Usage", 2)


def workshop(parts: int, weeks: int, seed: int = 1) -> Stock:
    dice = random.Random(seed)
    listed = [part_of(dice, number) for number in range(parts)]
    usage = [each for part in listed for each in usage_of(dice, part, weeks)]
    return Stock({part.number: part for part in listed}, usage=tuple(usage))


def part_of(dice: random.Random, number: int) -> Part:
    liquid = number % 20 == 0
    pack = Fraction(50) if liquid else Fraction(dice.choice((1, 1, 2, 10, 50, 100)))
    point = Fraction(dice.randint(2, 40)) if number % 2 else None
    return Part(
        f"P-{number}",
        unit="mL" if liquid else "each",
        pack=pack,
        minimum_order=pack,
        lead_time=dice.choice((2, 5, 10, 20, 40)),
        price=Decimal(dice.randint(5, 9000)) / 100,
        currency="EUR",
        reorder_point=point,
        order_up_to=None if point is None else point + dice.randint(1, 60),
    )


def usage_of(dice: random.Random, part: Part, weeks: int) -> list[Usage]:
    often = dice.choice((0.05, 0.1, 0.2, 0.4, 0.95))
    lot = Fraction(1, 5) if part.unit == "mL" else Fraction(dice.choice((1, 1, 2, 8)))
    sizes = dice.choice(((1,), (1, 2), (1, 2, 4), (1, 1, 1, 20)))
    return [
        Usage(
            MONDAY - timedelta(weeks=week, days=-1),
            part.number,
            lot * dice.choice(sizes),
            _job(dice, week),
            PLACE,
        )
        for week in range(weeks, 0, -1)
        if week == weeks or dice.random() < often
    ]


def day_of(week: int) -> date:
    return MONDAY - timedelta(weeks=week, days=-1)


def _job(dice: random.Random, week: int) -> str:
    """Some two hundred jobs a week, each of which takes several parts."""
    return f"J-{week}-{dice.randrange(200)}"


def measure(parts: int, weeks: int, rules: LevelRules) -> str:
    """The whole, and how much of it setting all levels together took."""
    stock = workshop(parts, weeks)
    apart = [0.0]

    def timed(aim: Aim) -> list[int]:
        start = time.process_time()
        try:
            return together(aim)
        finally:
            apart[0] += time.process_time() - start

    together, Aim.points = Aim.points, timed  # type: ignore[method-assign]
    begun, busy = time.perf_counter(), time.process_time()
    levels = propose(stock, TODAY, WorkDays(), rules)
    done, rested = time.perf_counter(), time.process_time()
    Aim.points = together  # type: ignore[method-assign]
    found = sum(1 for each in levels if each.proposed is not None)
    return (
        f"{parts:6} parts {weeks:4} weeks {len(stock.usage):8} rows {rules.measure:5}: {done - begun:.2f} s, "
        f"at work {rested - busy:6.2f} s, {apart[0]:.2f} s of it together; {found} proposals"
    )


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--parts", type=int, nargs="+", default=[2500, 5000, 10000, 20000])
    asked.add_argument("--weeks", type=int, nargs="+", default=[52, 104])
    asked.add_argument("--measures", nargs="+", default=["cycle", "fill", "kits"])
    words = asked.parse_args()
    for weeks in words.weeks:
        for parts in words.parts:
            for kind in words.measures:
                print(measure(parts, weeks, LevelRules(measure=kind)), flush=True)


if __name__ == "__main__":
    main()
