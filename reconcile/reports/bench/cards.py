"""A job as a card for the bench: what to do in working order, in plain texts that page and workbook share."""

import hashlib
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from reconcile.reports.bench.pick_list import bins_text
from reconcile.reports.writing.wording import (
    BACK_TO_STOCK,
    CAUTIONS,
    PUT_ASIDE,
    TIMES,
    amount_of,
    amount_text,
    count_text,
    day_text,
    in_diameters,
    mend_text,
    source_text,
    torque_words,
)
from reconcile.values.frames.drive import Drive
from reconcile.values.frames.frame import Frame, Joint
from reconcile.values.frames.sections import NO_TORQUE, VERDICTS, JointCut, Section
from reconcile.values.measure import decimal_text, length_text, near_text
from reconcile.values.stock.lines import REPLACE
from reconcile.values.stock.parts import Part
from reconcile.values.week.jobs import PART_DONE, Choice, Line
from reconcile.values.week.picks import Bins, PartPick
from reconcile.values.week.results import (
    COMPLETE,
    DONE,
    SHORT,
    TO_ORDER,
    WAITS,
    Awaited,
    JobResult,
    Missing,
    ServedLine,
    Week,
)
from reconcile.values.words import fold

OUT, IN = "comes out", "goes in"
WHOLE = ""
"""The side of what belongs to the whole chair, or to a single stack."""

KIT_WORDS = {
    COMPLETE: "Kit complete",
    WAITS: "Kit waits for parts",
    TO_ORDER: "Kit waits for parts that are not ordered yet",
    SHORT: "Kit not complete",
    DONE: "Done already",
}
ANSWERS = {
    COMPLETE: "the kit is on the shelf",
    WAITS: "when the parts below are here",
    TO_ORDER: "if the parts below are ordered in time",
    SHORT: "",
    DONE: "",
}
DO_NOT_OPEN = "Kit not complete: do not open the chair."
WAIT_FIRST = "Do not open the chair before these are here:"
KINDS = {
    "bolt": "bolt", "spacer": "spacer", "cover": "cover", "sized": "seat part",
    "extra": "use", "disturbed": REPLACE,
}  # fmt: skip
LOOK_FIRST = "Look first, before parts are laid out:"
STEP = "step"
"""The kind of what comes off a stack that nobody knows: steps, not pieces."""
IN_BIN = ", bin "
"""Between where a part goes and its bin."""
WRITE_DOWN = "look first; came off:"
"""Of what nobody knows: what is written on the line after it is booked by the closing."""

BEFORE_USE = "Before the chair goes back"
LOCAL_RULES = "Local rules come first."
SIGNED = ("done by", "wrench number", "second check by", "date", "tried by the user, day")
"""What is signed at the end of a card."""
CAME_OFF = ("length", "state")
"""What is written down of each side's parts that came off, beside what the sheets say of them."""


@dataclass(frozen=True, slots=True)
class Tick:
    """One box to tick: how much on which side, and what it is called on its card."""

    side: str
    quantity: str
    box: str
    """``box-3``. Behind the card's anchor and a dot, which no anchor holds, it is an id of its own."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that comes out or goes in, with a box for each side it is true of."""

    way: str
    """OUT or IN."""
    what: str
    """``bolt 2 in``, ``spacer 1/2 in``, ``use``."""
    part: str
    """The stock part; "" where what comes off becomes none."""
    designation: str
    bins: str
    goes_to: str
    """Of what comes out: where it goes."""
    relies_on: str
    """Of what goes in: what has yet to come."""
    substitute: bool
    ticks: tuple[Tick, ...]
    look_first: bool = False
    """Of what comes out: nobody can say what it is before it is looked at."""
    kind: str = ""
    """That of its line: "bolt", "cover"; "" for a bolt that is put back."""

    def counted(self, amount: str) -> str:
        """``2 bolts 3 in``, ``crossbar cover``, ``0.1 mL``, ``replace on reassembly: 6``."""
        if self.kind in ("bolt", "spacer", STEP):
            many = self.what if amount == "1" else self.what.replace(self.kind, f"{self.kind}s", 1)
            return f"{amount} {many}"
        if self.kind == "disturbed":
            return f"{REPLACE}: {amount}"
        if self.kind == "extra":
            return f"use {amount}"
        return self.what if amount == "1" else f"{amount} {TIMES} {self.what}"


