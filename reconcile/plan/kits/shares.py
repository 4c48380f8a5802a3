"""Lines of a chair that one choice has to serve: a joint's bolts, its stacks, alike on both sides."""

from collections.abc import Sequence
from fractions import Fraction

from reconcile.values.records import dataclass
from reconcile.values.week.jobs import Choice, Line

SHARED = ("bolt", "spacer")


@dataclass(frozen=True, slots=True)
class Share:
    """Lines of one chair that are served together: a joint's bolts, or its stacks, alike on both sides.

    On one chair all of them are served by one and the same choice. A line that is no joint's is alone, and
    is served unit by unit.
    """

    places: tuple[int, ...]
    """Where its lines stand among those of the chair."""
    quantity: Fraction
    """Of all its lines, for one chair."""
    choices: tuple[Choice, ...]
    of_a_chair: bool


def shares_of(lines: Sequence[Line]) -> list[Share]:
    """The lines to fit, those together that one choice has to serve, in the order of their first lines."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, line in enumerate(lines):
        if line.do == "fit" and line.choices:
            groups.setdefault(served_with(line, place), []).append(place)
    return [
        Share(
            tuple(places),
            sum((lines[place].quantity for place in places), Fraction(0)),
            lines[places[0]].choices,
            lines[places[0]].what in SHARED,
        )
        for places in groups.values()
    ]


def served_with(line: Line, place: int) -> tuple[object, ...]:
    """Equal for lines that one choice has to serve."""
    if line.what in SHARED:
        return (line.what, line.name, line.length, line.choices, line.chair)
    return (place,)
