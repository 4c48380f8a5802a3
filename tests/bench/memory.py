"""How long a record should be remembered: what foretells the coming weeks with use best.

On made-up shops (steady, broken at some week, in decline, drifting) and on the open series that stand beside
the tests. Told is the mean of minus the logarithm of the chance that the law gives to what came, over the
next five weeks and over all that were held out (the last three of ten): less is better.

    PYTHONPATH=tests/helpers python tests/bench/memory.py
"""

import random
from collections.abc import Sequence
from math import exp, lgamma, log

from open_series import NAMES, kept

MEMORIES = (8, 13, 26, 39, 52, 78, 104, 208)
WEEKS = 104


def made_up(kind: str, parts: int = 400, seed: int = 1) -> list[list[int]]:
    dice = random.Random(seed)
    rows = []
    for _ in range(parts):
        first, second, breaks = dice.betavariate(0.5, 4), dice.betavariate(0.5, 4), dice.randrange(WEEKS)
        drift, row = log(first / (1 - first)) if 0 < first < 1 else -9.0, []
        for week in range(WEEKS):
            drift += dice.gauss(0, 0.08)
            chance = {
                "steady": first,
                "broken": first if week < breaks else second,
                "in decline": first * (1 - 0.8 * week / WEEKS),
                "drifting": 1 / (1 + exp(-drift)),
            }[kind]
            row.append(int(dice.random() < chance))
        rows.append(row)
    return rows


def beta(a: float, b: float) -> float:
    return lgamma(a) + lgamma(b) - lgamma(a + b)


def scores(table: Sequence[Sequence[int]], memory: int) -> tuple[float, float]:
    known = 7 * len(table[0]) // 10
    rows = [[int(count > 0) for count in row] for row in table if any(row[:known])]
    weights = [(1 - 1 / memory) ** (known - 1 - week) for week in range(known)]
    hits = [sum(hit * weight for hit, weight in zip(row, weights, strict=False)) for row in rows]
    mean = sum(hits) / len(hits) / sum(weights)
    told = []
    for ahead in (5, len(table[0]) - known):
        total = 0.0
        for row, hit in zip(rows, hits, strict=True):
            came = sum(row[known : known + ahead])
            a, b = hit + mean, sum(weights) - hit + 1 - mean
            total += beta(a, b) - beta(a + came, b + ahead - came)
        told.append(total / len(rows))
    return told[0], told[1]


def main() -> None:
    shops = {kind: made_up(kind) for kind in ("steady", "broken", "in decline", "drifting")}
    shops |= {name: kept(name) for name in NAMES}
    print(f"{'':12}" + "".join(f"{memory:>16}" for memory in MEMORIES))
    for name, table in shops.items():
        row = [scores(table, memory) for memory in MEMORIES]
        print(f"{name:12}" + "".join(f"{near:8.3f}{far:8.3f}" for near, far in row))


if __name__ == "__main__":
    main()
