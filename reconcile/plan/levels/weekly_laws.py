"""How a week's use is spread, and that of several weeks: chances by whole numbers of steps.

Arrays of chances have a row for each part and a column for each number of steps from 0. Floats throughout: a
chance is an estimate. numpy is imported where it is used.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log, sqrt
from typing import TYPE_CHECKING, TypeAlias

from reconcile.values.week.levels import NEGATIVE_BINOMIAL, OWN_SIZES, POISSON

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"

BARELY_OVER = 1e-6
"""A variance above the mean by less than this share of it is taken for equal to it: the limit of the negative
binomial is the Poisson law, and near it the figures of the former are lost in rounding."""


@dataclass(frozen=True, slots=True)
class Law:
    """A week's use in lots. ``sizes``: what a week with use may take, and how often, for own sizes."""

    kind: str
    mean: float
    variance: float
    sizes: tuple[tuple[int, float], ...] = ()
    chance: tuple[float, float] | None = None
    """What is known of the chance of a week with use, as the two figures of a beta law; None: it is known.
    It is one chance for all weeks of a lead time, so that their uses hang together."""

    @property
    def most(self) -> int:
        """The most that a week may take."""
        return max((size for size, _ in self.sizes), default=0)


def counted_law(mean: float, variance: float) -> Law:
    """Poisson, or negative binomial where the variance is above the mean.

    The negative binomial is what the laws of stock control come to for a Poisson number of users with
    logarithmic sizes; Syntetos, Babai, Lengu and Altay, in Altay and Litteral (eds), *Service Parts
    Management* (2011), find it to fit most spare parts (from memory). A variance below the mean is taken up
    to the mean, which errs towards more stock.
    """
    if variance <= mean * (1 + BARELY_OVER):
        return Law(POISSON, mean, mean)
    return Law(NEGATIVE_BINOMIAL, mean, variance)


def own_sizes_law(mean: float, sizes: Sequence[int]) -> Law:
    """Weeks with use come by chance at the forecast's rate, and each takes what one of the part's own did.

    The bootstrap of Willemain, Smart and Schwarz (Int. J. Forecasting 20 (2004), 375-387, from memory) draws
    a part's weeks again and again; without their runs and jitter, its limit can be counted out exactly.
    ``sizes`` are the part's used quantities, in lots. Where the mean is above their average, every week has a
    use, and the mean is theirs.
    """
    average = sum(sizes) / len(sizes)
    chance = min(mean / average, 1.0)
    counted = {size: sizes.count(size) / len(sizes) for size in sorted(set(sizes))}
    square = sum(size**2 * share for size, share in counted.items())
    own_mean = chance * average
    return Law(OWN_SIZES, own_mean, chance * square - own_mean**2, tuple(counted.items()))


def record_law(chance: tuple[float, float], sizes: Mapping[int, float]) -> Law:
    """A week has a use by a chance that the record tells more or less surely; its size is by the same record.

    ``chance`` are the figures a, b of a beta law; ``sizes`` have shares that add up to 1. The mean is a / (a
    + b) times the mean size. Mean and variance move together: sizes do not depend on how often.
    """
    often = chance[0] / (chance[0] + chance[1])
    average = sum(size * share for size, share in sizes.items())
    square = sum(size**2 * share for size, share in sizes.items())
    own = tuple(sorted(sizes.items()))
    return Law(OWN_SIZES, often * average, often * square - (often * average) ** 2, own, chance)


def reach(law: Law, weeks: int) -> int:
    """Lots that the use of so many weeks passes with a chance of about 1e-9 or less.

    Seven deviations, and 24 scales of the exponential tail that a negative binomial has (exp(-21) = 1e-9).
    """
    if law.kind == OWN_SIZES:
        return weeks * law.most
    scale = law.variance / law.mean if law.mean else 1.0
    return int(weeks * law.mean + 7 * sqrt(weeks * law.variance) + 24 * scale) + 8