@dataclass(frozen=True, slots=True)
class Check:
    """What is looked at before the chair goes back: a box, and a line for a figure that has a unit."""

    ident: str
    words: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Agreement:
    """A substitute, with all that a qualified technician needs to agree to it."""

    joint: str
    sides: str
    part: str
    asked: str
    offered: str
    engaged: str
    """``3/8 in (9.525 mm), 1.5 x d``; "not known" without a grip."""
    bounds: str
    """``least 3/8 in, depth 5/8 in``."""
    verdict: str


@dataclass(frozen=True, slots=True)
class View:
    """One drawing, and the sides of which it is true."""

    cut: JointCut
    sides: str
    remarks: tuple[str, ...]
    """What is not well in it, in words; why there is no drawing."""


@dataclass(frozen=True, slots=True)
class JointCard:
    """A joint in working order: what comes out, what goes in, how tight, and how it looks."""

    number: int
    name: str
    sides: str
    bolt: str
    torque: str
    items: tuple[Item, ...]
    views: tuple[View, ...]
    note: str = ""
    """What the frame maker says of the joint: ``dry thread``."""
    tighten: tuple[Tick, ...] = ()
    """A box for each side that is tightened; none where no torque is given."""
    turned: Drive | None = None
    """What turns its bolts, by the standard of their head."""
    thread: str = ""

    @property
    def measured(self) -> tuple[str, ...]:
        """The sides of which bolts or spacers come off, to be measured and looked at: ``("left",)``."""
        kinds = ("bolt", "spacer", STEP)
        ticks = (tick for item in self.comes_out if item.kind in kinds for tick in item.ticks)
        return tuple(dict.fromkeys(tick.side for tick in ticks))

    @property
    def comes_out(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.way == OUT)

    @property
    def goes_in(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.way == IN)


@dataclass(frozen=True, slots=True)
class BenchCard:
    """A job's sheet. Every text is ready to print; lengths are in the frame's unit."""

    number: str
    anchor: str
    day: date
    day_words: str
    kit: str
    kit_words: str
    frame: str
    """Its code."""
    change: str
    """``seat width 16 in to 17 in``."""
    sides: tuple[tuple[str, int, int], ...]
    unit: str
    facts: tuple[tuple[str, str], ...]
    """Frame, options, technician and so on: what is filled in."""
    notes: str
    chairs: int
    waits: tuple[str, ...]
    missing: tuple[str, ...]
    earliest: str
    remarks: tuple[str, ...]
    """Notices of the job, and cautions of its lines."""
    joints: tuple[JointCard, ...]
    rest: JointCard | None
    """Covers, seat parts and what is used up, after the joints."""
    agreements: tuple[Agreement, ...]
    answer: str = ""
    """The verdict: ``Yes, after a look: the kit is on the shelf.``"""
    look_first: tuple[str, ...] = ()
    """Where nobody can say what comes off: ``upper front, left and right: what the stack consists of``."""
    checks: tuple[Check, ...] = ()
    cautions: tuple[str, ...] = CAUTIONS


def bench_cards(
    week: Week, jobs: Sequence[JobResult] | None = None, maker: "Maker | None" = None
) -> list[BenchCard]:
    """A card for each job, or for each of ``jobs``, in order of day, priority and row.

    ``maker``: that of the week, where several calls share what it has worked out.
    """
    maker = maker or Maker(week)
    in_order = sorted(week.jobs if jobs is None else jobs, key=lambda result: result.job.order)
    names = anchors(result.job.number for result in in_order)
    return [maker.card(result, name) for result, name in zip(in_order, names, strict=True)]


