"""The plain rule of the textbooks, which a proposal has to beat: mean use and a multiple of its deviation."""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil, sqrt
from statistics import NormalDist


def plain_point(weeks: Sequence[Fraction], span: int, service: Fraction, step: Fraction) -> int:
    """The reorder point, in steps: span x mean + z x sqrt(span) x deviation of a week, rounded up.

    ``weeks`` is the whole record, every week alike; ``span`` the weeks of lead time and look; z the normal
    deviate of the service. Silver, Pyke and Peterson, 1998 (from memory). The deviation has n - 1 below.
    """
    count = len(weeks)
    mean = float(sum(weeks)) / count
    squares = sum((float(week) - mean) ** 2 for week in weeks)
    deviation = sqrt(squares / max(count - 1, 1))
    safe = NormalDist().inv_cdf(float(service))
    return max(ceil((span * mean + safe * deviation * sqrt(span)) / float(step) - 1e-9), 0)