def weekly_chances(laws: Sequence[Law], strides: Sequence[int], length: int) -> Array:
    """Chances of a week's use, (parts, length), in steps; a part's lot is its stride of steps."""
    import numpy as np

    chances = np.zeros((len(laws), length))
    counted = [place for place, law in enumerate(laws) if law.kind != OWN_SIZES]
    lots = _counted_chances([laws[place] for place in counted], length)
    for row, place in enumerate(counted):
        stride = strides[place]
        chances[place, ::stride] = lots[row, : -(-length // stride)]
    for place, law in enumerate(laws):
        if law.kind == OWN_SIZES:
            chance = law.mean / sum(size * share for size, share in law.sizes)
            chances[place, 0] = 1 - chance
            for size, share in law.sizes:
                chances[place, size * strides[place]] += chance * share
    return chances


def _counted_chances(laws: Sequence[Law], length: int) -> Array:
    """Poisson and negative binomial chances by their recurrences, in logarithms so that none vanishes.

    Poisson: p(k) = p(k-1) m / k from p(0) = exp(-m). Negative binomial with r = m^2 / (v - m), q = 1 - m / v:
    p(k) = p(k-1) q (k - 1 + r) / k from p(0) = (m / v)^r (any textbook of probability).
    """
    import numpy as np

    count = np.arange(1, length)
    steps, starts = np.zeros((len(laws), length - 1)), np.zeros((len(laws), 1))
    for row, law in enumerate(laws):
        if law.mean <= 0:
            steps[row] = -np.inf
        elif law.kind == POISSON:
            steps[row], starts[row] = log(law.mean), -law.mean
        else:
            over = law.variance - law.mean
            shape = law.mean**2 / over
            steps[row] = np.log(over / law.variance * (count - 1 + shape))
            starts[row] = shape * log(law.mean / law.variance)
    logs = np.cumsum(np.concatenate([starts, steps - np.log(count)], axis=1), axis=1)
    chances: Array = np.exp(logs)
    return chances


def over_weeks(weekly: Array, weeks: Sequence[int]) -> Array:
    """Chances of the use of so many weeks, the weeks being independent: a convolution power, by Fourier.

    ``weekly`` must be long enough that the sum does not come round its end. Errors are of the order of 1e-15.
    """
    import numpy as np

    length = weekly.shape[1]
    waves = np.fft.rfft(weekly, axis=1) ** np.asarray(weeks)[:, None]
    return np.clip(np.fft.irfft(waves, length, axis=1), 0, None)


@dataclass(frozen=True, slots=True)
class Spans:
    """Chances of the use of a lead time, of a week more, and of a lead time that follows a week with use.

    The last is not the first where weeks hang together: who has just ordered has seen a use.
    """

    lead: Array
    whole: Array
    after_use: Array


def independent_spans(weekly: Array, weeks: Sequence[int]) -> Spans:
    """Weeks that have nothing to do with each other."""
    lead = over_weeks(weekly, weeks)
    return Spans(lead, over_weeks(weekly, [each + 1 for each in weeks]), lead)


def spans_of(laws: Sequence[Law], weekly: Array, weeks: Sequence[int]) -> Spans:
    """By what is known of each part's chance; where it is known, weeks are independent.

    The number of weeks with use is beta-binomial: Skellam, J. Royal Statistical Society B 10 (1948), 257-261
    (from memory). The use of j such weeks is the j-fold convolution of the sizes, and each span the mixture
    over j, summed as a polynomial in the sizes' Fourier transform. After a use, a is one more.
    """
    import numpy as np

    length, longest = weekly.shape[1], max(weeks, default=0)
    sizes = weekly.copy()
    sizes[:, 0] = 0
    waves = np.fft.rfft(sizes / np.maximum(sizes.sum(axis=1, keepdims=True), 1e-300), axis=1)
    asked = [(0, 0), (1, 0), (0, 1)]
    coefficients = [
        _mixtures(laws, weekly, np.asarray(weeks, float)[:, None] + more, longest + 1, after)
        for more, after in asked
    ]
    power = np.ones_like(waves)
    sums = [np.zeros_like(waves) for _ in asked]
    for uses in range(longest + 2):
        for place, own in enumerate(coefficients):
            if own[:, uses].any():
                sums[place] += own[:, uses, None] * power
        power = power * waves
    return Spans(*(np.clip(np.fft.irfft(total, length, axis=1), 0, None) for total in sums))


def _mixtures(laws: Sequence[Law], weekly: Array, span: Array, longest: int, after_uses: int) -> Array:
    """Chances of 0 to ``longest`` weeks with use among ``span`` (parts, 1), (parts, longest + 1).

    By p(j+1) / p(j) = (n - j) (a + j) / ((j + 1) (b + n - j - 1)), in logarithms, and brought to add up to 1.
    """
    import numpy as np

    sure = [law.chance is None for law in laws]
    often = 1 - weekly[:, 0]
    # A known chance is a beta law so narrow that its width is lost in rounding.
    known = np.stack([often, 1 - often], axis=1) * 1e12
    told = np.asarray([law.chance or (1.0, 1.0) for law in laws])
    figures = np.where(np.asarray(sure)[:, None], known, told)
    first = np.maximum(figures[:, :1] + after_uses, 1e-12)
    second = np.maximum(figures[:, 1:], 1e-12)
    uses = np.arange(longest)[None, :]
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = (span - uses) * (first + uses) / ((uses + 1) * (second + span - uses - 1))
        logs = np.cumsum(np.log(np.where(uses < span, ratio, 0)), axis=1)
    logs = np.concatenate([np.zeros((len(laws), 1)), logs], axis=1)
    chances = np.exp(logs - logs.max(axis=1, keepdims=True))
    shares: Array = chances / chances.sum(axis=1, keepdims=True)
    return shares


def shortage(chances: Array) -> Array:
    """The loss function: for each level 0, 1, ... the mean of what is asked above it, the sum of 1 - F from
    there on.
    """
    import numpy as np

    above = np.clip(chances.sum(axis=1, keepdims=True) - np.cumsum(chances, axis=1), 0, None)
    return np.cumsum(above[:, ::-1], axis=1)[:, ::-1]