def anchors(numbers: Iterable[str]) -> Iterator[str]:
    """``job-J-4101``: letters, digits and hyphens alone, and no two alike whatever the numbers are."""
    taken: set[str] = set()
    for number in numbers:
        plain = re.sub(r"[^A-Za-z0-9]+", "-", number).strip("-")
        anchor = f"job-{plain}"
        if plain != number or anchor.casefold() in taken:
            anchor += f"-{hashlib.sha256(number.encode()).hexdigest()[:8]}"
        again, name = 2, anchor
        while name.casefold() in taken:
            name, again = f"{anchor}-{again}", again + 1
        taken.add(name.casefold())
        yield name


MOST_LAID = 2_000
"""Kinds of jobs of which it is kept how their cards are laid out: each takes some ten kilobytes."""


@dataclass(frozen=True, slots=True)
class LaidOut:
    """What cards of jobs have in common that are served alike, from the same bins."""

    joints: tuple[JointCard, ...]
    rest: JointCard | None
    agreements: tuple[Agreement, ...]


class Maker:
    """Makes cards of one week; what they share is worked out once."""

    def __init__(self, week: Week) -> None:
        self._week = week
        self._laid: dict[tuple[object, ...], LaidOut] = {}
        self._parts = {
            **week.stock.parts,
            **week.unlisted,
            **{part.part.number: part.part for part in week.parts},
        }
        self._picked = picked(week.picks)

    def card(self, result: JobResult, anchor: str) -> BenchCard:
        job, frame = result.job, self._week.frames[fold(result.job.frame)]
        adjustment = job.adjustment or frame.adjustments[0].name
        change = f"{length_text(job.size_from, frame.unit)} to {length_text(job.size_to, frame.unit)}"
        laid = self._laid_out(result, frame)
        return BenchCard(
            number=job.number,
            anchor=anchor,
            day=job.day,
            day_words=day_text(job.day),
            kit=result.kit,
            kit_words=KIT_WORDS[result.kit],
            frame=frame.code,
            change=f"{adjustment} {change}",
            sides=result.steps.sides,
            unit=frame.unit,
            facts=tuple(facts_of(result, frame)),
            notes=job.notes,
            chairs=job.chairs,
            waits=tuple(self.waits(result)),
            missing=tuple(map(self.lacks, result.missing)),
            earliest=earliest_of(result),
            remarks=tuple(dict.fromkeys((*result.notices, *cautions_of(result)))),
            joints=laid.joints,
            rest=laid.rest,
            agreements=laid.agreements,
            answer=answer_of(result),
            look_first=tuple(looks_of(result)),
            checks=tuple(
                Check(f"{anchor}.check-{number}", asked.check, asked.reading)
                for number, asked in enumerate(result.after, 1)
            ),
        )

    def _laid_out(self, result: JobResult, frame: Frame) -> LaidOut:
        """Jobs of a kind have the same lines and cuts, not only equal ones, and the week keeps them."""
        to_order = result.missing if result.kit == TO_ORDER else ()
        lacks = tuple((each, each.order_by) for each in to_order)  # equal ones may differ in their day
        bins = tuple(self._picked.get(result.job.number, {}).items())
        key = (id(result.lines), id(result.cuts), id(frame), result.job.chairs, bins, lacks, result.awaited)
        laid = self._laid.get(key)
        if laid is None:
            if len(self._laid) >= MOST_LAID:
                self._laid.clear()
            desk = CardDesk(self, result, frame)
            laid = LaidOut(tuple(desk.joints()), desk.rest(), tuple(desk.agreements()))
            self._laid[key] = laid
        return laid

    def part(self, number: str) -> Part:
        return self._parts.get(number) or Part(number)

    def lacks(self, lack: Missing) -> str:
        """``2 of SP-100``; of a part whose rows were all set aside, which row is to be mended."""
        part = self.part(lack.part)
        amount = amount_of(lack.quantity, part)
        return f"{amount}: {mend_text(part)}" if part.to_mend else amount

    def waits(self, result: JobResult, part: str = "") -> Iterator[str]:
        """What has yet to come, of one part or of all: what is not even ordered first."""
        for lack in result.missing if result.kit == TO_ORDER else ():
            if part in ("", lack.part):
                amount = amount_of(lack.quantity, self.part(lack.part))
                by = f" by {day_text(lack.order_by)}" if lack.order_by else ""
                yield f"{amount}: not ordered yet, to be ordered{by}"
        yield from (self.awaited(each) for each in result.awaited if part in ("", each.part))

    def awaited(self, awaited: Awaited) -> str:
        amount = amount_of(awaited.quantity, self.part(awaited.part))
        return f"{amount}: {source_text(awaited.source)}, there on {day_text(awaited.day)}"

    def picked_of(self, result: JobResult) -> dict[str, list[tuple[str, Fraction]]]:
        """By part, where this job's share of it comes from."""
        return {number: list(bins) for number, bins in self._picked.get(result.job.number, {}).items()}

    def home(self, number: str) -> str:
        """Where a part is kept."""
        return ", ".join(dict.fromkeys(each.name for each in self.part(number).bins if each.name))


