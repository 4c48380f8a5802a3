"""The law of the joint: what is fitted is one part, clamps, and keeps every stack at the steps of its side.

Windows are reckoned here from the figures that a joint is dealt, and the chair, the shelf and the scrap are
kept in books of the test's own.
"""

from collections import Counter
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import FEW
from workshop import (
    FRI,
    MON,
    bins,
    frame,
    inch,
    job,
    joint,
    part,
    planned,
    seat_width,
    spacer_kinds,
    stock,
)
from workshop import bolt as a_bolt

from reconcile.plan.chairs.record import chair_records, record_key
from reconcile.plan.closing.movements import close_week
from reconcile.values.frames.frame import Engagement, Extra, Frame, Joint, Nut, Washer
from reconcile.values.frames.stacks import KnownJoint, SaidPieces, SpacersNow
from reconcile.values.ledger.jobs import JobEntry, JobRow, JointFound, SideSteps
from reconcile.values.measure import Amount
from reconcile.values.problem import RowPlace
from reconcile.values.stock.parts import Bolt, Part
from reconcile.values.stock.returns import JobReturn, JointReturn, LineReturn, Returns
from reconcile.values.words import fold

pytestmark = pytest.mark.slow
DEALT = settings(FEW, max_examples=40)

LOW, STEP = inch("14"), inch("1/2")
GRIP, LENGTH, PITCH = inch("1"), inch("1 1/2"), Fraction("1.27")
ADDED = inch("1/4")
OPTION = "side guard"
STEPS_A_SIDE = 6
GRADES = ((), ("SAE 8", "SAE 5"))
FINISHES = ((), ("zinc", "black oxide"))
KINDS = (
    spacer_kinds(SP_050="1/2"),
    spacer_kinds(SP_100="1", SP_050="1/2"),
    spacer_kinds(SP_050="1/2", SP_025="1/4", SP_150="1 1/2"),
)
WASHED = Washer("WSH-14", Fraction("1.5"), 2)
PLACE = RowPlace("returns.xlsx", "Lines", 2)


# --- frames and shelves -------------------------------------------------------------------------------


@dataclass(frozen=True)
class Ends:
    """How a joint's bolt ends, and by how much it may reach past the grip: None where only exact serves."""

    given: dict
    least: Fraction | None = None
    most: Fraction | None = None


def ends() -> list[Ends]:
    """With washers of 3 mm the exact bolt, half an inch past the bare grip, reaches 9.7 mm past it."""
    quarter, height = inch("1/4"), inch("0.22")
    return [
        Ends({}),
        Ends({"engagement": Engagement(quarter, inch("5/8"))}, quarter, inch("5/8")),
        Ends({"engagement": Engagement(quarter, None, inch("5/8"))}, quarter, inch("5/8") - PITCH),
        Ends({"engagement": Engagement(None, None, inch("3/4")), "into": "aluminium"},
             Fraction(3, 2) * quarter, inch("3/4") - PITCH),
        Ends({"nut": Nut("NUT-14", height, PITCH, inch("1/4"))},
             height + PITCH, height + PITCH + inch("1/4")),
        Ends({"nut": Nut("NUT-14", height, PITCH)}, height + PITCH, None),
    ]  # fmt: skip


@st.composite
def joints(draw, kinds, name: str = "upper front") -> tuple[Joint, Ends]:
    """Most pieces, where there is a most, are enough for any number of steps."""
    end = draw(st.sampled_from(ends()))
    washers = draw(st.sampled_from([(), (WASHED,), (replace(WASHED, renew=True),)])) if end.given else ()
    bolts = draw(st.integers(1, 2))
    enough = min(sum(counts) for counts in every_stack(kinds, STEPS_A_SIDE))
    made = joint(
        name=name, bolts=bolts, stacks=bolts, grip=GRIP if end.given else None, washers=washers,
        spacers=kinds, reuse=draw(st.booleans()), spacer_reuse=draw(st.booleans()),
        grades=draw(st.sampled_from(GRADES)), finishes=draw(st.sampled_from(FINISHES)),
        lengthen=draw(st.sampled_from([(), ((OPTION, ADDED),)])),
        most_pieces=draw(st.sampled_from([None, enough + 1])),
        extras=draw(st.sampled_from([(), (Extra("TL-MED", Amount(Fraction("0.1"), "mL")),)])),
        **end.given,
    )  # fmt: skip
    return made, end


