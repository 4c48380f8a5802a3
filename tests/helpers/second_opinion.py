"""What the package needs not: single figures that tests hold against published ones."""

import math
from collections.abc import Sequence

import numpy as np

from reconcile.plan.levels.forecasts import Candidate, rolled
from reconcile.values.stock.parts import Thread


def forecast_by(candidate: Candidate, series: Sequence[float]) -> float:
    """One candidate's forecast of a week after the end of one series; 0 for an empty one."""
    figures = np.asarray([series], float)
    last = 0.0
    for _, forecasts in rolled(figures, np.zeros(1, int), (candidate,)):
        last = float(forecasts[0, 0])
    return last


def stress_area(thread: Thread) -> float:
    """The tensile stress area in mm², as the standards define it from the nominal dimensions.

    Inch: At = pi/4 (D - 0.9743/n)², ASME B1.1. Metric: As = pi/4 ((d2 + d3)/2)² with d2 = d - 3/4 H,
    d3 = d - 5/4 H - H/6 and H = sqrt(3)/2 P, ISO 898-1.
    """
    diameter, pitch = float(thread.diameter), float(thread.pitch)
    if thread.series == "M":
        height = math.sqrt(3) / 2 * pitch
        mean = ((diameter - 3 / 4 * height) + (diameter - 5 / 4 * height - height / 6)) / 2
    else:
        mean = diameter - 0.9743 * pitch
    return math.pi / 4 * mean**2
