"""Shelf levels from use: for each part its record, the use of its lead time, and the levels that serve it.

Every level is a whole number of the part's smallest step, and so exact; what it rests on are estimates.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile.plan.levels.forecasts import choose
from reconcile.plan.levels.money.plain import plain_point
from reconcile.plan.levels.money.shelf import NONE_KEPT, Aim, Stall, jobs_of_year, served, trade_point
from reconcile.plan.levels.reasons import reasons_for
from reconcile.plan.levels.search import Ladder, Point, Task, ladders
from reconcile.plan.levels.studies import Study, given_task, sought, studies_of
from reconcile.plan.levels.usage import weekly_usage
from reconcile.values.days import WorkDays
from reconcile.values.rules import CYCLE, FILL, LevelRules
from reconcile.values.stock.parts import Part, Stock
from reconcile.values.trade_codes import minor_places
from reconcile.values.week.levels import (
    FADING,
    GIVEN,
    PLAIN,
    PROPOSED,
    Forecast,
    PartLevels,
    ServicePoint,
    Trade,
    WeekLaw,
    WeeklyUsage,
)

FAR_ABOVE = 3
"""A reorder point above so many times the greatest need of a lead time is to be looked at by a person before
anything is ordered by it: common practice, no source."""

WEEKS_A_YEAR = 365.25 / 7
USUAL_RULES = LevelRules()


@dataclass(frozen=True, slots=True)
class Proposals:
    """A proposal, or the reason why there is none, for every part that the usage sheet names."""

    levels: tuple[PartLevels, ...]
    trade: Trade | None
    """Service against money; None where nothing has a price."""


def propose(
    stock: Stock, today: date, days: WorkDays, rules: LevelRules = USUAL_RULES
) -> tuple[PartLevels, ...]:
    """A proposal, or the reason why there is none, for every part of the stock that the usage sheet names.

    In the order of the stock sheet. Nothing is applied: see ``with_levels``.
    """
    return propose_all(stock, today, days, rules, curve=False).levels


def propose_all(
    stock: Stock, today: date, days: WorkDays, rules: LevelRules = USUAL_RULES, *, curve: bool = True
) -> Proposals:
    """The same, with service against money where ``curve`` asks for it."""
    known, judged, bench = _benched(stock, today, days, rules)
    proposed = {levels.part.number: levels for levels in bench.levels()}
    levels = tuple(
        proposed.get(part.number) or PartLevels(part, usage, why_none=str(study))
        for (part, usage), study in zip(known, judged, strict=True)
    )
    return Proposals(levels, bench.trade() if curve else None)


def levels_for(
    stock: Stock, today: date, days: WorkDays, rules: LevelRules, services: Iterable[Fraction]
) -> dict[Fraction, dict[str, tuple[Fraction, Fraction]]]:
    """By service and part number reorder point and order up to, all set together; a budget is passed over."""
    _, _, bench = _benched(stock, today, days, replace(rules, budget=None))
    return {service: bench.levels_at(service) for service in services}


def _benched(
    stock: Stock, today: date, days: WorkDays, rules: LevelRules
) -> "tuple[list[tuple[Part, WeeklyUsage]], list[Study | str], Bench]":
    """Parts with use, the study of each or what it would take, and all of them worked out."""
    rules = served(rules, stock.usage, today)
    by_part = {week.part: week for week in weekly_usage(stock.usage, today)}
    known = [(part, by_part[number]) for number, part in stock.parts.items() if number in by_part]
    unused = [part for number, part in stock.parts.items() if number not in by_part]
    judged = studies_of(known, unused, days, rules)
    studies = [study for study in judged if isinstance(study, Study)]
    return known, judged, Bench.of(studies, stock, today, rules)


def with_levels(stock: Stock, proposals: Iterable[PartLevels], named: Iterable[str] = ()) -> Stock:
    """The stock with the proposed levels in place of the given ones; parts without a proposal keep theirs.

    So do parts whose proposal is to be looked at first, but for those ``named``.
    """
    parts, even = dict(stock.parts), set(named)
    for proposal in proposals:
        number = proposal.part.number
        if proposal.proposed is None or number not in parts or (proposal.look and number not in even):
            continue
        parts[number] = replace(
            parts[number],
            reorder_point=proposal.proposed.reorder_point,
            order_up_to=proposal.proposed.order_up_to,
        )
    return replace(stock, parts=parts)


@dataclass(frozen=True, slots=True)
class Bench:
    """All parts to be worked out, each with its ladder; what is set together, and to which points."""

    studies: Sequence[Study]
    rules: LevelRules
    tasks: Sequence[Task]
    own: Sequence[Ladder]
    given: Sequence[tuple[Task, Ladder] | None]
    aim: Aim
    """Those that are set together, if that is asked for; else for the curve alone."""
    places: Sequence[int]
    """Of the stalls of the aim among the studies."""
    points: Sequence[int]
    """The reorder point of each study, in steps."""
    today: date

    @classmethod
    def of(cls, studies: Sequence[Study], stock: Stock, today: date, rules: LevelRules) -> "Bench":
        tasks = [sought(study, rules) for study in studies]
        asked = [given_task(study) for study in studies]
        apart = [place for place, task in enumerate(asked) if task and _unlike(task, tasks[place])]
        worked = ladders([*tasks, *(task for place in apart if (task := asked[place]))])
        own, others = worked[: len(tasks)], dict(zip(apart, worked[len(tasks) :], strict=True))
        given = [
            None if task is None else (task, others.get(place, own[place]))
            for place, task in enumerate(asked)
        ]
        places = set_together(studies)
        stalls = [Stall(studies[at].part, tasks[at], own[at], studies[at].chance) for at in places]
        jobs = jobs_of_year(stock.usage, today, frozenset(stall.part.number for stall in stalls))
        aim = Aim(stalls, rules, jobs)
        alone = CYCLE if not rules.together else FILL
        points = [ladder.least(alone, float(rules.service)) for ladder in own]
        if rules.together and stalls:
            for place, point in zip(places, aim.points(), strict=True):
                points[place] = point
        return cls(studies, rules, tasks, own, given, aim, places, points, today)

    def levels_at(self, service: Fraction) -> dict[str, tuple[Fraction, Fraction]]:
        """By part number the levels for another service."""
        points = [ladder.least(FILL, float(service)) for ladder in self.own]
        for place, point in zip(self.places, self.aim.points_for(service), strict=True):
            points[place] = point
        found = {}
        for study, task, ladder, point in zip(self.studies, self.tasks, self.own, points, strict=True):
            row = point_of(study.part, task, ladder, point, None)
            found[study.part.number] = (row.reorder_point, row.order_up_to)
        return found

    def levels(self) -> Iterable[PartLevels]:
        together = set(self.places) if self.rules.together else set()
        for place, (study, forecast) in enumerate(zip(self.studies, forecasts_of(self.studies), strict=True)):
            levels = self._levels(place, study, forecast)
            levels = replace(levels, alone=self.rules.together and place not in together)
            yield replace(levels, reasons=reasons_for(levels, self.rules))

    def _levels(self, place: int, study: Study, forecast: Forecast) -> PartLevels:
        task, ladder, given = self.tasks[place], self.own[place], self.given[place]
        alone = CYCLE if not self.rules.together else FILL
        wanted = sorted({*self.rules.table, self.rules.service})
        rows = {each: ladder.point(ladder.least(alone, float(each))) for each in wanted}
        point = self.points[place]
        asked = self.rules.service if self.rules.budget is None else None
        proposed = point_of(study.part, task, ladder, point, asked)
        return PartLevels(
            study.part,
            study.usage,
            study.pattern,
            forecast,
            WeekLaw(study.law.kind, study.lot, study.law.mean, study.law.variance),
            study.lead_weeks,
            proposed,
            None if given is None else _current(study.part, *given),
            _table(study.part, task, rows),
            fewer=None if point == NONE_KEPT else self._fewer(place),
            more=point_of(study.part, task, ladder, point + 1, None),
            greatest_need=study.greatest_need,
            look=proposed.reorder_point > FAR_ABOVE * study.greatest_need,
            kin=f"{study.prior.parts} parts of {study.prior.kin}" if study.prior.kin else "",
        )

    def _fewer(self, place: int) -> ServicePoint | None:
        point = self.points[place]
        return None if point == 0 else point_of(
            self.studies[place].part, self.tasks[place], self.own[place], point - 1, None
        )  # fmt: skip

    def trade(self) -> Trade | None:
        """Of the parts that are, or could be, set together."""
        aim = self.aim
        if not aim.stalls:
            return None
        currency = aim.stalls[0].part.currency
        marks = [trade_point(PROPOSED, *aim.shares([self.points[place] for place in self.places]), currency)]
        plain = [self._plain(place) for place in self.places]
        marks.append(trade_point(PLAIN, *aim.shares(plain), currency))
        given = [self.given[place] for place in self.places]
        if any(given):
            marks.append(trade_point(GIVEN, *self._given_share(plain), currency))
        return Trade(
            aim.measure,
            currency,
            len(aim.stalls),
            tuple(trade_point("", value, share, currency) for value, share in aim.curve()),
            tuple(marks),
            sum(1 for each in given if each),
            len(aim.jobs) if aim.measure != FILL else 0,
        )

    def _plain(self, place: int) -> int:
        study = self.studies[place]
        weeks, span = study.usage.weeks, study.lead_weeks + 1
        return plain_point(weeks, span, self.rules.service, self.tasks[place].step)

    def _given_share(self, plain: Sequence[int]) -> tuple[float, float]:
        """By the given levels, and the plain rule for a part without: its own order sizes, not the given."""
        stalls = []
        points = list(plain)
        for number, place in enumerate(self.places):
            own, stall = self.given[place], self.aim.stalls[number]
            if own is None:
                stalls.append(stall)
                continue
            stalls.append(replace(stall, task=own[0], ladder=own[1]))
            points[number] = own[0].given or 0
        return replace(self.aim, stalls=stalls).shares(points)


def set_together(studies: Sequence[Study]) -> list[int]:
    """Places of the parts that money can be dealt out to: with a price, in the commonest currency."""
    priced = [place for place, study in enumerate(studies) if study.part.price]
    common = Counter(studies[place].part.currency for place in priced).most_common(1)
    return [place for place in priced if studies[place].part.currency == common[0][0]]


def _unlike(given: Task, own: Task) -> bool:
    return (given.ordering, given.step) != (own.ordering, own.step)


def forecasts_of(studies: Sequence[Study]) -> list[Forecast]:
    """In the part's unit. All series are brought to one length: weeks before a part's start do not count."""
    length = max((len(study.usage.weeks) + study.usage.left_out for study in studies), default=0)
    starts = [length - len(study.usage.weeks) for study in studies]
    series = [(0,) * start + study.lots for start, study in zip(starts, studies, strict=True)]
    chosen = choose(
        series,
        starts,
        [study.pattern.kind for study in studies],
        [study.lead_weeks + 1 for study in studies],
    )
    return [_fading(study, forecast) for study, forecast in zip(studies, chosen, strict=True)]


def _fading(study: Study, published: Forecast) -> Forecast:
    """The forecast that the levels rest on, with the published one that did best beside it."""
    lot = float(study.lot)
    own = next(tried for tried in published.tried if tried.method == FADING)
    return replace(
        published,
        method=FADING,
        constant=own.constant,
        chance_constant=None,
        per_week=study.law.mean * lot,
        error=own.error,
        second=replace(published, per_week=published.per_week * lot, tried=()),
    )


def _table(part: Part, task: Task, points: Mapping[Fraction, Point]) -> tuple[ServicePoint, ...]:
    """A row for each wanted service, from low to high, each with what it costs more than the row before."""
    rows: list[ServicePoint] = []
    for wanted, point in points.items():
        row = _service_point(part, task, point, wanted)
        if rows and row.value is not None and rows[-1].value is not None and rows[-1].wanted is not None:
            apart = 100 * float(wanted - rows[-1].wanted)
            row = replace(row, per_point=money(float(row.value - rows[-1].value) / apart, part.currency))
        rows.append(row)
    return tuple(rows)


def money(amount: float, currency: str) -> Decimal:
    """An estimated amount in whole smallest units of the currency."""
    return Decimal(f"{max(amount, 0.0):.{minor_places(currency)}f}")


def _current(part: Part, task: Task, ladder: Ladder) -> ServicePoint:
    row = _service_point(part, task, ladder.point(task.given or 0), None)
    assert part.reorder_point is not None and part.order_up_to is not None
    return replace(row, reorder_point=part.reorder_point, order_up_to=part.order_up_to)


def point_of(part: Part, task: Task, ladder: Ladder, point: int, wanted: Fraction | None) -> ServicePoint:
    """What a reorder point gives, in the part's unit; NONE_KEPT gives nothing and costs nothing."""
    if point == NONE_KEPT:
        nothing = None if part.price is None else money(0.0, part.currency)
        often = ladder.orders * task.ordering.spread * WEEKS_A_YEAR
        return ServicePoint(wanted, Fraction(0), Fraction(0), 0.0, 0.0, 0.0, often, nothing)
    return _service_point(part, task, ladder.point(point), wanted)


def _service_point(part: Part, task: Task, point: Point, wanted: Fraction | None) -> ServicePoint:
    shelf = point.shelf * float(task.step)
    reorder_point = point.reorder_point * task.step
    return ServicePoint(
        wanted=wanted,
        reorder_point=reorder_point,
        order_up_to=reorder_point + task.ordering.spread * task.step,
        cycle=point.cycle,
        fill=point.fill,
        shelf=shelf,
        orders_a_year=point.orders * WEEKS_A_YEAR,
        value=None if part.price is None else money(float(part.price) * shelf, part.currency),
    )