def picked(picks: Iterable[PartPick]) -> dict[str, dict[str, Bins]]:
    """By job, where its share of each part comes from."""
    found: dict[str, dict[str, Bins]] = {}
    for pick in picks:
        for day in pick.days:
            for job in day.jobs:
                found.setdefault(job.job, {})[pick.part.number] = job.bins
    return found


def facts_of(result: JobResult, frame: Frame) -> Iterator[tuple[str, str]]:
    job = result.job
    facts = (
        ("frame", f"{frame.code}, {frame.name}" if frame.name else frame.code),
        ("figures from", frame.source),
        ("options", ", ".join(job.options)),
        ("chairs", f"{job.chairs}: all quantities are for {job.chairs} chairs" if job.chairs > 1 else ""),
        ("priority", str(job.priority)),
        ("technician", job.technician),
        ("asset", job.asset),
    )
    yield from ((name, text) for name, text in facts if text)


def earliest_of(result: JobResult) -> str:
    """Of a short job: when it could be done."""
    if result.kit != SHORT:
        return ""
    if result.earliest is None:
        return "The earliest day is not known: a lead time is missing."
    return f"It could be done on {day_text(result.earliest)} at the earliest."


def answer_of(result: JobResult) -> str:
    """Whether the chair may be opened, in one sentence, and whether it was begun."""
    if result.kit == SHORT:
        return DO_NOT_OPEN
    if result.kit == DONE:
        return f"{KIT_WORDS[DONE]}."
    yes = "Yes, after a look" if result.look_first else "Yes"
    begun = " Part done: this is what is left." if result.job.standing == PART_DONE else ""
    return f"{yes}{', ' if result.kit in (WAITS, TO_ORDER) else ': '}{ANSWERS[result.kit]}.{begun}"


def looks_of(result: JobResult) -> Iterator[str]:
    """What is not known before it is looked at, the sides of a joint together."""
    found: dict[tuple[str, str], dict[str, None]] = {}
    for served in result.lines:
        if served.line.look_first:
            found.setdefault((served.line.name, served.line.what), {})[served.line.side] = None
    for (name, what), sides in found.items():
        where = ", ".join(filter(None, (name, sides_text(sides))))
        yield f"{where}: {'which bolt it is' if what == 'bolt' else 'what the stack consists of'}"


def cautions_of(result: JobResult) -> Iterator[str]:
    yield from (caution for served in result.lines for caution in served.cautions)


