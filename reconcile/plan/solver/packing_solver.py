"""Packing a set of linked bundles to the proven best, by the integer programme."""

import math
import time
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from reconcile.plan.solver.feasible import is_feasible
from reconcile.plan.solver.packing import (
    Balance,
    Bundle,
    Group,
    Memory,
    Packed,
    Reduced,
    Resource,
    Served,
    components,
    falls_short,
    first_options,
    grouped,
    question_of,
    reduce_all,
    restore,
    serve_in_turn,
    served_first,
    share_out,
)
from reconcile.plan.solver.programme import INFINITE, Programme, ProgrammeOutcome, Reached, Stage, solve

BLOCK = 8
"""Periods whose balance rows add up from one start."""

LEAST_SECONDS = 0.1
"""What a component may take even when the patience is used up: a weak answer beats none."""


def most(
    bundles: Sequence[Bundle],
    resources: Sequence[Resource],
    patience: float = INFINITE,
    early: int | None = None,
) -> Packed:
    """Takes the most bundles of the lowest rank, then of the next, and so on; among those the least
    penalty, then the least that lacks of open resources, then the least sum of dates, then the least sum of
    marks, then the options named first. Penalty and lack: first up to the period ``early``, then all.

    The gap says how many bundles more the best might take where ``patience`` (seconds) ran out.
    """
    reduced, scarce = reduce_all(bundles, resources)
    certain = [each for each in reduced if is_certain(each.bundle, resources)]
    supply = supply_of(resources, scarce, certain)
    take_certain(supply, certain)
    taken = served_first(certain, bundles)
    by_hand = set(taken)
    deadline, proven, gap = time.monotonic() + patience, True, 0
    for component in components([each for each in reduced if not is_certain(each.bundle, resources)]):
        stock = Store(supply, resources, early)
        answer = pack_component(component, stock, max(deadline - time.monotonic(), LEAST_SECONDS))
        taken |= restore(answer.dealt, bundles)
        by_hand |= answer.by_hand
        proven, gap = proven and answer.proven, gap + answer.gap
    return Packed(taken, frozenset(by_hand), proven=proven, gap=gap)


def most_remembered(
    bundles: Sequence[Bundle],
    resources: Sequence[Resource],
    patience: float,
    memory: Memory | None,
    early: int | None = None,
) -> Packed:
    """``most``, or what it answered before to the very same question; only proven answers are kept.

    What is remembered is used only if it can be an answer; else it is forgotten, and worked out anew.
    """
    if memory is None:
        return most(bundles, resources, patience, early)
    resources = asked_for(bundles, resources)
    question = question_of(bundles, resources, early)
    answer = memory.recall(question)
    if answer is not None and not is_feasible(answer, bundles, resources):
        memory.forget(question)
        answer = None
    if answer is None:
        answer = most(bundles, resources, patience, early)
        if answer.proven:
            memory.keep(question, answer)
    return answer


def asked_for(bundles: Sequence[Bundle], resources: Sequence[Resource]) -> Sequence[Resource]:
    """The resources up to the last that any bundle takes or yields: those behind it decide nothing."""
    takes = (
        number
        for asks in {id(bundle.asks): bundle.asks for bundle in bundles}.values()
        for ask in asks
        for option in ask.options
        for number, _ in option.uses
    )
    yields = (given.resource for bundle in bundles for given in bundle.yields)
    return resources[: 1 + max((*takes, *yields), default=-1)]


def least(bundles: Sequence[Bundle], resources: Sequence[Resource], patience: float = INFINITE) -> Packed:
    """Takes every bundle and buys what is missing: the least weight, then the least cost, then the
    options named first. What is bought is there from the start.
    """
    reduced, scarce = reduce_all(bundles, resources)
    supply = supply_of(resources, scarce, reduced)
    taken = served_first((each for each in reduced if not each.bundle.asks), bundles)
    bought: dict[int, int] = {}
    deadline, proven, gap = time.monotonic() + patience, True, 0
    bare = [
        Reduced(
            Bundle(
                each.bundle.rank,
                each.bundle.period,
                each.bundle.asks,
                each.bundle.marks,
                kind=each.bundle.kind,
            ),
            each.origin,
            each.kept,
        )
        for each in reduced
        if each.bundle.asks
    ]
    for component in components(bare):
        seconds = max(deadline - time.monotonic(), LEAST_SECONDS)
        answer = buy_for_component(component, supply, resources, seconds)
        taken |= restore(answer.dealt, bundles)
        bought |= answer.bought
        proven, gap = proven and answer.proven, gap + answer.gap
    return Packed(taken, bought=bought, proven=proven, gap=gap)


