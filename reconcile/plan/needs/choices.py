"""Which parts may serve a line, best first."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache

from reconcile.standards import preferred_lengths, standard_thread_length
from reconcile.values.frames.frame import Joint, Window
from reconcile.values.stock.parts import AsideRow, Bolt, Part, Stock, Thread
from reconcile.values.week.jobs import Choice
from reconcile.values.words import fold

ONE, NOTHING = Fraction(1), Fraction(0)
Rank = tuple[int, int]
"""Of a bolt's grade and of its finish in the joint's lists, from 0."""
ANY = 0
"""The rank of a grade or a finish where the joint lists none."""


@dataclass(frozen=True, slots=True)
class Racked:
    """A stock bolt on its rack, with its grade and its finish folded for comparing."""

    part: Part
    bolt: Bolt
    grade: str
    finish: str


@dataclass(slots=True)
class Racks:
    """The stock sheet arranged for choosing: bolts by thread and head, in the order of the sheet.

    ``wanted`` gathers the bolts that no stock part serves, by designation, as the choosing meets them.
    """

    stock: Stock
    exact_only: bool = False
    bolts: dict[tuple[Thread, str], list[Racked]] = field(default_factory=dict)
    wanted: dict[str, Part] = field(default_factory=dict)
    _chosen: dict[tuple[Joint, Fraction], tuple[Choice, ...]] = field(default_factory=dict)
    """By identity of the joint, whose frame outlives the racks: hashing one is dearer than choosing."""

    def __post_init__(self) -> None:
        for part in self.stock.parts.values():
            if part.bolt is not None:
                kept = self.bolts.setdefault((part.bolt.thread, fold(part.bolt.head)), [])
                kept.append(Racked(part, part.bolt, fold(part.bolt.grade), fold(part.finish)))

    def lists(self, number: str) -> bool:
        return number in self.stock.parts

    def of(self, joint: Joint) -> list[tuple[Rank, Racked]]:
        """The bolts of the joint's thread and head in an accepted grade and finish, each with its ranks."""
        grades, finishes = ranks(joint.grades), ranks(joint.finishes)
        return [
            ((grades.get(racked.grade, ANY), finishes.get(racked.finish, ANY)), racked)
            for racked in self.bolts.get((joint.thread, fold(joint.head)), [])
            if (not grades or racked.grade in grades) and (not finishes or racked.finish in finishes)
        ]

    def bolt_choices(self, joint: Joint, steps: int, options: frozenset[str]) -> tuple[Choice, ...]:
        """Every stock bolt that clamps, holds and does not bottom out; else a bolt to be bought.

        Order: nearest to the length asked for, the longer, the better grade, the better finish, the row of
        the sheet.
        """
        added = joint.added(steps, options)
        found = self._chosen.get((joint, added))
        if found is None:
            found = self._chosen[joint, added] = self._choose_bolts(joint, steps, options)
        return found

    def _choose_bolts(self, joint: Joint, steps: int, options: frozenset[str]) -> tuple[Choice, ...]:
        wanted = joint.length_at(steps, options)
        window, grip = joint.window_at(steps, options), joint.grip_at(steps, options)
        found = []
        for rank, racked in self.of(joint):
            bolt = racked.bolt
            if self._fits(bolt.length, wanted, window) and not shank_bottoms(bolt, grip, joint.shank_spare):
                key = (abs(bolt.length - wanted), -bolt.length, *rank, racked.part.row)
                found.append((key, offer(racked.part, bolt, joint, wanted, (window, grip))))
        if found:
            found.sort(key=lambda pair: pair[0])
            return tuple(choice for _, choice in found)
        return (self._to_buy(joint, wanted, window, grip),)

    def _fits(self, length: Fraction, wanted: Fraction, window: Window | None) -> bool:
        if window is None or self.exact_only:
            return length == wanted
        return length in window

    def _to_buy(self, joint: Joint, wanted: Fraction, window: Window | None, grip: Fraction | None) -> Choice:
        length = wanted if self.exact_only else length_to_buy(joint, wanted, window)
        grade, finish = (listed[0] if listed else "" for listed in (joint.grades, joint.finishes))
        bolt = Bolt(joint.thread, length, joint.head, grade, finish=finish)
        spare = joint.shank_spare
        if shank_bottoms(bolt, grip, spare) or self._refused_for_shank(joint, length, grip):
            bolt = replace(bolt, thread_length=length)
        number = bolt.designation
        aside = self._set_aside(joint, bolt)
        part = Part(number, description=number, kind="bolt", finish=finish, bolt=bolt, new=True, aside=aside)
        return offer(self.wanted.setdefault(number, part), bolt, joint, wanted, (window, grip))

    def _set_aside(self, joint: Joint, wanted: Bolt) -> tuple[AsideRow, ...]:
        """Rows of stock that were set aside, and have a bolt of that length which the joint accepts."""
        grades, finishes = ranks(joint.grades), ranks(joint.finishes)
        return tuple(
            row
            for part in self.stock.aside.values()
            if (bolt := part.bolt) is not None
            and (bolt.thread, fold(bolt.head), bolt.length)
            == (wanted.thread, fold(wanted.head), wanted.length)
            and (not grades or fold(bolt.grade) in grades)
            and (not finishes or fold(part.finish) in finishes)
            for row in part.aside
        )

    def _refused_for_shank(self, joint: Joint, length: Fraction, grip: Fraction | None) -> bool:
        """Whether stock has this very bolt, but its plain shank bottoms."""
        same = (racked.bolt for _, racked in self.of(joint) if racked.bolt.length == length)
        return any(shank_bottoms(bolt, grip, joint.shank_spare) for bolt in same)

    def spacer_choices(self, joint: Joint, thickness: Fraction, staying: int = 0) -> tuple[Choice, ...]:
        """Every multiset of the joint's spacers that adds up exactly to ``thickness`` (mm).

        Fewer pieces first, then more of the spacer listed first. One unit is one stack. With the pieces that
        stay in it, a stack has no more than the joint's most.
        """
        kinds, most = joint.spacers, joint.most_pieces
        sets = best_stacks(tuple(spacer.thickness for spacer in kinds), thickness)
        if most is not None:
            sets = tuple(counts for counts in sets if sum(counts) + staying <= most)
        return tuple(
            Choice(tuple((kind.part, Fraction(n)) for kind, n in zip(kinds, counts, strict=True) if n))
            for counts in sets
        )


