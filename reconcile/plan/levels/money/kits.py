"""Whole kits: a job is done if all that it takes lies there, so what a part gives hangs on the others.

The published repair-kit problem with the job as its measure: Smith, Chambers and Shlifer, *Management
Science* 26 (1980), 232-239; for parts of which a job takes several, Teunter, *European J. Operational
Research* 175 (2006), 1084-1096 (both from memory). Parts are taken to lack independently of each other. The
chance that a job finds its kit is the product over its parts.

Held all others as they are, the number of whole kits is a sum over parts, and a price on money sets each part
by itself; that is done again with the new products until nothing changes. Small changes then use what is
left. Neither finds the best for certain: tests count how far from it small systems end.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Array: TypeAlias = "NDArray[np.float64]"
Places: TypeAlias = "NDArray[np.signedinteger]"

ROUNDS = 12
HALVINGS = 18
TOUCHES = 400
"""Single steps tried at the end, of a system of a thousand parts or fewer; of more, so many fewer."""
NEVER = 1e-9
"""Stands for no chance at all, so that products can be divided."""
LEAST_GAIN = 1e-6
"""Kits that are worth a step; less is what stands for none."""
SMALL, EXCHANGES = 4000, 20
"""Lines of jobs times parts of a system that is small; rounds of exchanges in it."""


@dataclass(frozen=True)
class WholeKits:
    """Jobs and the parts they take.

    ``values`` (parts, places): mean shelf in money, in rising order, the last one repeated where a part has
    fewer places. ``takes`` are triples of job, part and row of ``there``: (rows, places), the chance that
    what the job takes lies there; the rows of a part stand together, in the order of the parts.
    """

    values: "Array"
    there: "Array"
    takes: Sequence[tuple[int, int, int]]
    jobs: int

    @cached_property
    def _columns(self) -> "tuple[Places, Places, Places]":
        import numpy as np

        job, part, row = np.asarray(self.takes, int).reshape(-1, 3).T
        return job, part, row

    @property
    def touches(self) -> int:
        return max(min(TOUCHES, 1000 * TOUCHES // max(len(self.values), 1)), 30)

    @cached_property
    def _part_of_row(self) -> "Places":
        import numpy as np

        _, part, row = self._columns
        owner = np.zeros(len(self.there), int)
        owner[row] = part
        return owner

    def chances(self, places: "Places") -> "Array":
        """For each job the chance of a whole kit."""
        import numpy as np

        job, part, row = self._columns
        logs = np.log(np.maximum(self.there[row, places[part]], NEVER))
        found: Array = np.exp(np.bincount(job, weights=logs, minlength=self.jobs))
        return found

    def whole(self, places: "Places") -> float:
        """The mean number of whole kits."""
        return float(self.chances(places).sum())

    def value(self, places: "Places") -> float:
        import numpy as np

        return float(self.values[np.arange(len(places)), places].sum())

    def hanging(self, places: "Places") -> "Array":
        """By row of ``there``: whole kits that hang on it, were its part sure and all others as they are."""
        import numpy as np

        job, part, row = self._columns
        own = np.maximum(self.there[row, places[part]], NEVER)
        hung = np.bincount(row, weights=self.chances(places)[job] / own, minlength=len(self.there))
        return hung.astype(float)

    def gains(self, places: "Places") -> "Array":
        """(parts, places): whole kits that hang on a part, for each of its places, all others as they are."""
        import numpy as np

        gains = np.zeros_like(self.values)
        owner = self._part_of_row
        if len(owner):
            # Rows of a part stand together, so their sums are those of stretches.
            starts = np.flatnonzero(np.diff(owner, prepend=-1))
            gains[owner[starts]] = np.add.reduceat(self.hanging(places)[:, None] * self.there, starts, axis=0)
        return gains

    def priced(self, price: float, start: "Places") -> "Places":
        """Places at which kits less price x money is as much as this way finds, from ``start`` on."""
        import numpy as np

        places = best = start
        worth = self.whole(start) - price * self.value(start)
        for _ in range(ROUNDS):
            following: Places = np.argmax(self.gains(places) - price * self.values, axis=1)
            if (following == places).all():
                break
            places = following
            if (now := self.whole(places) - price * self.value(places)) > worth + 1e-12:
                best, worth = places, now
        return best

    @cached_property
    def full(self) -> "Places":
        """The first place of each part at which it has all that it can have."""
        import numpy as np

        found: Places = np.argmax(self.values >= self.values.max(axis=1, keepdims=True), axis=1)
        return found

    def for_kits(self, wanted: float) -> "Places":
        """Places with so many whole kits, for little money; the full shelf if even that has not."""
        if self.whole(self.full) < wanted:
            return self.full
        dear, cheap = self.full, self._zero
        for price in self._prices(lambda places: self.whole(places) >= wanted):
            if self.whole(price) >= wanted and self.value(price) <= self.value(dear):
                dear = price
            elif self.whole(price) < wanted and self.whole(price) > self.whole(cheap):
                cheap = price
        upward = self._up(cheap, lambda places: self.whole(places) >= wanted)
        found = [self._down(dear, wanted)]
        if self.whole(upward) >= wanted:
            found.append(self._down(upward, wanted))
        return min(found, key=self.value)

    def for_money(self, budget: float) -> "Places":
        """Places for a sum, with many whole kits; the cheapest if even those cost more."""
        best = self._zero
        for places in self._prices(lambda places: self.value(places) > budget):
            if self.value(places) <= budget and self.whole(places) > self.whole(best):
                best = places
        starts = [self._filled(start, budget) for start in (best, self._zero)]
        found = max(starts, key=self.whole)
        return self._exchanged(found, budget) if self.small else found

    @property
    def _zero(self) -> "Places":
        import numpy as np

        return np.zeros(len(self.values), int)

    def _prices(self, too_much: "Callable[[Places], bool]") -> "list[Places]":
        """Places for prices that close in on where ``too_much`` changes."""
        low, high = 0.0, self.jobs / max(float(self.values[:, -1].min()), 1e-9) + 1.0
        high = max(high, self.jobs * len(self.values) / max(float(self.values.sum(axis=0)[-1]), 1e-9) * 1e3)
        low, found = high * 1e-12, []
        for _ in range(HALVINGS):
            price = (low * high) ** 0.5
            places = self.priced(price, self.full)
            found.append(places)
            low, high = (price, high) if too_much(places) else (low, price)
        return found

    def _steps(self, places: "Places", apart: int) -> "tuple[Array, Array]":
        """For each part what one place more (or less) changes of kits and of money."""
        import numpy as np

        rows, owner = np.arange(len(places)), self._part_of_row
        to = np.clip(places + apart, 0, self.values.shape[1] - 1)
        lines = np.arange(len(owner))
        changed = self.there[lines, to[owner]] - self.there[lines, places[owner]]
        kits = np.bincount(owner, weights=self.hanging(places) * changed, minlength=len(places))
        return kits.astype(float), self.values[rows, to] - self.values[rows, places]

    def _up(self, places: "Places", enough: "Callable[[Places], bool]") -> "Places":
        """The best next single step for its money, until there is enough."""
        import numpy as np

        for _ in range(self.touches):
            if enough(places):
                break
            more, cost = self._steps(places, 1)
            rate = np.where(cost > 0, more / np.maximum(cost, 1e-12), np.where(more > 0, np.inf, 0))
            if rate.max(initial=0) <= 0:
                break
            places = places.copy()
            places[int(rate.argmax())] += 1
        return places

    def _down(self, places: "Places", wanted: float) -> "Places":
        """Single steps back, the one that saves most first, while there are kits enough."""
        import numpy as np

        for _ in range(self.touches):
            less, saved = self._steps(places, -1)
            kits = self.whole(places)
            able = (kits + less >= wanted - 1e-12) & (saved < 0)
            if not able.any():
                break
            places = places.copy()
            places[int(np.where(able, saved, 0).argmin())] -= 1
        return places

    # Small systems: jobs as a whole, and one part for another.

    @property
    def small(self) -> bool:
        """Whether there is time to try jobs as a whole and to exchange parts."""
        return len(self.takes) * len(self.values) <= SMALL

    @cached_property
    def _lines_of_jobs(self) -> "list[list[int]]":
        lines: list[list[int]] = [[] for _ in range(self.jobs)]
        for line, (job, _, _) in enumerate(self.takes):
            lines[job].append(line)
        return lines

    def _with_job(self, places: "Places", job: int) -> "Places":
        """Each part of a job one place further, and at least where it has any chance at all."""
        _, part, row = self._columns
        raised = places.copy()
        for line in self._lines_of_jobs[job]:
            chances = self.there[row[line]]
            first = int((chances > NEVER).argmax())
            last = self.values.shape[1] - 1
            raised[part[line]] = max(raised[part[line]], min(max(first, places[part[line]] + 1), last))
        return raised

    def _best_job(self, places: "Places", budget: float) -> "Places | None":
        """The places with that job raised which gives most for its money, of those that the sum allows."""
        now, spent = self.whole(places), self.value(places)
        best, rate = None, 0.0
        for job in range(self.jobs):
            raised = self._with_job(places, job)
            cost, gain = self.value(raised) - spent, self.whole(raised) - now
            if 0 < cost <= budget - spent + 1e-9 and gain / cost > rate:
                best, rate = raised, gain / cost
        return best

    def _exchanged(self, places: "Places", budget: float) -> "Places":
        """One part a place (or all) back and the sum spent anew, for as long as that gives more kits."""
        for _ in range(EXCHANGES):
            tried = [self._filled(start, budget) for start in self._backs(places)]
            best = max(tried, key=self.whole, default=places)
            if self.whole(best) <= self.whole(places) + 1e-12:
                break
            places = best
        return places

    def _backs(self, places: "Places") -> "list[Places]":
        found = []
        for part in places.nonzero()[0]:
            for back in {1, int(places[part])}:
                fewer = places.copy()
                fewer[part] -= back
                found.append(fewer)
        return found

    def _filled(self, places: "Places", budget: float) -> "Places":
        """What is left of the sum is spent on the single steps that give most for it."""
        import numpy as np

        for _ in range(self.touches):
            more, cost = self._steps(places, 1)
            fits = (cost <= budget - self.value(places) + 1e-9) & (more > LEAST_GAIN)
            rate = np.where(fits, more / np.maximum(cost, 1e-12), 0)
            job = self._best_job(places, budget) if self.small else None
            if job is not None:
                apart = self.value(job) - self.value(places)
                if (self.whole(job) - self.whole(places)) / apart > rate.max(initial=0):
                    places = job
                    continue
            if not fits.any():
                break
            places = places.copy()
            places[int(rate.argmax())] += 1
        return places