def supply_of(
    resources: Sequence[Resource], scarce: set[int], certain: Sequence[Reduced]
) -> dict[int, dict[int, int]]:
    """What comes in of each scarce resource, yields of the bundles that are taken anyhow counted in."""
    supply = {resource: dict(resources[resource].supply) for resource in sorted(scarce)}
    for each in certain:
        for given in each.bundle.yields:
            own = supply[given.resource]
            own[given.period] = own.get(given.period, 0) + given.units * len(each.bundle.marks)
    return supply


def take_certain(supply: dict[int, dict[int, int]], certain: Sequence[Reduced]) -> None:
    """Takes what bundles that are taken anyhow use off what is there."""
    for each in certain:
        many, period = len(each.bundle.marks), each.bundle.period
        for resource, units in used_by(each.bundle, first_options(each.bundle)).items():
            supply[resource][period] = supply[resource].get(period, 0) - units * many


def is_certain(bundle: Bundle, resources: Sequence[Resource]) -> bool:
    """It asks for nothing that is bounded in its period, and nothing can be chosen: it is taken anyhow."""
    return all(
        len(ask.options) == 1
        and all(resources[resource].is_open(bundle.period) for resource, _ in ask.options[0].uses)
        for ask in bundle.asks
    )


@dataclass(frozen=True, slots=True)
class Store:
    """What a component is served from, and up to which period penalties and lacks come first."""

    supply: Mapping[int, Mapping[int, int]]
    resources: Sequence[Resource]
    early: int | None = None

    def open_from(self, resource: int) -> int | None:
        return self.resources[resource].open_from

    def balances(self, periods: set[int]) -> dict[int, Balance]:
        return {
            resource: Balance.of(own, periods, self.open_from(resource))
            for resource, own in self.supply.items()
        }


@dataclass(slots=True)
class ComponentAnswer:
    """One component's bundles taken, each with how its scarce asks are served."""

    dealt: dict[int, tuple[Reduced, Served]]
    bought: dict[int, int] = field(default_factory=dict)
    by_hand: frozenset[int] = frozenset()
    proven: bool = True
    gap: int = 0


# --- taking the most ------------------------------------------------------------------------------------


def pack_component(component: list[Reduced], store: Store, seconds: float) -> ComponentAnswer:
    groups = grouped(component)
    if all_first_options_serve(groups, store.supply) or (
        not any(has_choice(group.shape) for group in groups)
        and all_first_options_serve(groups, store.supply, store)
    ):
        dealt = everything(groups)
        return ComponentAnswer(dealt, by_hand=frozenset(dealt))
    by_hand = take_in_turn(groups, store)
    outcome, model, ranks = solve_stages(groups, store, seconds)
    solved = bool(outcome.values) and model.is_whole(outcome)
    answer = model.answer(outcome) if solved else by_hand
    if counts_by_rank(by_hand) > counts_by_rank(answer):
        answer = by_hand
    answer.proven = outcome.proven and answer is not by_hand
    answer.by_hand = by_hand.by_hand
    answer.gap = 0 if answer.proven else what_may_be_missed(groups, outcome.stages[:ranks], answer)
    return answer


def has_choice(shape: Bundle) -> bool:
    return any(len(ask.options) > 1 for ask in shape.asks)