class CardDesk:
    """One job's lines, laid out in working order."""

    def __init__(self, maker: Maker, result: JobResult, frame: Frame) -> None:
        self._maker, self._result, self._frame = maker, result, frame
        self._boxes = 0
        self._to_pick = maker.picked_of(result)
        """What no line of the card has taken yet."""

    def joints(self) -> Iterator[JointCard]:
        """A card for each joint that is opened, its sides together."""
        joints: dict[tuple[str, str], Joint] = {cut.joint.ident: cut.joint for cut in self._result.cuts}
        for served in self._result.lines:
            if served.line.joint is not None:
                joints.setdefault(served.line.joint.ident, served.line.joint)
        for number, (ident, joint) in enumerate(joints.items(), 1):
            lines = [
                line for line in self._result.lines if line.line.joint and line.line.joint.ident == ident
            ]
            cuts = [cut for cut in self._result.cuts if cut.joint.ident == ident]
            sides = dict.fromkeys([*(cut.side for cut in cuts), *(line.line.side for line in lines)])
            torque = torque_words(joint, self._result.lines)
            yield JointCard(
                number,
                joint.name,
                sides_text(sides),
                bolt_text(joint, sided=any(sides)),
                self._torque(torque),
                (*self._own_bolts(cuts), *self._items(lines)),
                tuple(self._views(cuts)),
                joint.note,
                tuple(self._tick(side, torque) for side in sides if torque),
                next((cut.drive for cut in cuts if cut.drive), None),
                str(joint.thread),
            )

    def _own_bolts(self, cuts: list[JointCut]) -> Iterator[Item]:
        """A joint that keeps its bolts: out to be opened, and back in."""
        own = [cut for cut in cuts if cut.own_bolt and cut.before is not None]
        if not own or own[0].before is None:
            return
        count = amount_text(Fraction(own[0].joint.bolts * self._result.job.chairs), "each")
        what = f"its own bolt {length_text(own[0].before.length, self._frame.unit)}"
        for way, goes_to in ((OUT, "inspect, then back in"), (IN, "")):
            ticks = tuple(self._tick(each.side, count) for each in own)
            yield Item(way, what, "", "", "", goes_to, "", False, ticks)

    def rest(self) -> JointCard | None:
        lines = [line for line in self._result.lines if line.line.joint is None]
        if not lines:
            return None
        return JointCard(0, "covers, seat parts and what is replaced", "", "", "", self._items(lines), ())

    def _torque(self, figure: str) -> str:
        if not figure:
            return NO_TORQUE
        source = f" ({self._frame.source})" if self._frame.source else ""
        return f"torque {figure}{source}"

    def _items(self, lines: list[ServedLine]) -> tuple[Item, ...]:
        """Equal lines of the two sides share an item; each side keeps its own box."""
        groups: dict[tuple[object, ...], list[tuple[str, str]]] = {}
        looks: dict[tuple[object, ...], tuple[ServedLine, str, bool]] = {}
        amounts: dict[tuple[object, ...], Fraction] = {}
        for served in lines:
            for number, quantity, substitute in shares_of(served):
                line = served.line
                key = (line.do, line.what, line.name, line.length, line.reuse, number, substitute)
                unit = self._maker.part(number).unit if number else served.line.unit
                groups.setdefault(key, []).append((served.line.side, amount_text(quantity, unit)))
                looks[key] = (served, number, substitute)
                amounts[key] = amounts.get(key, Fraction(0)) + quantity
        return tuple(
            self._item(*looks[key], self._bins(looks[key], amounts[key]), sides)
            for key, sides in groups.items()
        )

    def _bins(self, look: tuple[ServedLine, str, bool], quantity: Fraction) -> str:
        """Where so much of a part comes from: the bins of the job's share that no earlier line has emptied.

        Of a job that picks none, all bins of the part.
        """
        served, number, _ = look
        if not number or served.line.do != "fit":
            return ""
        left = self._to_pick.get(number)
        if left is None:
            return self._maker.home(number)
        return bins_text(taken_of(left, quantity), self._maker.part(number).unit) if left else ""

    def _item(
        self, served: ServedLine, number: str, substitute: bool, bins: str, sides: list[tuple[str, str]]
    ) -> Item:
        line, maker = served.line, self._maker
        coming = maker.waits(self._result, number) if line.do == "fit" and number else ()
        what = what_text(line, self._frame.unit, served, number)
        named = [side for side, _ in sides if side]
        if line.what == "cover" and len(named) == 1:
            what = f"{what}, {named[0]}"
        return Item(
            IN if line.do == "fit" else OUT,
            what,
            number,
            look_for(maker.part(number), line) if number else "",
            bins,
            self._goes_to(line, number),
            "; ".join(coming),
            substitute,
            tuple(self._tick(side, quantity) for side, quantity in sides),
            line.look_first,
            STEP if is_unknown_stack(line) else line.what,
        )

    def _tick(self, side: str, quantity: str) -> Tick:
        self._boxes += 1
        return Tick(side, quantity, f"box-{self._boxes}")

    def _goes_to(self, line: Line, number: str) -> str:
        if line.do == "fit":
            return ""
        if line.look_first:
            return WRITE_DOWN
        if not line.reuse:
            return "do not use again"
        if not number:
            return PUT_ASIDE
        home = self._maker.home(number)
        return f"{BACK_TO_STOCK}{IN_BIN}{home}" if home else BACK_TO_STOCK

    def _views(self, cuts: list[JointCut]) -> Iterator[View]:
        """Sides that look alike share a drawing."""
        alike: dict[tuple[object, ...], list[JointCut]] = {}
        for cut in cuts:
            alike.setdefault((cut.before, cut.after, cut.own_bolt, cut.why_none), []).append(cut)
        for group in alike.values():
            first = group[0]
            remarks = tuple(filter(None, (first.why_none, *faults_of(first))))
            yield View(first, sides_text(each.side for each in group), remarks)

    def agreements(self) -> Iterator[Agreement]:
        """One for each substitute of each joint, its sides together."""
        found: dict[tuple[object, ...], list[str]] = {}
        firsts: dict[tuple[object, ...], tuple[ServedLine, Choice]] = {}
        for served in self._result.lines:
            for choice in substitutes_of(served):
                joint = served.line.joint
                key = (joint and joint.ident, served.line.length, choice.parts)
                found.setdefault(key, []).append(served.line.side)
                firsts.setdefault(key, (served, choice))
        for same, sides in found.items():
            yield self._agreement(*firsts[same], sides)

    def _agreement(self, served: ServedLine, choice: Choice, sides: list[str]) -> Agreement:
        unit, line = self._frame.unit, served.line
        section = self._section(line, choice)
        return Agreement(
            line.name,
            sides_text(sides),
            ", ".join(number for number, _ in choice.parts),
            length_text(line.length or Fraction(0), unit),
            "not known" if choice.length is None else length_text(choice.length, unit),
            engaged_text(choice, line),
            bounds_text(section, unit),
            "" if section is None else VERDICTS[section.verdict],
        )

    def _section(self, line: Line, choice: Choice) -> Section | None:
        """The section that draws a choice."""
        numbers = {number for number, _ in choice.parts}
        cuts = (each for each in self._result.cuts if each.joint is line.joint and each.side == line.side)
        return next((each for cut in cuts for each in cut.after if each.part in numbers), None)


