"""Whether a remembered answer may be one to a question at all: seen in the time that reading it takes.

An answer that was kept may have been changed on the disk. That it is the best cannot be seen without solving;
that it takes what is there, and serves what is asked, can.
"""

from collections.abc import Iterable, Mapping, Sequence

from reconcile.plan.solver.packing import Ask, Bundle, Packed, Resource, Served


def is_feasible(answer: Packed, bundles: Sequence[Bundle], resources: Sequence[Resource]) -> bool:
    """Every mark is one of the question's, every ask of a mark taken is served, and nothing is overdrawn."""
    of_mark = {mark: bundle for bundle in bundles for mark in bundle.marks}
    if not (answer.taken.keys() <= of_mark.keys() and answer.by_hand <= of_mark.keys()):
        return False
    if not all(_serves(served, of_mark[mark].asks) for mark, served in answer.taken.items()):
        return False
    return _covered(answer.taken, of_mark, resources)


def _serves(served: Served, asks: Sequence[Ask]) -> bool:
    return len(served) == len(asks) and all(
        len(units) == len(ask.options) and min(units, default=0) >= 0 and sum(units) == ask.units
        for units, ask in zip(served, asks, strict=True)
    )


def _covered(
    taken: Mapping[int, Served], of_mark: Mapping[int, Bundle], resources: Sequence[Resource]
) -> bool:
    """Whether what is there of each resource up to each period covers what is used up to it.

    But for the periods for which the resource can still be had.
    """
    moved: dict[int, dict[int, int]] = {}
    for mark, served in taken.items():
        bundle = of_mark[mark]
        for resource, units in _used(served, bundle.asks):
            own = moved.setdefault(resource, {})
            own[bundle.period] = own.get(bundle.period, 0) - units
        for given in bundle.yields:
            own = moved.setdefault(given.resource, {})
            own[given.period] = own.get(given.period, 0) + given.units
    return all(_never_below(moves, resources[resource]) for resource, moves in moved.items())


def _used(served: Served, asks: Sequence[Ask]) -> Iterable[tuple[int, int]]:
    for units, ask in zip(served, asks, strict=True):
        for count, option in zip(units, ask.options, strict=True):
            if count:
                for resource, each in option.uses:
                    yield resource, each * count


def _never_below(moves: Mapping[int, int], resource: Resource) -> bool:
    left = 0
    for period in sorted({*moves, *resource.supply}):
        left += resource.supply.get(period, 0) + moves.get(period, 0)
        if moves.get(period, 0) < 0 and left < 0 and not resource.is_open(period):
            return False
    return True
