"""Why a kit lacks a part: what lies there, who takes it on which day, what is due, what can be ordered."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import replace
from datetime import date

from reconcile.plan.flows.supply import Demand, recovered_from
from reconcile.plan.kits.bundles import Serving
from reconcile.plan.kits.turns import Shop
from reconcile.values.week.results import DueIn, Missing, Taker, Whereabouts


class Reasons:
    """Where all of each part is and goes, once the jobs that have a kit keep it; worked out once a part."""

    def __init__(self, chosen: Iterable[tuple[Demand, Serving]], shop: Shop) -> None:
        self._shop = shop
        self._takers: dict[str, list[tuple[Demand, Taker]]] = defaultdict(list)
        self._given: dict[str, list[DueIn]] = defaultdict(list)
        self._chosen = tuple(chosen)
        self._known: dict[str, Whereabouts] = {}

    def told(self, lacks: Iterable[Missing], day: date) -> tuple[Missing, ...]:
        """What lacks for a day, each with by when it has to be ordered, and where all of the part is."""
        return tuple(
            replace(
                lack,
                order_by=self._shop.order_day(lack.part, day),
                whereabouts=self.of(lack.part),
            )
            for lack in lacks
        )

    def of(self, number: str) -> Whereabouts:
        """Of one part."""
        if not self._takers and self._chosen:
            self._sort_out()
        if number not in self._known:
            supply = self._shop.supplies[number]
            due = [DueIn(arrival.day, arrival.quantity, arrival.source) for arrival in supply.arrivals]
            self._known[number] = Whereabouts(
                self._shop.parts[number],
                tuple(taker for _, taker in sorted(self._takers[number], key=lambda pair: pair[0].order)),
                tuple(
                    sorted(
                        [*due, *self._given[number]], key=lambda receipt: (receipt.day, receipt.source.turn)
                    )
                ),
                supply.open_from,
            )
        return self._known[number]

    def _sort_out(self) -> None:
        for demand, serving in self._chosen:
            job = demand.job
            for number, quantity in serving.takes.items():
                taker = Taker(job.number, demand.when, job.priority, quantity, job.held)
                self._takers[number].append((demand, taker))
            for number, quantity in demand.gives.items() if demand.usable < date.max else ():
                self._given[number].append(DueIn(demand.usable, quantity, recovered_from(job)))
