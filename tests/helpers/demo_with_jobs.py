"""The demo's stock with a year of use told job by job, as a workshop that closes its weeks has it.

The demo's own sheet adds up each week; the same year is drawn here from the same seed, each use with its job.
"""

import random
from fractions import Fraction
from pathlib import Path

from demo.tables import SEED, TODAY
from demo.usage import jobs_of_a_year, repairs

from reconcile.plan.needs.demands import Planner
from reconcile.sheets.inputs import read_inputs
from reconcile.sheets.request import Request
from reconcile.values.problem import RowPlace
from reconcile.values.stock.parts import Stock, Usage

DEMO = Path(__file__).resolve().parents[2] / "data_demo"
PLACE = RowPlace("stock.xlsx", "Usage", 2)


def demo_with_jobs() -> Stock:
    inputs = read_inputs(Request(folder=DEMO, today=TODAY, week="2026-W49"))
    luck = random.Random(SEED + 1)
    rows = []
    for planned in Planner(inputs).planned(tuple(jobs_of_a_year(luck))):
        for line in planned.explosion.lines:
            for part, each in line.choices[0].parts if line.choices else ():
                quantity = Fraction(line.quantity * each * planned.job.chairs)
                rows.append(Usage(planned.job.day, part, quantity, planned.job.number, PLACE))
    rows += [Usage(day, part, quantity, "", PLACE) for day, part, quantity in repairs(luck)]
    listed = [row for row in rows if row.part in inputs.stock.parts and row.quantity > 0]
    listed.sort(key=lambda row: (row.day, row.part, row.job))
    return Stock(inputs.stock.parts, usage=tuple(listed))
