"""Which parts may serve a line, best first."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from reconcile.standards import preferred_lengths, standard_thread_length
from reconcile.values.frames.frame import Joint, Window
from reconcile.values.stock.parts import Bolt, Part, Stock, Thread
from reconcile.values.week.jobs import Choice
from reconcile.values.words import fold

ONE = Fraction(1)
ANY_GRADE = 0


@dataclass(frozen=True, slots=True)
class Racked:
    """A stock bolt on its rack, with its grade folded for comparing."""

    part: Part
    bolt: Bolt
    grade: str


@dataclass(slots=True)
class Racks:
    """The stock sheet arranged for choosing: bolts by thread and head, in the order of the sheet.

    ``wanted`` gathers the bolts that no stock part serves, by designation, as the choosing meets them.
    """

    stock: Stock
    exact_only: bool = False
    bolts: dict[tuple[Thread, str], list[Racked]] = field(default_factory=dict)
    wanted: dict[str, Part] = field(default_factory=dict)
    _chosen: dict[tuple[int, Fraction], tuple[Choice, ...]] = field(default_factory=dict)
    """By identity of the joint, whose frame outlives the racks: hashing one is dearer than choosing."""

    def __post_init__(self) -> None:
        for part in self.stock.parts.values():
            if part.bolt is not None:
                kept = self.bolts.setdefault((part.bolt.thread, fold(part.bolt.head)), [])
                kept.append(Racked(part, part.bolt, fold(part.bolt.grade)))

    def lists(self, number: str) -> bool:
        return number in self.stock.parts

    def of(self, joint: Joint) -> list[tuple[int, Racked]]:
        """The bolts of the joint's thread and head in an accepted grade, each with its grade's rank."""
        racked = self.bolts.get((joint.thread, fold(joint.head)), [])
        if not joint.grades:
            return [(ANY_GRADE, each) for each in racked]
        accepted = {fold(grade): rank for rank, grade in reversed(list(enumerate(joint.grades)))}
        return [(accepted[each.grade], each) for each in racked if each.grade in accepted]

    def bolt_choices(self, joint: Joint, steps: int, options: frozenset[str]) -> tuple[Choice, ...]:
        """Every stock bolt that clamps, holds and does not bottom out; else a bolt to be bought.

        Order: nearest to the length asked for, the longer, the better grade, the row of the sheet.
        """
        added = joint.added(steps, options)
        found = self._chosen.get((id(joint), added))
        if found is None:
            found = self._chosen[id(joint), added] = self._choose_bolts(joint, steps, options)
        return found

    def _choose_bolts(self, joint: Joint, steps: int, options: frozenset[str]) -> tuple[Choice, ...]:
        wanted = joint.length_at(steps, options)
        window, grip = joint.window_at(steps, options), joint.grip_at(steps, options)
        found = []
        for rank, racked in self.of(joint):
            bolt = racked.bolt
            if self._fits(bolt.length, wanted, window) and not shank_bottoms(bolt, grip):
                key = (abs(bolt.length - wanted), -bolt.length, rank, racked.part.row)
                found.append((key, offer(racked.part.number, bolt, wanted, window, grip)))
        if found:
            found.sort(key=lambda each: each[0])
            return tuple(choice for _, choice in found)
        return (self._to_buy(joint, wanted, window, grip),)

    def _fits(self, length: Fraction, wanted: Fraction, window: Window | None) -> bool:
        if window is None or self.exact_only:
            return length == wanted
        return length in window

    def _to_buy(self, joint: Joint, wanted: Fraction, window: Window | None, grip: Fraction | None) -> Choice:
        length = wanted if self.exact_only else length_to_buy(joint, wanted, window)
        bolt = Bolt(joint.thread, length, joint.head, joint.grades[0] if joint.grades else "")
        number = bolt.designation
        self.wanted.setdefault(number, Part(number, description=number, kind="bolt", bolt=bolt, new=True))
        return offer(number, bolt, wanted, window, grip)

    def spacer_choices(self, joint: Joint, thickness: Fraction) -> tuple[Choice, ...]:
        """Every multiset of the joint's spacers that adds up exactly to ``thickness`` (mm).

        Fewer pieces first, then more of the spacer listed first. One unit is one stack.
        """
        kinds = joint.spacers
        sets = sorted(stacks([each.thickness for each in kinds], thickness), key=fewest_then_first)
        return tuple(
            Choice(tuple((kind.part, Fraction(n)) for kind, n in zip(kinds, counts, strict=True) if n))
            for counts in sets
        )


def threaded_length(bolt: Bolt) -> Fraction | None:
    """As the sheet states it, else by the standard of its head; None where neither is known."""
    return bolt.thread_length if bolt.thread_length is not None else standard_thread_length(bolt)


def shank_bottoms(bolt: Bolt, grip: Fraction | None) -> bool:
    """The plain shank is longer than the grip: the bolt would bottom on it before it clamps."""
    threaded = threaded_length(bolt)
    return grip is not None and threaded is not None and bolt.length - threaded > grip


def offer(number: str, bolt: Bolt, wanted: Fraction, window: Window | None, grip: Fraction | None) -> Choice:
    cautions = []
    if window is not None and window.rule_of_thumb:
        cautions.append("least engagement is common practice, not the frame maker's figure")
    if threaded_length(bolt) is None:
        cautions.append("thread length not stated: taken as threaded to the head")
    return Choice(
        parts=((number, ONE),),
        substitute=bolt.length != wanted,
        length=bolt.length,
        engagement=None if grip is None else bolt.length - grip,
        cautions=tuple(cautions),
    )


def length_to_buy(joint: Joint, wanted: Fraction, window: Window | None) -> Fraction:
    """The length asked for if it is a preferred one, else the preferred length nearest in the window."""
    preferred = preferred_lengths(joint.thread, joint.head)
    if preferred is None or window is None or wanted in preferred:
        return wanted
    inside = [length for length in preferred if length in window]
    return min(inside, key=lambda length: (abs(length - wanted), -length), default=wanted)


def stacks(thicknesses: list[Fraction], total: Fraction) -> Iterator[tuple[int, ...]]:
    """Every way to reach ``total`` exactly with whole numbers of the thicknesses."""
    if not thicknesses:
        if total == 0:
            yield ()
        return
    first, *others = thicknesses
    if not others:
        count, left = divmod(total, first)
        if left == 0:
            yield (int(count),)
        return
    for count in range(int(total // first), -1, -1):
        for rest in stacks(others, total - count * first):
            yield (count, *rest)


def fewest_then_first(counts: tuple[int, ...]) -> tuple[int, ...]:
    return (sum(counts), *(-count for count in counts))


def recovered_bolts(joint: Joint, length: Fraction, racks: Racks) -> tuple[list[str], bool]:
    """The stock part that a removed bolt becomes: of exactly its specification, the first row.

    None of them, and True, where the parts that it may be differ in grade or finish.
    """
    same = [racked for _, racked in racks.of(joint) if racked.bolt.length == length]
    if len({(racked.grade, fold(racked.part.finish)) for racked in same}) > 1:
        return [], True
    first = min(same, key=lambda racked: racked.part.row, default=None)
    return ([] if first is None else [first.part.number]), False