def taken_of(left: list[tuple[str, Fraction]], wanted: Fraction) -> Bins:
    """So much off the bins that are left, in their order; they are emptied by it."""
    taken: list[tuple[str, Fraction]] = []
    while left and wanted > 0:
        name, there = left.pop(0)
        share = min(there, wanted)
        taken.append((name, share))
        if there > share:
            left.insert(0, (name, there - share))
        wanted -= share
    return tuple(taken)


def faults_of(cut: JointCut) -> Iterator[str]:
    """What is not well before or after, in words."""
    for when, section in (("Before", cut.before), *(("After", each) for each in cut.after)):
        if section is not None and section.doubt:
            yield f"{when}: {section.doubt}"


# --- texts ----------------------------------------------------------------------------------------------


def sides_text(sides: Iterable[str]) -> str:
    """``left and right``; "" for a single stack."""
    return " and ".join(dict.fromkeys(side for side in sides if side))


def bolt_text(joint: Joint, *, sided: bool) -> str:
    """``1/4-20 UNC socket cap, SAE 8; 2 bolts a side``."""
    grades = f", {' or '.join(joint.grades)}" if joint.grades else ""
    many = f"{count_text(joint.bolts, 'bolt')}{' a side' if sided else ''}"
    return f"{joint.thread} {joint.head}{grades}; {many}"