def solve_stages(groups: list[Group], store: Store, seconds: float) -> tuple[ProgrammeOutcome, "Model", int]:
    """The outcome, its model, and how many stages count bundles. Shares are made whole only if need be."""
    for whole in (False, True):
        model = Model(groups, store, whole=whole or not splits_freely(groups))
        ranks = model.rank_stages()
        outcome = solve(model.programme, [*ranks, *model.tie_stages()], seconds, weighty=len(ranks))
        if not outcome.values or model.is_whole(outcome):
            break
    return outcome, model, len(ranks)


def what_may_be_missed(groups: list[Group], reached: Sequence[Reached], answer: ComponentAnswer) -> int:
    """By how many bundles the answer may miss the best: what the proven bounds leave above it."""
    counts = dict(counts_by_rank(answer))
    missed = 0
    for place, rank in enumerate(sorted({group.shape.rank for group in groups})):
        most_there = sum(len(group.members) for group in groups if group.shape.rank == rank)
        bound = (
            min(most_there, math.floor(reached[place].bound + 1e-6)) if place < len(reached) else most_there
        )
        missed += max(bound - counts.get(-rank, 0), 0)
    return missed


def counts_by_rank(answer: ComponentAnswer) -> list[tuple[int, int]]:
    """Comparable: more of the lowest rank is greater, then more of the next."""
    counts: dict[int, int] = defaultdict(int)
    for origin, _ in answer.dealt.values():
        counts[origin.bundle.rank] += 1
    return [(-rank, counts[rank]) for rank in sorted(counts)]