@dataclass(frozen=True)
class Chair:
    """A frame with how each joint ends, and a job on it whose row says what every stack consists of."""

    frame: Frame
    ends: dict[str, Ends]
    job: object
    said: dict[str, Counter]
    """By side the pieces of one stack, the same at every joint."""

    @property
    def joints(self) -> dict[str, Joint]:
        return {each.name: each for each in self.frame.adjustments[0].joints}


@st.composite
def chairs(draw, most_chairs: int = 1) -> Chair:
    kinds = draw(st.sampled_from(KINDS))
    names = ("upper front", "lower rear")[: draw(st.integers(1, 2))]
    dealt = [draw(joints(kinds, name)) for name in names]
    sides = draw(st.integers(1, 2))
    top = STEPS_A_SIDE * sides
    one = frame(seat_width(*(each for each, _ in dealt), sides=sides, maximum=LOW + top * STEP))
    before = draw(st.integers(0, top))
    after = draw(st.integers(0, top).filter(lambda steps: steps != before))
    now = {"": before} if sides == 1 else {"left": before // 2, "right": before - before // 2}
    said = {side: draw(a_stack(kinds, steps)) for side, steps in now.items()}
    row = job(
        "J-1", MON, row=2, size_from=LOW + before * STEP, size_to=LOW + after * STEP,
        options=draw(st.sampled_from([(), (OPTION,)])), asset="WC-0443",
        chairs=draw(st.integers(1, most_chairs)), spacers_now=in_words(said),
    )  # fmt: skip
    return Chair(one, {each.name: end for each, end in dealt}, row, said)


def every_stack(kinds, steps):
    """All ways to build so many steps, as counts of each kind."""
    ranges = (range(int(steps * STEP / kind.thickness) + 1) for kind in kinds)
    for counts in product(*ranges):
        if sum(n * kind.thickness for n, kind in zip(counts, kinds, strict=True)) == steps * STEP:
            yield counts


def a_stack(kinds, steps):
    ways = [
        Counter({kind.part: n for kind, n in zip(kinds, counts, strict=True) if n})
        for counts in every_stack(kinds, steps)
    ]
    return st.sampled_from(ways)


def in_words(said) -> SpacersNow:
    sides = tuple(
        (side, tuple(SaidPieces(count, number) for number, count in pieces.items()))
        for side, pieces in said.items()
    )
    return SpacersNow("as counted", sides=sides)


EIGHTHS = [inch("1") + eighth * inch("1/8") for eighth in range(36)]
SMALL = ("SP-025", "SP-050", "SP-100", "SP-150", "NUT-14", "WSH-14", "TL-MED")


@st.composite
def shelves(draw) -> list[Part]:
    """Bolts of any length by eighths, of any grade, finish and thread length; few of each part."""
    few = st.integers(0, 6)
    bolts = [
        a_bolt(
            f"{length / inch('1')}", draw(st.sampled_from(["", "SAE 8", "SAE 5", "SAE 2"])),
            draw(st.sampled_from(["full", "1/2", "1", None])),
            finish=draw(st.sampled_from(["", "zinc", "black oxide"])),
        )
        for length in draw(st.lists(st.sampled_from(EIGHTHS), max_size=12))
    ]  # fmt: skip
    return [
        *(part(f"B-{n}", draw(few), bolt=each, finish=each.finish) for n, each in enumerate(bolts, 1)),
        *(part(number, draw(few)) for number in SMALL),
    ]


def plenty(chair: Chair) -> list[Part]:
    """A fully threaded bolt of every length asked for in the first grade and finish, and enough of all."""
    found = {}
    for each in chair.joints.values():
        grade, finish = (listed[0] if listed else "" for listed in (each.grades, each.finishes))
        for steps, more in product(range(STEPS_A_SIDE + 1), (Fraction(0), ADDED)):
            length = LENGTH + steps * STEP + more
            number = f"B-{length / inch('1')}-{grade}-{finish}"
            bolt = Bolt(each.thread, length, each.head, grade, length, finish=finish)
            found[number] = part(number, 20, bolt=bolt, finish=finish)
    return [*found.values(), *(part(number, 99) for number in SMALL)]


# --- one part a joint and side of each chair ------------------------------------------------------------


def served_by(line) -> Counter:
    return Counter({choice.parts: amount for choice, amount in line.served})


@DEALT
@given(chairs(most_chairs=3), shelves())
def test_each_chair_has_one_part_at_a_joint_and_side_and_both_sides_alike(chair, parts):
    (result,) = planned([chair.job], [chair.frame], stock(*parts)).jobs
    alike: dict[tuple, set] = {}
    for served in result.lines:
        line = served.line
        if line.do != "fit" or line.what not in ("bolt", "spacer"):
            continue
        assert sum(amount for _, amount in served.served) == line.quantity * result.job.chairs
        for _, amount in served.served:
            assert (amount / line.quantity).denominator == 1  # whole chairs
        taken = tuple(sorted(served_by(served).items()))
        alike.setdefault((line.what, line.name, line.length, line.choices), set()).add(taken)
    assert all(len(ways) == 1 for ways in alike.values())


@DEALT
@given(chairs(most_chairs=2), shelves())
def test_what_is_fitted_clamps_what_it_must(chair, parts):
    week = planned([chair.job], [chair.frame], stock(*parts))
    (result,) = week.jobs
    for served in result.lines:
        if served.line.do == "fit" and served.line.what == "bolt":
            for number, _ in served.parts:
                taken = next(each.part for each in week.parts if each.part.number == number)
                check_bolt(chair, served.line, taken, new=taken.new)


def check_bolt(chair: Chair, line, taken: Part, *, new: bool) -> None:
    """Grip + least <= length <= grip + most; the plain shank, and a pitch under a nut, within the grip."""
    own, end, bolt = chair.joints[line.name], chair.ends[line.name], taken.bolt
    lengthened = ADDED if own.lengthen and chair.job.options else 0
    wanted = LENGTH + line.steps * STEP + lengthened
    assert (bolt.thread, bolt.head) == (own.thread, own.head)
    assert not own.grades or bolt.grade in own.grades
    assert not own.finishes or taken.finish in own.finishes
    if end.least is None:
        assert bolt.length == wanted
        return
    washers = sum(each.count * each.thickness for each in own.washers)
    grip = GRIP + washers + line.steps * STEP + lengthened
    longest = wanted if end.most is None else grip + end.most
    assert grip + end.least <= bolt.length <= longest or (new and bolt.length == wanted)
    if bolt.thread_length is not None:
        spare = PITCH if own.nut else 0
        plain = bolt.length - bolt.thread_length
        assert plain == 0 or plain + spare <= grip


# --- stacks -------------------------------------------------------------------------------------------


def height(own: Joint, pieces: Counter) -> Fraction:
    thick = {kind.part: kind.thickness for kind in own.spacers}
    return sum((thick[number] * count for number, count in pieces.items()), Fraction(0))


def change_of(result, name: str, side: str) -> Counter:
    """What all stacks of a joint on a side of one chair gain; what they lose is negative."""
    found: Counter = Counter()
    for served in result.lines:
        if (served.line.what, served.line.name, served.line.side) == ("spacer", name, side):
            sign = 1 if served.line.do == "fit" else -1
            for number, count in served.parts:
                found[number] += sign * count
    return found


@DEALT
@given(chairs(), shelves())
def test_pieces_fitted_and_removed_keep_every_stack_at_its_steps(chair, parts):
    (result,) = planned([chair.job], [chair.frame], stock(*parts)).jobs
    for side, before, after in result.steps.sides:
        label = "" if side == "single" else side
        for name, own in chair.joints.items():
            pieces = Counter({number: n * own.stacks for number, n in chair.said[label].items()})
            assert height(own, pieces) == own.stacks * before * STEP
            pieces.update(change_of(result, name, label))
            assert all(count >= 0 and count % own.stacks == 0 for count in pieces.values())
            assert height(own, pieces) == own.stacks * after * STEP
            if own.most_pieces is not None and before != after:
                assert sum(pieces.values()) <= own.stacks * own.most_pieces


@DEALT
@given(chairs(), shelves())
def test_as_many_steps_stay_as_can(chair, parts):
    """What comes off is the least that brings the stack down to the steps wanted or below."""
    (result,) = planned([chair.job], [chair.frame], stock(*parts)).jobs
    for side, before, after in result.steps.sides:
        label = "" if side == "single" else side
        for name, own in chair.joints.items():
            if own.most_pieces is not None or before == after:
                continue
            lost = -change_of(replace(result, lines=removed_alone(result)), name, label)
            off = Counter({number: -n for number, n in change_of(result, name, label).items() if n < 0})
            there = chair.said[label]
            subsets = product(*(range(count + 1) for count in there.values()))
            stays = [height(own, Counter(dict(zip(there, counts, strict=True)))) for counts in subsets]
            best = max(mm for mm in stays if mm <= after * STEP)
            assert height(own, there) - height(own, lost) / own.stacks == best
            assert all(lost[number] >= count for number, count in off.items())


def removed_alone(result):
    return tuple(served for served in result.lines if served.line.do == "remove")


# --- widened and narrowed again -----------------------------------------------------------------------


class Books:
    """Chair, shelf and scrap as the kits and the closings move them; what is not ours comes from outside."""

    def __init__(self, chair: Chair) -> None:
        self.chair = chair
        self.shelf = Counter({each.number: each.on_hand for each in plenty(chair)})
        self.scrap: Counter = Counter()
        self.at: dict[tuple[str, str, str], Counter] = {
            ("spacer", name, side): Counter({n: c * own.stacks for n, c in pieces.items()})
            for name, own in chair.joints.items()
            for side, pieces in chair.said.items()
        }
        self.entries: list[JobEntry] = []

    def stock(self):
        parts = plenty(self.chair)
        return stock(*(replace(each, bins=bins((self.shelf[each.number], 0))) for each in parts))

    def total(self) -> Counter:
        """Of all parts, wherever they are."""
        found = Counter(self.shelf)
        found.update(self.scrap)
        for pieces in self.at.values():
            found.update(pieces)
        return +found

    def do(self, one_job):
        """Plan it, take what is planned as done, close, and book by the movements."""
        there = self.stock()
        (result,) = planned([one_job], [self.chair.frame], there).jobs
        assert result.kit == "complete"
        returns = as_planned(result, self.chair, on_record=bool(self.entries))
        closed = close_week(returns, there, "clerk")
        assert not [each for each in closed.problems if each.severity == "error"]
        self.move_in_chair(result)
        for movement in closed.movements:
            self.shelf[movement.part] += movement.quantity
        (booked,) = closed.jobs
        self.entries.append(JobEntry(f"closing {len(self.entries)}", len(self.entries), FRI, "clerk", booked))
        return result

    def move_in_chair(self, result) -> None:
        for served in result.lines:
            line = served.line
            place = self.at.setdefault((line.what, line.name, line.side), Counter())
            for number, count in served.parts:
                if line.do == "fit":
                    place[number] += count
                    continue
                if (line.what, len(self.entries)) == ("bolt", 0):
                    place[number] += count  # what the first job finds in a chair that nobody knows
                place[number] -= count
                assert place[number] >= 0, f"{number} was not in {line.name}, {line.side}"
                if not line.reuse:
                    self.scrap[number] += count

    def record(self):
        return chair_records(self.entries)[record_key("WC-0443", "NQ-T1", "seat width")]

    def known(self) -> tuple[KnownJoint, ...]:
        record = self.record()
        return tuple(
            KnownJoint(
                fold(name), side, record.steps[side or "single"],
                None if state.stack is None else tuple((n, int(count)) for n, count in state.stack.items()),
                None if state.bolt is None or state.bolt.length is None
                else (state.bolt.part, state.bolt.length),
            )
            for (name, side), state in record.joints.items()
        )  # fmt: skip


def as_planned(result, chair: Chair, *, on_record: bool) -> Returns:
    """The returns of a job that was done as planned.

    What the row told of the stacks goes with the first; of the next the record alone knows it.
    """
    one = result.job
    steps = tuple(SideSteps(*side) for side in result.steps.sides)
    row = JobRow(
        one.number, one.day, frame=one.frame, adjustment="seat width", size_from=one.size_from,
        size_to=one.size_to, unit="in", side=one.side, steps=steps, options=one.options, asset=one.asset,
    )  # fmt: skip
    joints = tuple(
        JointReturn(one.number, JointFound(name, side, "", own.stacks, own.bolts, stack))
        for name, own in chair.joints.items()
        for side, pieces in chair.said.items()
        for stack in [None if on_record else {number: Fraction(count) for number, count in pieces.items()}]
    )
    done = JobReturn(one.number, "2026-W49", one.day, one.frame, True, "", PLACE)
    return Returns((done,), tuple(returned_lines(result)), planned=(row,), joints=joints)


def returned_lines(result):
    """A row for each part of each line; what is not put back is scrapped."""
    for served in result.lines:
        line = served.line
        length = line.length if line.what == "bolt" else None
        if served.served and line.what == "bolt":
            length = served.served[0][0].length
        for number, count in served.parts:
            scrapped = None if line.do == "fit" or line.reuse else count
            yield LineReturn(
                result.job.number, line.do, line.name, number, count, None, None, scrapped, "", "", "k",
                PLACE, line.what, line.side, line.unit, length,
            )  # fmt: skip


def back_again(one, books: Books):
    """From where the chair is now to where it was, by what its record tells."""
    return replace(
        one, number="J-2", size_from=one.size_to, size_to=one.size_from, spacers_now=None,
        known=books.known(), left_now=now_on(books, "left"),
        right_now=now_on(books, "right"),
    )  # fmt: skip


def now_on(books: Books, side: str) -> int | None:
    return books.record().steps.get(side)


@DEALT
@given(chairs())
def test_chair_shelf_and_scrap_are_conserved_there_and_back_again(chair):
    books = Books(chair)
    first = books.do(chair.job)
    between = books.total()
    check_stacks(books, first)
    second = books.do(back_again(chair.job, books))
    assert books.total() == between  # the chair is known by now: nothing comes from outside, nothing is lost
    assert not any(served.line.look_first for served in second.lines)
    check_stacks(books, second)


def check_stacks(books: Books, result) -> None:
    """Every stack has its steps, and the record tells what is in it and which bolt."""
    record = books.record()
    for side, before, after in result.steps.sides:
        label = "" if side == "single" else side
        for name, own in books.chair.joints.items():
            there = +books.at["spacer", name, label]
            assert height(own, there) == own.stacks * after * STEP
            state = record.joints[name, label]
            assert Counter({n: count * own.stacks for n, count in state.stack.items()}) == there
            bolts = +books.at.get(("bolt", name, label), Counter())
            if before != after:
                assert bolts == {state.bolt.part: own.bolts}


def test_a_chair_widened_with_the_inch_and_narrowed_again_is_what_it_was():
    """Two half-inch steps a side: an inch spacer goes into each stack, and that very one comes off."""
    own = joint(bolts=2, stacks=2, reuse=True, spacer_reuse=True, spacers=KINDS[1])
    row = job("J-1", MON, "14", "16", row=2, asset="WC-0443", spacers_now=in_words({"left": {}, "right": {}}))
    chair = Chair(frame(seat_width(own)), {own.name: Ends({})}, row, {"left": Counter(), "right": Counter()})
    books = Books(chair)
    shelf = Counter(books.shelf)
    books.do(row)
    assert shelf["SP-100"] - books.shelf["SP-100"] == 4
    assert dict(+books.at["spacer", own.name, "left"]) == {"SP-100": 2}
    books.do(back_again(row, books))
    assert books.shelf["SP-100"] == shelf["SP-100"]
    assert books.shelf["SP-050"] == shelf["SP-050"]
    assert not +books.at["spacer", own.name, "left"]
