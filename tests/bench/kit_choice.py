"""How long the exact choice of kits takes, beside other ways to the same answer.

Weeks of jobs with 10 lines each over 500 parts, of which one line in seven draws on a scarce part. Three
ways, side by side in one run: ours (reduced, equal jobs together, stage by stage), the same programme handed
to the solver whole, and OR-Tools CP-SAT on the whole. Also the bare LP relaxation of the whole.

With ``--weeks 8`` the jobs lie in so many weeks and parts have lead times: four in five can be ordered in
time from some day of the first three weeks on, and the first week is the one that is asked about.

With ``--shares`` a line with a choice is a joint's share of one chair: one choice serves all its units. Times
are the processor's.

    python tests/bench/kit_choice.py [--jobs 50 500 5000] [--rounds 3] [--hard] [--weeks 8] [--shares]
        [--no-others]
"""

import argparse
import random
import statistics
import time
from collections import defaultdict
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from reconcile.plan.solver.packing import Ask, Bundle, Option, Reduced, Resource, grouped
from reconcile.plan.solver.packing_solver import Model, Store, most, take_in_turn
from reconcile.plan.solver.programme import Programme, Stage, solve

Way = Callable[[list[Bundle], list[Resource], float], tuple[str, bool, int]]

PARTS, LINES, DAYS, PRIORITIES = 500, 10, 5, 3