def all_first_options_serve(
    groups: list[Group], supply: Mapping[int, Mapping[int, int]], store: Store | None = None
) -> bool:
    """Whether nothing lacks; with a store, nothing of what is bounded."""
    drawn: dict[int, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    incoming = {resource: dict(own) for resource, own in supply.items()}
    for group in groups:
        many = len(group.members)
        for ask in group.shape.asks:
            for resource, units in ask.options[0].uses:
                drawn[resource][group.shape.period] += units * ask.units * many
        for given in group.shape.yields:
            own = incoming[given.resource]
            own[given.period] = own.get(given.period, 0) + given.units * many
    return not any(
        falls_short(incoming[resource], uses, None if store is None else store.open_from(resource))
        for resource, uses in drawn.items()
    )


def everything(groups: list[Group]) -> dict[int, tuple[Reduced, Served]]:
    return {mark: (origin, first_options(group.shape)) for group in groups for mark, origin in group.members}


def take_in_turn(groups: list[Group], store: Store) -> ComponentAnswer:
    """First come, first served: by rank, then period, then mark; each takes the best options left."""
    balances = store.balances(all_periods(groups))
    turns = sorted(
        (
            (group.shape.rank, group.shape.period, mark, number)
            for number, group in enumerate(groups)
            for mark, _ in group.members
        )
    )
    dealt: dict[int, tuple[Reduced, Served]] = {}
    origins = {mark: origin for group in groups for mark, origin in group.members}
    used = [
        sorted({r for ask in group.shape.asks for o in ask.options for r, _ in o.uses}) for group in groups
    ]
    refused: set[int] = set()
    for _, period, mark, number in turns:
        if number in refused:
            continue
        shape = groups[number].shape
        served = serve_in_turn(shape.asks, {each: balances[each].least_from(period) for each in used[number]})
        if served is None:
            refused.add(number)
            continue
        dealt[mark] = (origins[mark], served)
        for resource, units in used_by(shape, served).items():
            balances[resource].add(period, -units)
        for given in shape.yields:
            balances[given.resource].add(given.period, given.units)
            refused.clear()  # what was refused may be possible now
    return ComponentAnswer(dealt, by_hand=frozenset(dealt), proven=False)


def used_by(shape: Bundle, served: Served) -> dict[int, int]:
    used: dict[int, int] = defaultdict(int)
    for ask, units in zip(shape.asks, served, strict=True):
        for option, count in zip(ask.options, units, strict=True):
            for resource, each in option.uses:
                used[resource] += each * count
    return used


def all_periods(groups: list[Group]) -> set[int]:
    used = {group.shape.period for group in groups}
    return used | {given.period for group in groups for given in group.shape.yields}


# --- buying the least -----------------------------------------------------------------------------------


def buy_for_component(
    component: list[Reduced],
    supply: Mapping[int, Mapping[int, int]],
    resources: Sequence[Resource],
    seconds: float,
) -> ComponentAnswer:
    groups = grouped(component)
    if all_first_options_serve(groups, supply):
        return ComponentAnswer(everything(groups))
    bounded = [replace(resource, open_from=None) for resource in resources]
    for whole in (False, True):
        model = Model(groups, Store(supply, bounded), whole=whole, buying=True)
        outcome = solve(model.programme, model.buying_stages(resources), seconds)
        if outcome.values and model.is_whole(outcome):
            answer = model.answer(outcome)
            answer.bought = model.bought(outcome)
            answer.proven = outcome.proven
            answer.gap = round(outcome.stages[0].gap)
            return answer
    return ComponentAnswer(
        everything(groups), first_options_bought(groups, supply), proven=False, gap=len(component)
    )


def first_options_bought(groups: list[Group], supply: Mapping[int, Mapping[int, int]]) -> dict[int, int]:
    """What must be bought if every ask is served by its first option."""
    periods = all_periods(groups)
    balances = {resource: Balance.of(own, periods) for resource, own in supply.items()}
    for group in groups:
        for resource, units in used_by(group.shape, first_options(group.shape)).items():
            balances[resource].add(group.shape.period, -units * len(group.members))
    return {resource: -short for resource, each in balances.items() if (short := min(each.left)) < 0}


# --- from groups to a programme and back ------------------------------------------------------------------


def splits_freely(groups: list[Group]) -> bool:
    """Where every option is one unit of one resource, the shares form a flow and come out whole."""
    return all(
        len(option.uses) <= 1 and all(units == 1 for _, units in option.uses)
        for group in groups
        for ask in group.shape.asks
        if len(ask.options) > 1
        for option in ask.options
    )


class Model:
    """The programme of one component: how many of each group, and how its asks are shared out."""

    def __init__(
        self,
        groups: list[Group],
        store: Store,
        *,
        whole: bool,
        buying: bool = False,
    ) -> None:
        self.groups, self.store = groups, store
        self.programme = Programme()
        self.counts = [self._count_column(group, buying) for group in groups]
        self.shares = [self._share_columns(number, whole) for number in range(len(groups))]
        self.purchases: dict[int, int] = {}
        self.lacks: dict[int, int] = {}
        """Of each open resource the column of the most that lacks at any time, and that of the early ones."""
        self.early_lacks: dict[int, int] = {}
        self._used, self._given = self._gather_uses(), self._gather_yields()
        for resource in sorted(self._used):
            if buying:
                most_bought = self._most_lacking(resource)
                self.purchases[resource] = self.programme.column(0, most_bought, whole=whole)
            self._balance_rows(resource, store.supply[resource])

    def _count_column(self, group: Group, buying: bool) -> int:
        many = len(group.members)
        return self.programme.column(many if buying else 0, many, whole=not buying)

    def _share_columns(self, number: int, whole: bool) -> list[list[int]]:
        """For each ask a column for each option; none where there is but one option.

        No share is more than all that the group asks. Every column has such a bound: where one is left
        unsaid, HiGHS 1.12 to 1.15 never come out of their presolve on some programmes of eight columns, and
        no time limit stops them.
        """
        columns: list[list[int]] = []
        for ask in self.groups[number].shape.asks:
            if len(ask.options) == 1:
                columns.append([])
                continue
            most_shared = ask.units * len(self.groups[number].members)
            own = [self.programme.column(0, most_shared, whole=whole) for _ in ask.options]
            self.programme.row(0, 0, {**dict.fromkeys(own, 1), self.counts[number]: -ask.units})
            columns.append(own)
        return columns

    def _balance_rows(self, resource: int, supply: Mapping[int, int]) -> None:
        """What is used up to each period is no more than what is there up to it.

        The rows of a block add up from its start. What a block leaves is carried into the next by a column
        of its own, for rows that add up over a whole year would be too many numbers. From the period on from
        which the resource is open, what lacks takes the place of the bound.
        """
        used, given = self._used[resource], self._given[resource]
        most_there = sum(max(units, 0) for units in supply.values()) + self._at_most(given)
        most_used = self._at_most(used) - sum(min(units, 0) for units in supply.values())
        events = [(period, False, column, units) for period in used for column, units in used[period].items()]
        events += [
            (period, True, column, units) for period in given for column, units in given[period].items()
        ]
        incoming = sorted(supply.items())
        entries: dict[int, int] = {}
        if resource in self.purchases:
            entries[self.purchases[resource]] = -1
            most_there += self._most_lacking(resource)
        came = arrived = place = 0
        events.sort()
        taken_anyhow = (period for period, units in supply.items() if units < 0)
        for number, period in enumerate(sorted({*used, *taken_anyhow}), 1):
            while place < len(events) and events[place][0] <= period:
                _, is_given, column, units = events[place]
                entries[column] = entries.get(column, 0) + (-units if is_given else units)
                place += 1
            while arrived < len(incoming) and incoming[arrived][0] <= period:
                came += incoming[arrived][1]
                arrived += 1
            lacks = self._lack_columns(resource, period, most_used)
            if number % BLOCK:
                self._bound(entries, came, lacks)
            else:
                carried = self.programme.column(-most_used if lacks else 0, most_there)
                self.programme.row(came, came, {**entries, carried: 1})
                entries, came = {carried: -1}, 0
                if lacks:
                    self._bound(entries, came, lacks)

    def _bound(self, entries: Mapping[int, int], came: int, lacks: Sequence[int]) -> None:
        """What is used is no more than what came, or than that and what lacks."""
        for lack in lacks:
            self.programme.row(-INFINITE, came, {**entries, lack: -1})
        if not lacks:
            self.programme.row(-INFINITE, came, dict(entries))

    def _lack_columns(self, resource: int, period: int, most_used: float) -> list[int]:
        """The columns that tell what lacks in a period: none where the resource is bounded in it."""
        if not self.store.resources[resource].is_open(period):
            return []
        early = self.store.early is not None and period <= self.store.early
        kept = [self.lacks, self.early_lacks] if early else [self.lacks]
        for columns in kept:
            if resource not in columns:
                columns[resource] = self.programme.column(0, most_used)
        return [columns[resource] for columns in kept]

    def _most_lacking(self, resource: int) -> float:
        """All that could be used of it, and what of it is taken anyhow."""
        taken = -sum(min(units, 0) for units in self.store.supply[resource].values())
        return self._at_most(self._used[resource]) + taken

    def _at_most(self, entries: Mapping[int, Mapping[int, int]]) -> float:
        """The most units that the columns, each at its own bound, could use or give over all periods."""
        upper = self.programme.upper
        return sum(units * upper[column] for own in entries.values() for column, units in own.items())

    def _gather_uses(self) -> dict[int, dict[int, dict[int, int]]]:
        """By resource and period: column to units of the resource used for each unit of the column."""
        used: dict[int, dict[int, dict[int, int]]] = defaultdict(
            lambda: defaultdict(lambda: defaultdict(int))
        )
        for number, group in enumerate(self.groups):
            for ask, columns in zip(group.shape.asks, self.shares[number], strict=True):
                for place, option in enumerate(ask.options):
                    column, many = (columns[place], 1) if columns else (self.counts[number], ask.units)
                    for resource, units in option.uses:
                        used[resource][group.shape.period][column] += units * many
        return used

    def _gather_yields(self) -> dict[int, dict[int, dict[int, int]]]:
        given: dict[int, dict[int, dict[int, int]]] = defaultdict(
            lambda: defaultdict(lambda: defaultdict(int))
        )
        for number, group in enumerate(self.groups):
            for each in group.shape.yields:
                given[each.resource][each.period][self.counts[number]] += each.units
        return given

    def rank_stages(self) -> list[Stage]:
        ranks = sorted({group.shape.rank for group in self.groups})
        return [
            Stage(
                {
                    column: 1
                    for column, group in zip(self.counts, self.groups, strict=True)
                    if group.shape.rank == rank
                },
                most=True,
            )
            for rank in ranks
        ]

    def tie_stages(self) -> list[Stage]:
        """Least penalty, then least lack, each first of what is early; dates; marks; options named first."""
        first = min(group.shape.dated for group in self.groups)
        dates = {
            column: group.shape.dated - first for column, group in zip(self.counts, self.groups, strict=True)
        }
        early = [self._penalties(self.store.early)] if self._has_later() else []
        lacks = [self._weighed(columns) for columns in (self.early_lacks, self.lacks) if columns]
        costs = [*early, self._penalties(), *lacks, dates, self._marks(), self._preferences()]
        return [Stage(each) for each in costs]

    def _has_later(self) -> bool:
        early = self.store.early
        return early is not None and len({group.shape.period <= early for group in self.groups}) == 2

    def _weighed(self, columns: Mapping[int, int]) -> dict[int, int]:
        weights = {column: self.store.resources[resource].weight for resource, column in columns.items()}
        return in_least_terms(weights)

    def _penalties(self, until: int | None = None) -> dict[int, int]:
        costs: dict[int, int] = defaultdict(int)
        for number, group in enumerate(self.groups):
            if until is not None and group.shape.period > until:
                continue
            costs[self.counts[number]] += group.shape.penalty
            for ask, columns in zip(group.shape.asks, self.shares[number], strict=True):
                for place, option in enumerate(ask.options):
                    column, many = (columns[place], 1) if columns else (self.counts[number], ask.units)
                    costs[column] += option.penalty * many
        return costs

    def _preferences(self) -> dict[int, int]:
        return {
            column: place
            for shares in self.shares
            for columns in shares
            for place, column in enumerate(columns)
        }

    def _marks(self) -> dict[int, int]:
        """Equal bundles cost their own marks, the least first: a column for each where there are several."""
        least_mark = min(group.members[0][0] for group in self.groups)
        costs = {}
        for column, group in zip(self.counts, self.groups, strict=True):
            if len(group.members) == 1:
                costs[column] = group.members[0][0] - least_mark
                continue
            own = [self.programme.column(0, 1) for _ in group.members]
            self.programme.row(0, 0, {**dict.fromkeys(own, 1), column: -1})
            costs |= {each: mark - least_mark for each, (mark, _) in zip(own, group.members, strict=True)}
        return costs

    def buying_stages(self, resources: Sequence[Resource]) -> list[Stage]:
        weights = {column: resources[resource].weight for resource, column in self.purchases.items()}
        costs = {column: resources[resource].cost for resource, column in self.purchases.items()}
        return [
            Stage(in_least_terms(weights)), Stage(in_least_terms(costs)), Stage(self._preferences())
        ]  # fmt: skip

    def is_whole(self, outcome: ProgrammeOutcome) -> bool:
        columns = [*self.counts, *self.purchases.values(), *self._preferences()]
        return all(abs(outcome.values[column] - round(outcome.values[column])) < 1e-5 for column in columns)

    def answer(self, outcome: ProgrammeOutcome) -> ComponentAnswer:
        """The counts and shares of an outcome, dealt to the single bundles."""
        dealt: dict[int, tuple[Reduced, Served]] = {}
        for number, group in enumerate(self.groups):
            taken = round(outcome.values[self.counts[number]])
            served = [
                [round(outcome.values[column]) for column in columns] if columns else [taken * ask.units]
                for ask, columns in zip(group.shape.asks, self.shares[number], strict=True)
            ]
            dealt |= share_out(group, taken, served)
        return ComponentAnswer(dealt)

    def bought(self, outcome: ProgrammeOutcome) -> dict[int, int]:
        return {
            resource: units
            for resource, column in self.purchases.items()
            if (units := round(outcome.values[column])) > 0
        }


def in_least_terms(costs: Mapping[int, int]) -> dict[int, int]:
    """The costs divided by what divides them all: the solver, which reckons in floats, loses its way in
    numbers of twelve digits.
    """
    divisor = math.gcd(*costs.values()) or 1
    return {column: cost // divisor for column, cost in costs.items()}
