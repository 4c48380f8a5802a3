"""Choosing bundles that share scarce resources over time. Knows numbers only, nothing of any trade.

A bundle asks for units of several things at its period; each unit of an ask is served by one of the ask's
options, and an option uses up resources. A bundle that is taken may yield resources from a later period on.
What is there of a resource up to any period must cover what is used up to it, but for the periods from which
on the resource is *open*: there it can still be had, and what lacks is only counted.

``most`` takes as many bundles as can be; ``least`` takes them all and buys the least. Both reduce before
they solve: a resource that can never run short drops out, an ask whose first option needs no scarce resource
is served by it, equal bundles are counted together, and bundles that share no scarce resource are solved
apart. Where nothing is scarce nothing is solved.
"""

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field
from hashlib import sha256
from typing import Protocol

from reconcile.values.records import dataclass

PLENTY = 10**12
"""Units of a resource that can be had as wanted."""
BEFORE_ALL = -1
"""A period before any other."""

Uses = tuple[tuple[int, int], ...]
"""Resource and units used of it, for each unit asked."""


@dataclass(frozen=True, slots=True)
class Option:
    """One way of serving an ask: what it uses, and how much worse it is than the best."""

    uses: Uses
    penalty: int = 0


@dataclass(frozen=True, slots=True)
class Ask:
    """So many units, each served by one of the options, the first preferred."""

    units: int
    options: tuple[Option, ...]


@dataclass(frozen=True, slots=True)
class Yield:
    """What a bundle gives back: so many units of a resource from a period on."""

    resource: int
    units: int
    period: int


@dataclass(frozen=True, slots=True)
class Bundle:
    """Equal bundles, one for each of ``marks`` (ascending). Lower ``rank`` comes first."""

    rank: int
    period: int
    asks: tuple[Ask, ...]
    marks: tuple[int, ...]
    yields: tuple[Yield, ...] = ()
    penalty: int = 0
    """What it weighs however its asks are served."""
    date: int | None = None
    """What the sum of dates counts for it, where that is not its period."""
    kind: int = field(kw_only=True, compare=False)
    """Bundles of one kind have equal asks: what is found of these is found once, without comparing them."""

    @property
    def dated(self) -> int:
        return self.period if self.date is None else self.date


@dataclass(frozen=True, slots=True)
class Resource:
    """What comes in by period (period to units), and, for buying, what a unit weighs and costs."""

    supply: Mapping[int, int]
    weight: int = 1
    cost: int = 0
    open_from: int | None = None
    """The first period for which what lacks can still be had; None: there is none."""

    def is_open(self, period: int) -> bool:
        return self.open_from is not None and period >= self.open_from


Served = tuple[tuple[int, ...], ...]
"""For each ask the units served by each of its options."""


@dataclass(frozen=True, slots=True)
class Packed:
    """The marks taken with how each is served, what was bought of each resource, and what is proven."""

    taken: dict[int, Served]
    by_hand: frozenset[int] = frozenset()
    """The marks that first come, first served would have taken."""
    bought: dict[int, int] = field(default_factory=dict)
    proven: bool = True
    gap: int = 0
    """By how many bundles, or units bought, the answer may miss the best."""


class Memory(Protocol):
    """Somewhere that keeps answers from one run to the next. The same question has the same answer."""

    def recall(self, question: str) -> Packed | None: ...

    def keep(self, question: str, answer: Packed) -> None: ...


def question_of(bundles: Sequence[Bundle], resources: Sequence[Resource], early: int | None = None) -> str:
    """A digest of all that decides which bundles are taken."""
    told = repr(
        [
            (
                bundle.rank,
                bundle.period,
                bundle.asks,
                bundle.marks,
                bundle.yields,
                bundle.penalty,
                bundle.dated,
            )
            for bundle in bundles
        ]
    )
    there = repr(
        [(sorted(resource.supply.items()), resource.weight, resource.open_from) for resource in resources]
    )
    return sha256(f"{RULES} {told} {there} {early}".encode()).hexdigest()


RULES = 3
"""Raised whenever the rules of choosing change, so that no older answer is taken for a new one."""


# --- reducing ---------------------------------------------------------------------------------------