def threaded_length(bolt: Bolt) -> Fraction | None:
    """As the sheet states it, else by the standard of its head; None where neither is known."""
    return bolt.thread_length if bolt.thread_length is not None else standard_thread_length(bolt)


def shank_bottoms(bolt: Bolt, grip: Fraction | None, spare: Fraction = NOTHING) -> bool:
    """The plain shank, and ``spare`` beside it, is longer than the grip.

    Then the bolt would bottom on its shank, or the nut on the end of the thread, before it clamps. ``spare``
    is the joint's ``shank_spare``.
    """
    threaded = threaded_length(bolt)
    if grip is None or threaded is None or threaded >= bolt.length:
        return False
    return bolt.length - threaded + spare > grip


def ranks(listed: tuple[str, ...]) -> dict[str, int]:
    """Folded grades or finishes with their places in the joint's list; empty where any is accepted."""
    return {fold(name): rank for rank, name in reversed(list(enumerate(listed)))}


def offer(
    part: Part, bolt: Bolt, joint: Joint, wanted: Fraction, room: tuple[Window | None, Fraction | None]
) -> Choice:
    """A bolt as a choice; ``room`` is the window and the grip of the joint at this step."""
    window, grip = room
    cautions = []
    if window is not None and window.rule_of_thumb:
        cautions.append("least engagement is common practice, not the frame maker's figure")
    if threaded_length(bolt) is None:
        cautions.append("thread length not stated: taken as threaded to the head")
    return Choice(
        parts=((part.number, ONE),),
        substitute=bolt.length != wanted,
        length=bolt.length,
        engagement=None if grip is None else bolt.length - grip,
        cautions=tuple(cautions),
        grade=bolt.grade,
        finish=part.finish,
        differs=any(
            listed and fold(name) != fold(listed[0])
            for name, listed in ((bolt.grade, joint.grades), (part.finish, joint.finishes))
        ),
    )


def length_to_buy(joint: Joint, wanted: Fraction, window: Window | None) -> Fraction:
    """The length asked for if it is a preferred one, else the preferred length nearest in the window."""
    preferred = preferred_lengths(joint.thread, joint.head)
    if preferred is None or window is None or wanted in preferred:
        return wanted
    inside = [length for length in preferred if length in window]
    return min(inside, key=lambda length: (abs(length - wanted), -length), default=wanted)


@lru_cache(maxsize=1024)
def best_stacks(thicknesses: tuple[Fraction, ...], total: Fraction) -> tuple[tuple[int, ...], ...]:
    """The stacks that reach ``total`` exactly: fewer pieces first, then more of the spacer listed first."""
    return tuple(sorted(stacks(list(thicknesses), total), key=fewest_then_first))


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