def week(
    jobs: int, seed: int, *, hard: bool, weeks: int = 1, shares: bool = False
) -> tuple[list[Bundle], list[Resource]]:
    """Jobs of some hundred kinds; scarce parts are there to 85 to 98 in a hundred of what is asked."""
    dice = random.Random(seed)
    scarce = set(dice.sample(range(PARTS), PARTS * 2 // 5 if hard else PARTS // 7))
    asked: dict[int, int] = defaultdict(int)
    bundles = []
    for mark in range(jobs):
        asks = tuple(one_ask(dice, hard=hard) for _ in range(LINES))
        for ask in asks:
            asked[ask.options[0].uses[0][0]] += ask.units * ask.options[0].uses[0][1]
        day = dice.randint(1, DAYS * weeks)
        asks = tuple(map(as_share, asks)) if shares else asks
        bundles.append(Bundle(dice.randint(1, PRIORITIES), day, asks, (mark,), kind=mark))
    resources = []
    for part in range(PARTS):
        share = dice.uniform(0.85, 0.98) if part in scarce else 2.5
        there = int(asked[part] * share)
        early = there * 3 // 5 if part in scarce else there
        later = dice.randint(2, 4) if weeks == 1 else dice.randint(2, DAYS * weeks - 1)
        opens = dice.choice((None, 2, 4, 7, 12)) if weeks > 1 else None
        resources.append(Resource({0: early, later: there - early}, open_from=opens))
    return bundles, resources


def one_ask(dice: random.Random, *, hard: bool) -> Ask:
    """A line for one to four units; three in ten may also be served by the next part, as a substitute."""
    part, units = dice.randrange(PARTS), dice.randint(1, 4)
    if hard or dice.random() < 0.7:
        return Ask(1, (Option(((part, units),)),))
    return Ask(units, (Option(((part, 1),)), Option((((part + 1) % PARTS, 1),), 1)))


def as_share(ask: Ask) -> Ask:
    """All units by one and the same option."""
    if len(ask.options) == 1:
        return ask
    options = (
        Option(tuple((part, units * ask.units) for part, units in option.uses), option.penalty * ask.units)
        for option in ask.options
    )
    return Ask(1, tuple(options))


def ours(bundles: list[Bundle], resources: list[Resource], patience: float) -> tuple[str, bool, int]:
    packed = most(bundles, resources, patience, early=DAYS)
    return f"{len(packed.taken)} kits (by hand {len(packed.by_hand)})", packed.proven, packed.gap


def whole(bundles: list[Bundle], resources: list[Resource], patience: float) -> tuple[str, bool, int]:
    """The same stages on the unreduced programme, a column for each job."""
    model = whole_model(bundles, resources)
    stages = [*model.rank_stages(), *model.tie_stages()]
    outcome = solve(model.programme, stages, patience)
    kits = sum(round(outcome.values[column]) for column in model.counts) if outcome.values else 0
    return f"{kits} kits", outcome.proven, 0


def whole_model(bundles: list[Bundle], resources: list[Resource]) -> Model:
    groups = []
    for place, bundle in enumerate(bundles):
        groups += grouped([Reduced(bundle, place, tuple(range(len(bundle.asks))))])
    return Model(groups, store_of(resources), whole=False)


def relaxed(bundles: list[Bundle], resources: list[Resource], patience: float) -> tuple[str, bool, int]:
    """The bare LP relaxation of the whole, for one stage: as many kits as can be, in fractions."""
    model = whole_model(bundles, resources)
    programme: Programme = model.programme
    programme.whole = [False] * len(programme.whole)
    outcome = solve(programme, [Stage(dict.fromkeys(model.counts, 1), most=True)], patience)
    return f"{sum(outcome.values[column] for column in model.counts):.1f} kits", outcome.proven, 0


def cp_sat(bundles: list[Bundle], resources: list[Resource], patience: float) -> tuple[str, bool, int]:
    """The stages of the counts alone, by another solver."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    taken = [model.new_bool_var("") for _ in bundles]
    used: dict[tuple[int, int], list[object]] = defaultdict(list)
    for bundle, take in zip(bundles, taken, strict=True):
        for ask in bundle.asks:
            shares = (
                [take]
                if len(ask.options) == 1
                else [model.new_int_var(0, ask.units, "") for _ in ask.options]
            )
            if len(ask.options) > 1:
                model.add(sum(shares) == ask.units * take)
            many = ask.units if len(ask.options) == 1 else 1
            for option, share in zip(ask.options, shares, strict=True):
                for part, units in option.uses:
                    used[part, bundle.period].append(units * many * share)
    for part, resource in enumerate(resources):
        terms: list[object] = []
        for day in range(1, DAYS + 1):
            terms += used[part, day]
            model.add(sum(terms) <= sum(units for period, units in resource.supply.items() if period <= day))
    deadline, proven, kits = time.monotonic() + patience, True, 0
    for rank in range(1, PRIORITIES + 1):
        own = sum(take for bundle, take in zip(bundles, taken, strict=True) if bundle.rank == rank)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = max(deadline - time.monotonic(), 0.1)
        solver.parameters.num_workers = 2
        model.maximize(own)
        proven = solver.solve(model) == cp_model.OPTIMAL and proven
        kits += round(solver.objective_value)
        model.add(own >= round(solver.objective_value))
    return f"{kits} kits", proven, 0


def store_of(resources: list[Resource]) -> Store:
    return Store({place: dict(each.supply) for place, each in enumerate(resources)}, resources)


def by_hand(bundles: list[Bundle], resources: list[Resource], patience: float) -> tuple[str, bool, int]:
    groups = grouped([Reduced(bundle, place, tuple(range(LINES))) for place, bundle in enumerate(bundles)])
    answer = take_in_turn(groups, store_of(resources))
    return f"{len(answer.dealt)} kits", False, 0


def timed(  # noqa: PLR0917
    way: Way, jobs: int, seed: int, hard: bool, patience: float, weeks: int, shares: bool
) -> tuple[float, str]:
    """One week one way, in a process of its own: the two solvers cannot live in one."""
    most(
        [Bundle(1, 1, (Ask(1, (Option(((0, 1),)),)),), (0, 1), kind=0)], [Resource({0: 1})]
    ) if way is not cp_sat else None
    bundles, resources = week(jobs, seed, hard=hard, weeks=weeks, shares=shares)
    start = time.process_time()
    kits, proven, gap = way(bundles, resources, patience)
    return time.process_time() - start, f"{kits}, {'proven' if proven else f'not proven, gap {gap}'}"


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--jobs", type=int, nargs="+", default=[50, 500, 5000])
    asked.add_argument("--rounds", type=int, default=3)
    asked.add_argument("--patience", type=float, default=60)
    asked.add_argument("--hard", action="store_true", help="two lines in five scarce, one choice a line")
    asked.add_argument("--weeks", type=int, default=1, help="more than one: with lead times; ours alone")
    asked.add_argument("--shares", action="store_true", help="one choice for all units of a line")
    asked.add_argument("--no-others", action="store_true", help="ours and first come, first served alone")
    words = asked.parse_args()
    ways: list[Way] = (
        [ours, by_hand] if words.no_others or words.weeks > 1 else [ours, by_hand, relaxed, whole, cp_sat]
    )
    for jobs in words.jobs:
        for way in ways:
            with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as alone:
                found = [
                    alone.submit(
                        timed, way, jobs, seed, words.hard, words.patience, words.weeks, words.shares
                    ).result()
                    for seed in range(words.rounds)
                ]
            times = [seconds for seconds, _ in found]
            spread = f"({min(times):.3f} to {max(times):.3f})"
            told = f"{statistics.median(times):8.3f} s  {spread}  {found[-1][1]}"
            print(f"{jobs:>6} jobs  {way.__name__:<8} {told}", flush=True)


if __name__ == "__main__":
    main()
