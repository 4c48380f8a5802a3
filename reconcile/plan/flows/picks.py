"""From jobs with a kit to what is taken from which bin, part by part, day by day.

Jobs take in order of day, priority and row, as their kits were given out.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from reconcile.plan.flows.bins import ShelfBins
from reconcile.plan.flows.timeline import ZERO
from reconcile.values.stock.parts import Part
from reconcile.values.week.picks import NO_BIN, Bins, DayPick, JobPick, PartPick
from reconcile.values.week.results import SHORT, Awaited, JobResult, Missing
from reconcile.values.words import natural


def pick_list(jobs: Iterable[JobResult], parts: Mapping[str, Part]) -> tuple[PartPick, ...]:
    """Every part that a job with a kit takes or awaits, by bin: B-2 before B-10, and no bin last."""
    chosen = [result for result in sorted(jobs, key=lambda result: result.job.order) if result.kit != SHORT]
    picks: dict[str, list[JobPick]] = {}
    awaited: dict[str, list[tuple[str, Awaited]]] = {}
    shelves: dict[str, ShelfBins] = {}
    for result in chosen:
        for each in result.awaited:
            awaited.setdefault(each.part, []).append((result.job.number, each))
        for number, quantity in from_shelf(result).items():
            part = parts.get(number) or Part(number)
            shelf = shelves.get(number) or shelves.setdefault(number, ShelfBins(part))
            picks.setdefault(number, []).append(
                JobPick(result.job.number, result.job.day, taken_from(shelf, quantity))
            )
    found = [
        PartPick(
            parts.get(number) or Part(number),
            tuple(by_day(picks.get(number, []))),
            tuple(awaited.get(number, ())),
        )
        for number in dict.fromkeys([*picks, *awaited])
    ]
    return tuple(sorted(found, key=lambda pick: (natural(pick.first_bin), natural(pick.part.number))))


@dataclass(frozen=True, slots=True)
class Takes:
    """What a chosen job takes of each part, beside or before the one that is asked about."""

    order: tuple[object, ...]
    """Its place among all jobs."""
    parts: Mapping[str, Fraction]
    awaited: tuple[Awaited, ...]
    missing: tuple[Missing, ...]


def picks_of(result: JobResult, others: Iterable[Takes], parts: Mapping[str, Part]) -> tuple[PartPick, ...]:
    """What one job takes from which bin, once the chosen jobs before it have taken theirs.

    Nothing for a job without a kit. The same as in the list for all jobs of which it is one.
    """
    if result.kit == SHORT:
        return ()
    wanted = from_shelf(result)
    shelves = {number: ShelfBins(parts.get(number) or Part(number)) for number in wanted}
    before = [
        other
        for other in others
        if other.order < result.job.order and not wanted.keys().isdisjoint(other.parts)
    ]
    for other in sorted(before, key=lambda other: other.order):
        for number, quantity in less_what_comes(other.parts, other.awaited, other.missing).items():
            if number in shelves:
                shelves[number].take_free(quantity)
    job = result.job
    found = [
        PartPick(
            parts.get(number) or Part(number),
            (DayPick(job.day, (JobPick(job.number, job.day, taken_from(shelves[number], quantity)),), ()),),
            tuple((job.number, arrival) for arrival in result.awaited if arrival.part == number),
        )
        for number, quantity in wanted.items()
    ]
    return tuple(sorted(found, key=lambda pick: (natural(pick.first_bin), natural(pick.part.number))))


def from_shelf(result: JobResult) -> dict[str, Fraction]:
    """What a job takes of each part, less what it waits for and what is still to be ordered."""
    return less_what_comes(result.takes, result.awaited, result.missing)


def less_what_comes(
    parts: Mapping[str, Fraction], awaited: Iterable[Awaited], missing: Iterable[Missing]
) -> dict[str, Fraction]:
    takes = dict(parts)
    for arrival in awaited:
        takes[arrival.part] = takes.get(arrival.part, ZERO) - arrival.quantity
    for lack in missing:
        takes[lack.part] = takes.get(lack.part, ZERO) - lack.quantity
    return {number: quantity for number, quantity in takes.items() if quantity > 0}


def by_day(picks: list[JobPick]) -> Iterator[DayPick]:
    """Picks in order, gathered by day, each with those of the days after it."""
    for day in dict.fromkeys(pick.day for pick in picks):
        own = tuple(pick for pick in picks if pick.day == day)
        yield DayPick(day, own, tuple(pick for pick in picks if pick.day > day))


def taken_from(shelf: ShelfBins, wanted: Fraction) -> Bins:
    """Where so much is taken from; what no bin holds comes from no bin."""
    shares, left = shelf.take_free(wanted)
    if left > 0:
        shares[NO_BIN] = shares.get(NO_BIN, ZERO) + left
    return tuple(shares.items())