def can_run_short(bundles: Sequence[Bundle], resources: Sequence[Resource]) -> set[int]:
    """Resources that some way of serving some of the bundles brings short, yields left out."""
    alike: Counter[tuple[int, int]] = Counter()
    asked: dict[int, tuple[Ask, ...]] = {}
    for bundle in bundles:
        alike[bundle.kind, bundle.period] += len(bundle.marks)
        asked[bundle.kind] = bundle.asks
    heaviest = {
        key: [use for ask in asks for use in heaviest_uses(ask).items()] for key, asks in asked.items()
    }
    drawn: dict[int, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    for (key, period), many in alike.items():
        for resource, units in heaviest[key]:
            drawn[resource][period] += units * many
    return {resource for resource, uses in drawn.items() if falls_short(resources[resource].supply, uses)}


def heaviest_uses(ask: Ask) -> dict[int, int]:
    """The most that an ask can use of each resource."""
    most: dict[int, int] = {}
    for option in ask.options:
        for resource, units in option.uses:
            most[resource] = max(most.get(resource, 0), units * ask.units)
    return most


def falls_short(supply: Mapping[int, int], uses: Mapping[int, int], before: int | None = None) -> bool:
    """Whether more is used up to some period (one earlier than ``before``) than is there up to it."""
    there = 0
    for period in sorted({*supply, *uses}):
        if before is not None and period >= before:
            return False
        there += supply.get(period, 0) - uses.get(period, 0)
        if there < 0:
            return True
    return False


@dataclass(frozen=True, slots=True)
class Reduced:
    """A bundle with its scarce asks alone. ``origin`` names its place; ``kept`` the places of the asks."""

    bundle: Bundle
    origin: int
    kept: tuple[int, ...]


def reduce_all(bundles: Sequence[Bundle], resources: Sequence[Resource]) -> tuple[list[Reduced], set[int]]:
    """Every bundle with what is scarce alone, and the scarce resources, worked out until nothing changes.

    Dropping an ask that its first option serves freely takes the draw of its other options away, which
    may free further resources.
    """
    scarce = can_run_short(bundles, resources)
    while True:
        kept: dict[int, Kept] = {}
        for bundle in bundles:
            if bundle.kind not in kept:
                kept[bundle.kind] = scarce_asks(bundle.asks, scarce)
        reduced = [
            reduce_one(bundle, place, kept[bundle.kind], scarce) for place, bundle in enumerate(bundles)
        ]
        fewer = can_run_short([each.bundle for each in reduced], resources)
        if fewer == scarce:
            return reduced, scarce
        scarce = fewer


Kept = tuple[tuple[Ask, ...], tuple[int, ...], int]
"""The asks kept, their places, and what the first options of all others weigh."""


def scarce_asks(asks: tuple[Ask, ...], scarce: set[int]) -> Kept:
    """The asks that their first option does not serve freely, with what is scarce alone."""
    found, places, penalty = [], [], 0
    for place, ask in enumerate(asks):
        options = tuple(
            Option(tuple(use for use in option.uses if use[0] in scarce), option.penalty)
            for option in ask.options
        )
        if options and options[0].uses:
            found.append(Ask(ask.units, options))
            places.append(place)
        elif options:
            penalty += options[0].penalty * ask.units
    return tuple(found), tuple(places), penalty


def reduce_one(bundle: Bundle, place: int, kept: Kept, scarce: set[int]) -> Reduced:
    asks, places, penalty = kept
    yields = tuple(each for each in bundle.yields if each.resource in scarce)
    whole = bundle.penalty + penalty
    rest = Bundle(
        bundle.rank, bundle.period, asks, bundle.marks, yields, whole, bundle.date, kind=bundle.kind
    )
    return Reduced(rest, place, places)


def components(bundles: Iterable[Reduced]) -> list[list[Reduced]]:
    """Bundles linked by a shared resource, together; bundles that touch none are left out."""
    leader: dict[int, int] = {}

    def find(resource: int) -> int:
        while leader.setdefault(resource, resource) != resource:
            leader[resource] = leader[leader[resource]]
            resource = leader[resource]
        return resource

    touched = []
    for each in bundles:
        own = resources_of(each.bundle)
        if own:
            touched.append((each, own[0]))
            for other in own[1:]:
                leader[find(other)] = find(own[0])
    groups: dict[int, list[Reduced]] = defaultdict(list)
    for each, resource in touched:
        groups[find(resource)].append(each)
    return list(groups.values())


def resources_of(bundle: Bundle) -> list[int]:
    asked = [resource for ask in bundle.asks for option in ask.options for resource, _ in option.uses]
    return list(dict.fromkeys([*asked, *(each.resource for each in bundle.yields)]))


def first_options(bundle: Bundle) -> Served:
    return tuple(
        tuple(ask.units if place == 0 else 0 for place in range(len(ask.options))) for ask in bundle.asks
    )


# --- equal bundles together ---------------------------------------------------------------------------


@dataclass(slots=True)
class Group:
    """Bundles that are equal in all that is scarce: one shape, and every mark with where it came from."""

    shape: Bundle
    members: list[tuple[int, Reduced]] = field(default_factory=list)


def grouped(component: Iterable[Reduced]) -> list[Group]:
    """Equal bundles counted together, in an order that does not depend on theirs."""
    groups: dict[tuple[object, ...], Group] = {}
    for each in component:
        bundle = each.bundle
        key = (bundle.rank, bundle.period, bundle.dated, bundle.asks, bundle.yields, bundle.penalty)
        group = groups.setdefault(key, Group(bundle))
        group.members += [(mark, each) for mark in bundle.marks]
    for group in groups.values():
        group.members.sort(key=lambda member: member[0])
    return sorted(groups.values(), key=lambda group: canonical(group.shape))


def canonical(bundle: Bundle) -> tuple[object, ...]:
    asks = tuple(
        (ask.units, tuple((option.uses, option.penalty) for option in ask.options)) for ask in bundle.asks
    )
    yields = tuple((each.resource, each.units, each.period) for each in bundle.yields)
    return (bundle.rank, bundle.period, bundle.dated, asks, yields, bundle.penalty)


def share_out(group: Group, taken: int, served: Sequence[Sequence[int]]) -> dict[int, tuple[Reduced, Served]]:
    """The units served to ``taken`` equal bundles, dealt to the first marks, best options first."""
    left = [list(options) for options in served]
    dealt: dict[int, tuple[Reduced, Served]] = {}
    for mark, origin in group.members[:taken]:
        dealt[mark] = (
            origin,
            tuple(deal(ask.units, left[number]) for number, ask in enumerate(group.shape.asks)),
        )
    return dealt


def deal(units: int, left: list[int]) -> tuple[int, ...]:
    own = []
    for option, there in enumerate(left):
        given = min(units, there)
        units -= given
        left[option] -= given
        own.append(given)
    return tuple(own)


def restore(dealt: Mapping[int, tuple[Reduced, Served]], bundles: Sequence[Bundle]) -> dict[int, Served]:
    """How each mark's whole bundle is served: scarce asks as dealt, all others by their first option."""
    made: dict[tuple[int, Served], Served] = {}
    taken = {}
    for mark, (origin, served) in dealt.items():
        key = (origin.origin, served)
        if key not in made:
            whole = list(first_options(bundles[origin.origin]))
            for number, units in zip(origin.kept, served, strict=True):
                whole[number] = units
            made[key] = tuple(whole)
        taken[mark] = made[key]
    return taken


def served_first(certain: Iterable[Reduced], bundles: Sequence[Bundle]) -> dict[int, Served]:
    """Every mark of these bundles, each ask served by its first option."""
    taken: dict[int, Served] = {}
    for each in certain:
        taken |= dict.fromkeys(each.bundle.marks, first_options(bundles[each.origin]))
    return taken


# --- what is left, period by period -------------------------------------------------------------------------


@dataclass(slots=True)
class Balance:
    """One resource: what is left up to each period of ``axis``, whatever is used later counted off."""

    axis: list[int]
    left: list[int]
    open_from: int | None = None
    """As of the resource: from then on nothing is bounded by what is there."""

    @classmethod
    def of(cls, supply: Mapping[int, int], periods: Iterable[int], open_from: int | None = None) -> "Balance":
        """What comes in, on an axis that has every period at which anything comes or goes."""
        axis = sorted({BEFORE_ALL, *supply, *periods})
        balance = cls(axis, [0] * len(axis), open_from)
        for period, units in supply.items():
            balance.add(period, units)
        return balance

    def least_from(self, period: int) -> int:
        """The least that is left at any time from ``period`` on: what one more bundle may use then.

        ``PLENTY`` where the resource is open from then on.
        """
        first = max(bisect_right(self.axis, period) - 1, 0)
        if self.open_from is None:
            return min(self.left[first:])
        bounded = self.left[first : bisect_left(self.axis, self.open_from)]
        return min(bounded, default=PLENTY) if period < self.open_from else PLENTY

    def least_ever_from(self, period: int) -> int:
        """The least that is left from ``period`` on, open or not; below nothing where more is promised."""
        return min(self.left[max(bisect_right(self.axis, period) - 1, 0) :])

    def add(self, period: int, units: int) -> None:
        for place in range(bisect_left(self.axis, period), len(self.axis)):
            self.left[place] += units

    def first_period_with(self, units: int) -> int | None:
        """The first period from which on ``units`` are always left; None if they never are."""
        for place in range(len(self.axis) - 1, -1, -1):
            if self.left[place] < units:
                return self.axis[place + 1] if place + 1 < len(self.axis) else None
        return BEFORE_ALL


def serve_in_turn(asks: Sequence[Ask], caps: Mapping[int, int]) -> Served | None:
    """Each ask takes the best options that are left, one after another; None where one goes without.

    As it is done by hand: an ask with a single option is served first, and nothing is reconsidered.
    """
    left = dict(caps)
    served: list[tuple[int, ...]] = [()] * len(asks)
    for number in sorted(range(len(asks)), key=lambda each: len(asks[each].options) > 1):
        wanted, own = asks[number].units, []
        for option in asks[number].options:
            given = min([wanted, *(left[resource] // units for resource, units in option.uses)])
            given = max(given, 0)
            for resource, units in option.uses:
                left[resource] -= given * units
            wanted -= given
            own.append(given)
        if wanted:
            return None
        served[number] = tuple(own)
    return tuple(served)


def cannot_serve(asks: Sequence[Ask], caps: Mapping[int, int]) -> bool:
    """Whether asks of the same options would go without even if they had everything to themselves.

    There are other ways to fail: False is no promise.
    """
    wanted: Counter[tuple[Option, ...]] = Counter()
    for ask in asks:
        wanted[ask.options] += ask.units
    return any(sum(most_of(option, units, caps) for option in own) < units for own, units in wanted.items())


def most_of(option: Option, wanted: int, caps: Mapping[int, int]) -> int:
    """How often an option could be taken if nothing else were."""
    return max(min([wanted, *(caps[resource] // units for resource, units in option.uses)]), 0)