def shares_of(served: ServedLine) -> Iterator[tuple[str, Fraction, bool]]:
    """Part, quantity, and whether it is a substitute; one without a part where none serves the line."""
    if not served.parts:
        yield "", served.quantity, False
    marked = {number for choice in substitutes_of(served) for number, _ in choice.parts}
    for number, quantity in served.parts:
        yield number, quantity, number in marked if served.served else served.substitute


def substitutes_of(served: ServedLine) -> Iterator[Choice]:
    return (choice for choice, _ in served.served if choice.substitute)


def what_text(line: Line, unit: str, served: ServedLine, number: str) -> str:
    """``bolt 2 1/2 in``, with the length that is really offered; ``seat pan``."""
    name = KINDS.get(line.what, line.what)
    if line.what in ("cover", "sized"):
        return line.name
    if is_unknown_stack(line):
        return f"{STEP} of the stack"
    if line.what == "bolt":
        offered = (choice.length for choice, _ in served.served if number in dict(choice.parts))
        length = next((each for each in offered if each is not None), line.length)
        return f"{name} {length_text(length, unit)}" if length is not None else name
    if line.what == "spacer" and line.joint is not None:
        kind = next((spacer for spacer in line.joint.spacers if spacer.part == number), None)
        thickness = kind.thickness if kind is not None else line.length
        return f"{name} {length_text(thickness, unit)}" if thickness is not None else name
    return name


def is_unknown_stack(line: Line) -> bool:
    return line.look_first and line.what == "spacer"


def look_for(part: Part, line: Line) -> str:
    """What to look for beside the part's number: of a bolt what its joint and length do not say already."""
    if part.bolt is None or line.joint is None or part.new:
        return "" if part.new else part.designation
    grade = part.bolt.grade if len(line.joint.grades) != 1 else ""
    return ", ".join(filter(None, (grade, part.finish)))


def both_units(mm: Fraction) -> str:
    """``3/8 in (9.525 mm)``."""
    metric = near_text(mm, "mm") if decimal_text(mm) is None else length_text(mm, "mm")
    inch = length_text(mm, "in")
    if inch.endswith("mm"):
        return f"{metric} (about {near_text(mm, 'in')})"
    return f"{inch} ({metric})"


def engaged_text(choice: Choice, line: Line) -> str:
    if choice.engagement is None or line.joint is None:
        return "not known: the frame file gives no grip"
    if line.joint.nut is not None:
        return f"{both_units(choice.engagement - line.joint.nut.height)} past the nut"
    diameters = in_diameters(choice.engagement / line.joint.thread.diameter)
    return f"{both_units(choice.engagement)}, {diameters}"


def bounds_text(section: Section | None, unit: str) -> str:
    """``least 3/8 in, depth 5/8 in``; of a nut, what must and what may stand past it."""
    if section is None:
        return ""
    nut = section.nut or Fraction(0)
    thumb = " (rule of thumb)" if section.rule_of_thumb else ""
    least = "" if section.least is None else f"least {near_text(section.least - nut, unit)}{thumb}"
    most = "" if section.most is None else f"most {near_text(section.most - nut, unit)}"
    depth = "" if section.depth is None else f"thread depth {length_text(section.depth, unit)}"
    return ", ".join(filter(None, (least, most, depth)))
