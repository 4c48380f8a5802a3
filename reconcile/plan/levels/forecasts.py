"""Forecasts of a week's use by the published methods, and the choice among them in hindsight.

All of these are estimates in floats, in whatever unit the series have. Many parts go through at once: an
array has a row for each part and a column for each week. numpy is imported here when it is first used.

The published methods say little of how to start, and published versions differ only in that. A series by
itself starts from its first use: the size is that use, the interval the number of its week, counted from 1;
the chance is 1 or 0 and the level what the first week had. With small constants a short series would then
lean on one use for long. So where a method is chosen for a part, it starts from the averages of the weeks
before the first test, and is smoothed from there on.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from reconcile.plan.levels.record import JEFFREYS, KEPT, MEMORY
from reconcile.values.week.levels import (
    CROSTON,
    FADING,
    SMOOTH,
    SMOOTHING,
    SYNTETOS_BOYLAN,
    TEUNTER,
    Forecast,
    Tried,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CONSTANTS = (0.05, 0.1, 0.15, 0.2)
"""Smoothing constants tried: those of Syntetos and Boylan (2005), who call 0.05 to 0.2 the realistic range
(from memory)."""

MOST_ORIGINS = 26
"""Half a year of weekly tests: common practice, no source."""

Array: TypeAlias = "NDArray[np.float64]"
Whole: TypeAlias = "NDArray[np.int64]"


@dataclass(frozen=True, slots=True)
class Candidate:
    """A method with its constants."""

    method: str
    constant: float
    chance_constant: float | None = None


SMOOTH_CANDIDATES = tuple(Candidate(SMOOTHING, constant) for constant in CONSTANTS)
SELDOM_CANDIDATES = tuple(
    sorted(
        (
            *(Candidate(SYNTETOS_BOYLAN, constant) for constant in CONSTANTS),
            *(Candidate(CROSTON, constant) for constant in CONSTANTS),
            *(Candidate(TEUNTER, size, chance) for size in CONSTANTS for chance in CONSTANTS),
        ),
        key=lambda each: max(each.constant, each.chance_constant or 0),
    )
)
"""The steadiest first; among equally steady ones, the method that the categories recommend."""


RECORD = Candidate(FADING, round(1 / MEMORY, 3))
"""The one that levels rest on (``record.py``), put to the same tests; without what its kin would add."""


class State:
    """The four smoothed figures of each part, for each constant: size, interval, chance and level.

    Arrays are (constants, parts). A part's weeks count from its own start.
    """

    def __init__(self, constants: Sequence[float], starts: Array) -> None:
        import numpy as np

        self._np, self._starts = np, starts.copy()
        self._constants = np.asarray(constants, float)[:, None]
        shape = (len(constants), len(starts))
        self.size, self.interval = np.zeros(shape), np.ones(shape)
        self.chance, self.level = np.zeros(shape), np.zeros(shape)
        self._begun, self._faded = starts.copy(), np.zeros((3, len(starts)))
        self._gap = np.zeros(len(starts))
        self._seen = np.zeros(len(starts), bool)
        self._opened = np.zeros(len(starts), bool)

    def open_with(self, used: Array, until: Array) -> None:
        """Starts each part from the averages of its weeks before ``until``; without a use, from nothing.

        ``used`` (parts, weeks) is the whole series, of which later weeks are not looked at.
        """
        np = self._np
        week = np.arange(used.shape[1])[None, :]
        within = (week >= self._starts[:, None]) & (week < until[:, None])
        hits = within & (used > 0)
        weeks, uses = within.sum(axis=1), hits.sum(axis=1)
        opened = uses > 0
        total = np.where(hits, used, 0).sum(axis=1)
        last = np.where(hits, week, -1).max(axis=1)
        self.size[:, opened] = (total / np.maximum(uses, 1))[opened]
        self.interval[:, opened] = (weeks / np.maximum(uses, 1))[opened]
        self.chance[:, opened] = (uses / np.maximum(weeks, 1))[opened]
        self.level[:, opened] = (total / np.maximum(weeks, 1))[opened]
        self._gap[opened] = (until - 1 - last)[opened]
        self._starts[opened] = until[opened]
        self._seen, self._opened = opened.copy(), opened

    def take(self, week: int, used: Array) -> None:
        """Goes on by one week with what was used in it, a figure for each part."""
        np, constants = self._np, self._constants
        running, fresh = week >= self._starts, (week == self._starts) & ~self._opened
        hit = running & (used > 0)
        first, again = hit & ~self._seen, hit & self._seen
        self._gap += running
        self.size += np.where(again, constants * (used - self.size), 0)
        self.interval += np.where(again, constants * (self._gap - self.interval), 0)
        self.size = np.where(first, used, self.size)
        self.interval = np.where(first, self._gap, self.interval)
        self.chance += np.where(running, constants * (hit - self.chance), 0)
        self.level += np.where(running, constants * (used - self.level), 0)
        self.chance = np.where(fresh, hit, self.chance)
        self.level = np.where(fresh, used, self.level)
        self._gap[hit] = 0
        self._seen |= hit
        self._faded = KEPT * self._faded + (week >= self._begun) * np.stack(
            [used > 0, np.ones(len(used)), used]
        )

    def forecasts(self, candidates: Sequence[Candidate], places: dict[float, int]) -> Array:
        """A week's use by each candidate, (candidates, parts); ``places`` finds a constant's row.

        Croston (1972), Operational Research Quarterly 23, 289-303: size over interval. Syntetos and Boylan
        (2005), Int. J. Forecasting 21, 303-314: that times 1 - constant / 2, the constant of the interval.
        Teunter, Syntetos and Babai (2011), European J. Operational Research 214, 606-615: chance times size.
        """
        found: Array = self._np.stack([self._forecast(candidate, places) for candidate in candidates])
        return found

    def _forecast(self, candidate: Candidate, places: dict[float, int]) -> Array:
        if candidate.method == FADING:
            hits, weeks, total = self._faded
            chance = (hits + JEFFREYS[0]) / (weeks + sum(JEFFREYS))
            return chance * total / self._np.where(hits > 0, hits, 1)
        place = places[candidate.constant]
        size, interval, level = self.size[place], self.interval[place], self.level[place]
        found: Array
        if candidate.method == SMOOTHING:
            found = level
        elif candidate.chance_constant is not None:
            found = size * self.chance[places[candidate.chance_constant]]
        elif candidate.method == SYNTETOS_BOYLAN:
            found = (1 - candidate.constant / 2) * size / interval
        else:
            found = size / interval
        return found


def rolled(
    series: Array, starts: Array, candidates: Sequence[Candidate], until: "Array | None" = None
) -> Iterator[tuple[int, Array]]:
    """After each week, its number and every candidate's forecast of the next ones, (candidates, parts).

    With ``until`` (a week for each part) the start is taken from the averages of the weeks before it.
    """
    smoothed = [candidate for candidate in candidates if candidate.method != FADING]
    wanted = {candidate.constant for candidate in smoothed} | {
        candidate.chance_constant for candidate in smoothed
    } - {None}
    constants = sorted(each for each in wanted if each is not None)
    places = {constant: place for place, constant in enumerate(constants)}
    state = State(constants, starts)
    if until is not None:
        state.open_with(series, until)
    for week in range(series.shape[1]):
        state.take(week, series[:, week])
        yield week, state.forecasts(candidates, places)


def choose(
    series: Sequence[Sequence[float]], starts: Sequence[int], kinds: Sequence[str], horizons: Sequence[int]
) -> list[Forecast]:
    """For each part the forecast by the candidate that missed least over its last origins.

    ``series`` are of one length; those weeks of a part before its start do not count. From each origin (the
    end of a week) the use over the horizon is foretold as horizon x forecast, and the miss is squared. The
    squared miss is least for a forecast of the mean. The absolute miss is least for the median, which is
    nought for a part used in fewer than half of the weeks: it would choose the method that orders nothing
    (Kolassa, Int. J. Forecasting 36 (2020), 208-211, from memory). Taken over the horizon, it is the miss
    that the levels must cover. Smooth demand is smoothed; for the rest the three methods for seldom use
    compete.

    So many candidates on so few tests: the least miss is in part luck. Of those that miss no more than one
    standard error of the difference above the least, the steadiest is taken: the rule of Breiman, Friedman,
    Olshen and Stone, *Classification and Regression Trees* (1984), from memory. Tests that overlap are
    counted as so many fewer.
    """
    forecasts: list[Forecast | None] = [None] * len(series)
    for candidates, wanted in ((SMOOTH_CANDIDATES, True), (SELDOM_CANDIDATES, False)):
        places = [place for place, kind in enumerate(kinds) if (kind == SMOOTH) is wanted]
        for chunk in (places[at : at + 4096] for at in range(0, len(places), 4096)):
            own = _choose_among(
                (*candidates, RECORD),
                [series[place] for place in chunk],
                [starts[place] for place in chunk],
                [horizons[place] for place in chunk],
            )
            for place, forecast in zip(chunk, own, strict=True):
                forecasts[place] = forecast
    return [each for each in forecasts if each is not None]


def _choose_among(
    candidates: Sequence[Candidate],
    series: Sequence[Sequence[float]],
    starts: Sequence[int],
    horizons: Sequence[int],
) -> list[Forecast]:
    import numpy as np

    used, begun = np.asarray(series, float), np.asarray(starts, int)
    length = used.shape[1]
    span = np.minimum(horizons, np.maximum((length - begun) // 4, 1))
    last = length - span
    first = np.maximum(begun + (length - begun) // 2, last - MOST_ORIGINS + 1)
    summed = np.concatenate([np.zeros((len(used), 1)), np.cumsum(used, axis=1)], axis=1)
    rows = np.arange(len(used))
    final = np.zeros((len(candidates), len(used)))
    squares = np.zeros((MOST_ORIGINS, len(candidates), len(used)))
    for week, final in rolled(used, begun, candidates, first):
        origin = week + 1
        tested = (origin >= first) & (origin <= last)
        if tested.any():
            actual = summed[rows, np.minimum(origin + span, length)] - summed[:, origin]
            squares[origin % MOST_ORIGINS] += np.where(tested, (actual - span * final) ** 2, 0)
    origins = last - first + 1
    won = _steadiest(squares[:, :-1], origins, span)
    mean = summed[:, -1] / np.maximum(length - begun, 1) * span
    errors = np.sqrt(squares.sum(axis=0) / origins) / np.where(mean > 0, mean, 1)
    return [
        _forecast_of(
            candidates, int(won[part]), errors[:, part], final[:, part], (int(span[part]), int(origins[part]))
        )
        for part in range(len(used))
    ]


def _steadiest(squares: Array, origins: Whole, span: Whole) -> Whole:
    """For each part the first candidate whose squares are not clearly above the least.

    ``squares`` are (origins, candidates, parts), noughts where a part has fewer origins.
    """
    import numpy as np

    mean = squares.sum(axis=0) / origins
    best = mean.argmin(axis=0)
    over = squares - np.take_along_axis(squares, best[None, None, :], axis=1)
    excess = over.sum(axis=0) / origins
    variance = np.clip((over**2).sum(axis=0) / origins - excess**2, 0, None)
    error = np.sqrt(variance / np.maximum(origins / span, 1))
    steadiest: Whole = (excess <= error).argmax(axis=0)
    return steadiest


def _forecast_of(
    candidates: Sequence[Candidate], place: int, errors: Array, final: Array, test: tuple[int, int]
) -> Forecast:
    """The chosen candidate's forecast, with the best of each method beside it."""
    missed = errors.tolist()
    best: dict[str, int] = {}
    for other, candidate in enumerate(candidates):
        if candidate.method not in best or missed[other] < missed[best[candidate.method]]:
            best[candidate.method] = other
    tried = tuple(
        Tried(method, candidates[other].constant, candidates[other].chance_constant, missed[other])
        for method, other in best.items()
    )
    won = candidates[place]
    return Forecast(
        method=won.method,
        constant=won.constant,
        chance_constant=won.chance_constant,
        per_week=float(final[place]),
        error=missed[place],
        horizon=test[0],
        origins=test[1],
        tried=tried,
    )
