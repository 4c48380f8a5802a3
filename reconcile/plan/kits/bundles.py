"""Jobs as bundles: the lines that a job needs, in numbers for the choosing.

Each part is a resource, counted in whole numbers of a small unit of its own; each line to fit is an ask whose
options are the line's choices; a day is a period. What a job gives back is a yield.
"""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from reconcile.plan.flows.supply import FROM_THE_START, Demand, Supply
from reconcile.plan.kits.shares import Share, shares_of
from reconcile.plan.solver.packing import Ask, Bundle, Option, Resource, Served, Yield
from reconcile.values.stock.parts import Part
from reconcile.values.week.jobs import Choice, Line
from reconcile.values.week.results import ServedLine

Takes = dict[str, Fraction]


@dataclass(frozen=True, slots=True)
class Serving:
    """A job's lines with the parts that serve them, and what that takes of each part."""

    lines: tuple[ServedLine, ...]
    takes: Takes
    number: int
    """Its own among the servings of one choosing: jobs of one kind that are served alike share it."""


class Bundles:
    """Demands in numbers, and the way back.

    ``like``: of the first of these demands, with the same supplies; what it worked out holds here too, where
    the demands behind them change no number.
    """

    def __init__(
        self,
        demands: list[Demand],
        supplies: Mapping[str, Supply],
        parts: Mapping[str, Part],
        like: "Bundles | None" = None,
    ) -> None:
        self.demands = demands
        self.kinds = {demand.alike: demand for demand in demands}
        self.numbers = {number: place for place, number in enumerate(supplies)}
        known = like if like is not None and begins_as(self.numbers, like.numbers) else None
        new = [kind for key, kind in self.kinds.items() if known is None or key not in known.kinds]
        self.scales: dict[str, int] = small_units(new, supplies, known.scales if known else {})
        same = known if known is not None and self.scales.items() >= known.scales.items() else None
        self.resources = [
            self._resource(number, supply, parts[number]) for number, supply in supplies.items()
        ]
        self._asks: dict[tuple[int, int], tuple[Ask, ...]] = dict(same._asks) if same else {}
        self._servings: dict[tuple[tuple[int, int], Served | None], Serving] = (
            dict(same._servings) if same else {}
        )
        self.marks = marks_of(demands)
        self.at = {mark: place for place, mark in enumerate(self.marks)}

    def _resource(self, number: str, supply: Supply, part: Part) -> Resource:
        scale = self.scales[number]
        incoming = {FROM_THE_START: int(supply.shelf * scale)}
        for arrival in supply.arrivals:
            period = arrival.day.toordinal()
            incoming[period] = incoming.get(period, 0) + int(arrival.quantity * scale)
        # One unit weighs the same whatever its small unit; money is counted in millionths.
        coarse = math.lcm(*set(self.scales.values()))
        price = Fraction(part.price or 0)
        open_from = None if supply.open_from is None else supply.open_from.toordinal()
        return Resource(incoming, coarse // scale, int(price * 1_000_000 * coarse / scale), open_from)

    def asks(self, demand: Demand) -> tuple[Ask, ...]:
        found = self._asks.get(demand.alike)
        if found is None:
            found = self._asks[demand.alike] = tuple(
                self._ask(share, demand.chairs) for share in shares_of(demand.lines)
            )
        return found

    def _ask(self, share: Share, chairs: int) -> Ask:
        """With one choice it is one unit that takes all of it; with several, each chair's share has its own.

        What is no share of a chair is served unit by unit.
        """
        whole = share.quantity * chairs
        choices = share.choices
        if len(choices) == 1 or whole.denominator != 1:
            penalty = math.ceil(whole) if choices[0].substitute else 0
            return Ask(1, (Option(self._uses(choices[0], whole), penalty),))
        units, of_a_unit = (chairs, share.quantity) if share.of_a_chair else (whole.numerator, Fraction(1))
        return Ask(
            units,
            tuple(
                Option(self._uses(choice, of_a_unit), math.ceil(of_a_unit) if choice.substitute else 0)
                for choice in choices
            ),
        )

    def _uses(self, choice: Choice, quantity: Fraction) -> tuple[tuple[int, int], ...]:
        return tuple(
            (self.numbers[number], int(count * quantity * self.scales[number]))
            for number, count in choice.parts
        )

    def yields(self, demand: Demand) -> tuple[Yield, ...]:
        period = demand.usable.toordinal()
        return tuple(
            Yield(self.numbers[number], int(quantity * self.scales[number]), period)
            for number, quantity in demand.gives.items()
        )

    def bundles(self, places: Iterable[int]) -> list[Bundle]:
        """The demands at these places, equal ones of a day and priority together."""
        groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
        for place in places:
            demand = self.demands[place]
            groups[demand.alike, demand.when, demand.job.day, demand.job.priority].append(place)
        made = []
        kinds: dict[tuple[int, int], int] = {}
        for group in groups.values():
            demand = self.demands[group[0]]
            marks = tuple(sorted(self.marks[place] for place in group))
            made.append(
                Bundle(
                    demand.job.priority,
                    demand.when.toordinal(),
                    self.asks(demand),
                    marks,
                    self.yields(demand),
                    date=demand.job.day.toordinal(),
                    kind=kinds.setdefault(demand.alike, len(kinds)),
                )
            )
        return made

    def serving(self, demand: Demand, served: Served | None = None) -> Serving:
        """The lines with the parts that serve them: as given, or each by its first choice."""
        key = (demand.alike, served)
        found = self._servings.get(key)
        if found is None:
            lines, takes = serve_lines(demand, self.asks(demand), served)
            found = self._servings[key] = Serving(lines, takes, len(self._servings))
        return found


def lines_to_fit(lines: Iterable[Line]) -> Iterator[Line]:
    return (line for line in lines if line.do == "fit" and line.choices)


def marks_of(demands: list[Demand]) -> list[int]:
    """The row numbers of the sheet; places in the list where rows are not told apart."""
    rows = [demand.job.place.row for demand in demands]
    return rows if len(set(rows)) == len(rows) else list(range(len(rows)))


def begins_as(numbers: Mapping[str, int], known: Mapping[str, int]) -> bool:
    """Whether the first parts have the numbers that they have elsewhere."""
    return all(one == other for one, other in zip(numbers, known, strict=False)) and len(known) <= len(
        numbers
    )


def small_units(
    kinds: Iterable[Demand], supplies: Mapping[str, Supply], known: Mapping[str, int] | None = None
) -> dict[str, int]:
    """For each part the number of small units in one unit, so that every quantity is whole.

    ``known``: what others than these ``kinds`` need already.
    """
    known = known or {}
    scales = {
        number: known.get(number)
        or math.lcm(supply.shelf.denominator, *(arrival.quantity.denominator for arrival in supply.arrivals))
        for number, supply in supplies.items()
    }
    for demand in kinds:
        for number, quantity in demand.gives.items():
            scales[number] = math.lcm(scales[number], quantity.denominator)
        for line in lines_to_fit(demand.lines):
            for choice in line.choices:
                for number, count in choice.parts:
                    quantity = count * line.quantity * demand.chairs
                    scales[number] = math.lcm(scales[number], count.denominator, quantity.denominator)
    return scales


def serve_lines(
    demand: Demand, asks: tuple[Ask, ...], served: Served | None
) -> tuple[tuple[ServedLine, ...], Takes]:
    """Every line of all chairs with the parts that serve it; without ``served``, by first choices."""
    chairs, takes = demand.chairs, dict[str, Fraction]()
    shared: dict[int, list[tuple[Choice, Fraction]]] = {}
    for number, share in enumerate(shares_of(demand.lines)):
        dealt = dealt_out(share, chairs, asks[number], None if served is None else served[number])
        for place in share.places:
            part_of_it = demand.lines[place].quantity / share.quantity
            shared[place] = [(choice, amount * part_of_it) for choice, amount in dealt]
    lines = tuple(
        served_line(line, line.quantity * chairs, shared[place])
        if place in shared
        else taken_off(line, chairs)
        for place, line in enumerate(demand.lines)
    )
    for kit_line in lines:
        for part, quantity in kit_line.parts if kit_line.line.do == "fit" else ():
            takes[part] = takes.get(part, Fraction(0)) + quantity
    return lines, takes


def dealt_out(
    share: Share, chairs: int, ask: Ask, units: tuple[int, ...] | None
) -> list[tuple[Choice, Fraction]]:
    """How much of a share of all chairs each choice serves."""
    whole = share.quantity * chairs
    if units is None or len(ask.options) == 1:
        return [(share.choices[0], whole)]
    of_a_unit = whole / ask.units
    return [(choice, count * of_a_unit) for choice, count in zip(share.choices, units, strict=True) if count]


def taken_off(line: Line, chairs: int) -> ServedLine:
    """A line to remove with what comes off, or one to fit that nothing serves."""
    pieces = tuple((number, count * chairs) for number, count in line.pieces)
    return ServedLine(line, line.quantity * chairs, pieces)


def served_line(line: Line, quantity: Fraction, served: list[tuple[Choice, Fraction]]) -> ServedLine:
    parts: dict[str, Fraction] = {}
    for choice, share in served:
        for number, count in choice.parts:
            parts[number] = parts.get(number, Fraction(0)) + count * share
    cautions = dict.fromkeys(caution for choice, _ in served for caution in choice.cautions)
    substitute = any(choice.substitute for choice, _ in served)
    return ServedLine(line, quantity, tuple(parts.items()), substitute, tuple(cautions), tuple(served))
