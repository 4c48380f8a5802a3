"""What a pair of levels gives, exactly: service, shelf and orders in the long run. Plain numbers of steps.

The shelf is looked at once a week, before the week's use. If on hand and on order, less what is owed, is at
or below the reorder point s, an order brings it up to S at least, in whole packs and no less than the
minimum; it arrives after a whole number of weeks. What is asked and not there is owed, and served first of
what arrives.

The position after each look is a renewal process: Zheng and Federgruen, *Finding optimal (s, S) policies is
about as simple as evaluating a single policy*, Operations Research 39 (1991), 654-665; with packs, its starts
are a small Markov chain of their own. Nothing here depends on s but the last step, so all s come at once.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from reconcile.plan.levels.weekly_laws import Spans, independent_spans, shortage
from reconcile.values.rules import CYCLE

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"
Waves: TypeAlias = "NDArray[np.complex128]"
"""A Fourier transform."""

MOST_ROUNDS, PLAIN_ROUNDS = 500, 12
SETTLED = 1e-9
NEXT_TO_NOTHING = 1e-300
"""Instead of a nought to divide by."""
ROUNDING = 1e-12
"""What Fourier's sums may be off by."""


@dataclass(frozen=True, slots=True)
class Ordering:
    """How a part is ordered, in steps: S - s, the pack, the minimum order; and weeks until it arrives."""

    spread: int
    pack: int = 1
    minimum: int = 0
    lead_weeks: int = 0

    def rise(self, under: int) -> int:
        """The position after an order, above s, when it was ``under`` below s before."""
        asked = max(self.spread + under, self.minimum)
        return -(-asked // self.pack) * self.pack - under

    @property
    def highest(self) -> int:
        """No order lifts the position further above s than this."""
        return max(self.spread, self.minimum) + self.pack - 1


@dataclass(frozen=True, slots=True)
class Curves:
    """For each part (row) and each reorder point s = 0, 1, ... (column). Quantities in steps."""

    cycle: Array
    """The chance that nothing is owed when an order arrives."""
    fill: Array
    """The share of the use that is met at once."""
    shelf: Array
    """Mean on the shelf, between what it is after goods in and at the week's end."""
    owed: Array
    """Mean of what is owed at the week's end."""
    end: Array
    """Mean on the shelf at the week's end."""
    margin: Sequence[int]
    """So many of the last columns of each part are none of its reorder points."""
    orders: Array
    """Orders a week, one figure for each part: they do not depend on s."""
    positions: Array
    """Long-run chances of the position's height above s."""
    spans: Spans

    def ready(self, part: int, columns: int) -> Array:
        """At k + its margin: the chance that what lies there for a use is above -k, were s nought.

        What lies there is the position less the use of the lead time, which has a use behind it. So many
        columns, none of which may be among the last of the margin.
        """
        import numpy as np

        highest = self.margin[part]
        known = np.clip(np.cumsum(self.spans.after_use[part, : columns + highest]), 0, 1)
        shifted = np.concatenate([np.zeros(highest), known])
        row: Array = np.correlate(shifted, self.positions[part, : highest + 1], "valid")
        return row

    def least(self, measure: str, wanted: Sequence[float]) -> list[list[int]]:
        """For each part its least reorder point at which the service is at least each wanted one."""
        import numpy as np

        service = self.cycle if measure == CYCLE else self.fill
        found = [np.argmax(service >= each - ROUNDING, axis=1) for each in wanted]
        return [[int(column[part]) for column in found] for part in range(len(service))]

    def at(self, part: int, reorder_points: Sequence[int]) -> list[tuple[int, float, float, float, float]]:
        """For some reorder points of a part: itself, cycle, fill, shelf and orders.

        Past its last column a part is always served, and each step more is one more on the shelf.
        """
        last = self.cycle.shape[1] - 1 - self.margin[part]
        rows, orders = [], float(self.orders[part])
        for point in reorder_points:
            place = min(point, last)
            shelf = float(self.shelf[part, place]) + point - place
            rows.append((point, float(self.cycle[part, place]), float(self.fill[part, place]), shelf, orders))
        return rows


def curves(weekly: Array, ordering: Sequence[Ordering], spans: Spans | None = None) -> Curves:
    """All curves of many parts at once; ``weekly`` (parts, length) are chances of a week's use, in steps.

    ``length`` must be at least ``room`` for every part. ``spans`` are the uses of lead times where weeks hang
    together. What the position does depends on the sizes of uses and not on how often they come, so it is
    that of independent weeks then too.
    """
    import numpy as np

    lead = [each.lead_weeks for each in ordering]
    mean = weekly @ np.arange(weekly.shape[1])
    spans = independent_spans(weekly, lead) if spans is None else spans
    before, after = spans.lead, spans.whole
    positions, under = positions_of(weekly, ordering)
    orders = under.sum(axis=1)
    owed_before, owed_after = _seen_from(shortage(before), positions), _seen_from(shortage(after), positions)
    lacking = _folded(under / np.maximum(orders, NEXT_TO_NOTHING)[:, None], spans.after_use)
    height = (positions @ np.arange(weekly.shape[1]))[:, None] + np.arange(weekly.shape[1])
    end = height - (np.asarray(lead)[:, None] + 1) * mean[:, None] + owed_after
    start = height - np.asarray(lead)[:, None] * mean[:, None] + owed_before
    fill = 1 - (owed_after - owed_before) / np.maximum(mean, NEXT_TO_NOTHING)[:, None]
    cycle = np.cumsum(lacking, axis=1)
    return Curves(
        cycle=np.clip(cycle, 0, 1),
        fill=np.clip(fill, 0, 1),
        shelf=np.clip((start + end) / 2, 0, None),
        owed=owed_after,
        end=np.clip(end, 0, None),
        margin=[each.highest for each in ordering],
        orders=orders,
        positions=positions,
        spans=spans,
    )


def room(use: int, ordering: Ordering) -> int:
    """How long the arrays must be, when the use of lead time and a week stays below ``use``."""
    return max(use, ordering.highest) + ordering.highest + 2


def positions_of(weekly: Array, ordering: Sequence[Ordering]) -> tuple[Array, Array]:
    """Long-run chances of the position above s after a look, and of an order at so much below s.

    Both (parts, length). The second sums to orders a week. A cycle starts at the position after an order and
    then visits lower ones as often as the renewal sequence of the weekly use says. The start depends on how
    far below s the position fell, so the chain of starts is run until it settles. After some rounds the mean
    of two is carried on, lest a chain that alternates should never do so.
    """
    import numpy as np

    visits = np.fft.rfft(_visits(weekly, [each.highest for each in ordering]), axis=1)
    waves = np.fft.rfft(weekly, axis=1)
    starts = np.zeros_like(weekly)
    starts[np.arange(len(ordering)), [each.rise(0) for each in ordering]] = 1
    positions, under = np.zeros_like(weekly), np.zeros_like(weekly)
    moving = np.arange(len(ordering))
    for turn in range(MOST_ROUNDS):
        chains = [ordering[part] for part in moving.tolist()]
        stays = _round(starts[moving], visits[moving], waves[moving], chains)
        positions[moving], under[moving] = stays
        again = _lifted(under[moving], chains)
        still = np.abs(again - starts[moving]).max(axis=1) >= SETTLED
        starts[moving] = again if turn < PLAIN_ROUNDS else (starts[moving] + again) / 2
        moving = moving[still]
        if not len(moving):
            break
    return positions, under


def _round(starts: Array, visits: Waves, weekly: Waves, ordering: Sequence[Ordering]) -> tuple[Array, Array]:
    """Positions and orders that follow from the starts."""
    import numpy as np

    length = starts.shape[1]
    # A correlation of this length holds places below 0 at its end; they are no positions.
    place, highest = np.arange(length)[None, :], np.asarray([each.highest for each in ordering])[:, None]
    positions = np.fft.irfft(np.fft.rfft(starts, axis=1) * np.conj(visits), length, axis=1)
    positions = np.where((place > 0) & (place <= highest), np.clip(positions, 0, None), 0)
    positions /= np.maximum(positions.sum(axis=1, keepdims=True), NEXT_TO_NOTHING)
    under = np.fft.irfft(weekly * np.conj(np.fft.rfft(positions, axis=1)), length, axis=1)
    return positions, np.where(place < length - highest, np.clip(under, 0, None), 0)


def _lifted(under: Array, ordering: Sequence[Ordering]) -> Array:
    """Chances of the position after an order, from those of how far below s it was before."""
    import numpy as np

    length = under.shape[1]
    spread, pack, minimum = (
        np.asarray([getattr(each, name) for each in ordering])[:, None]
        for name in ("spread", "pack", "minimum")
    )
    below = np.arange(length)[None, :]
    rise = -(-np.maximum(spread + below, minimum) // pack) * pack - below
    rise += length * np.arange(len(ordering))[:, None]
    lifted = np.bincount(rise.ravel(), under.ravel(), under.size).reshape(under.shape)
    chances: Array = lifted / np.maximum(lifted.sum(axis=1, keepdims=True), NEXT_TO_NOTHING)
    return chances


def _visits(weekly: Array, highest: Sequence[int]) -> Array:
    """How often the summed use of 0, 1, 2, ... weeks is k, for k up to each part's highest position.

    The power series 1 / (1 - p(z)) by Newton's rule, each round doubling how far it is known.
    """
    import numpy as np

    parts, length = weekly.shape
    most = max(highest) + 1
    rest = -weekly.copy()
    rest[:, 0] += 1
    known, visits = 1, 1 / rest[:, :1]
    while known < most:
        known *= 2
        size = 2 * known
        waves = np.fft.rfft(visits, size, axis=1)
        product = np.fft.irfft(np.fft.rfft(rest[:, : min(known, length)], size, axis=1) * waves, size, axis=1)
        product = -product[:, :known]
        product[:, 0] += 2
        visits = np.fft.irfft(np.fft.rfft(product, size, axis=1) * waves, size, axis=1)[:, :known]
    whole = np.zeros((parts, length))
    whole[:, :most] = np.clip(visits[:, :most], 0, None)
    whole[np.arange(length)[None, :] > np.asarray(highest)[:, None]] = 0
    return whole


def _seen_from(figures: Array, chances: Array) -> Array:
    """For each k the mean of figures[k + j] when j has these chances."""
    import numpy as np

    waves = np.fft.rfft(figures, axis=1) * np.conj(np.fft.rfft(chances, axis=1))
    return np.fft.irfft(waves, figures.shape[1], axis=1)


def _folded(one: Array, other: Array) -> Array:
    """Chances of the sum of two."""
    import numpy as np

    return np.fft.irfft(np.fft.rfft(one, axis=1) * np.fft.rfft(other, axis=1), one.shape[1], axis=1)
