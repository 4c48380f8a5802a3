"""How long a ledger of a million movements takes: opened, a part's card, a closing of 1,000 lines, a check.

By hand: ``python tests/bench/ledger.py``. Every figure is the slowest of five.
"""

import random
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

from reconcile.ledger.book import open_ledger
from reconcile.values.problem import Place
from reconcile.values.stock.movements import ISSUED, RETURNED, WEEK, Closing, Movement, PlannedUse

MOVEMENTS, PARTS, LINES, TIMES = 1_000_000, 2_000, 1_000, 5
CHANCE = random.Random(1)
START = date(2020, 1, 6)


def movement(number: int, part: int) -> Movement:
    kind, quantity = (ISSUED, -CHANCE.randrange(1, 9)) if number % 3 else (RETURNED, 4)
    day = START + timedelta(days=number // 500)
    source = Place("returns.xlsx", "Lines", f"I{number % 900 + 2}")
    return Movement(
        f"P-{part}", f"B-{part % 3}", Fraction(quantity), "each", kind, day, "bench 1", f"J-{number}", source
    )


def slowest(work: Callable[[], object], times: int = TIMES) -> float:
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return max(took)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "stock-ledger.sqlite")
        begun = time.perf_counter()
        with open_ledger(path) as ledger:
            for first in range(0, MOVEMENTS, LINES):
                rows = [movement(n, n % PARTS) for n in range(first, first + LINES)]
                with ledger.held():
                    ledger.post(rows, Closing(f"closing {first}", WEEK, START, "clerk"))
                    ledger.finish(f"closing {first}", "stock.xlsx")
        size = path.stat().st_size / 1e6
        print(f"{MOVEMENTS} movements of {PARTS} parts: {time.perf_counter() - begun:.0f} s, {size:.0f} MB")
        measure(path)


def measure(path: Path) -> None:
    numbers = iter(range(sys.maxsize))

    def card() -> None:
        with open_ledger(path) as ledger:
            assert len(ledger.card(f"P-{CHANCE.randrange(PARTS)}")) >= MOVEMENTS // PARTS

    def close() -> None:
        number = next(numbers)
        rows = [movement(MOVEMENTS + n, n % PARTS) for n in range(LINES)]
        uses = [
            PlannedUse(
                row.job,
                row.day,
                "ZB-1",
                "joint[1].bolts",
                "front",
                row.part,
                "each",
                Fraction(2),
                Fraction(2),
            )
            for row in rows
        ]
        with open_ledger(path) as ledger:
            ledger.balances()
            with ledger.held():
                ledger.post(rows, Closing(f"timed {number}", WEEK, START, "clerk"), uses)
            with ledger.held():
                ledger.finish(f"timed {number}", "stock.xlsx")

    def audit() -> None:
        with open_ledger(path) as ledger:
            assert ledger.audit() == []

    def balances() -> None:
        with open_ledger(path) as ledger:
            ledger.balances()

    print(f"a part's card, opened and read: {slowest(card):.3f} s (at most 0.2)")
    print(f"a closing of {LINES} lines: {slowest(close):.3f} s (at most 2)")
    print(f"the balances that every run checks: {slowest(balances):.3f} s")
    print(f"everything added up anew (--check): {slowest(audit, 1):.1f} s")


if __name__ == "__main__":
    main()
