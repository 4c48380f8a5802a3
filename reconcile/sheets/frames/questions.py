"""A frame file by questions, one by one, each answer checked at once by what reads frame files.

Nothing is made up: what is not answered is left out of the file. A figure that does not go with an earlier
one is asked for again; ``<`` goes back to the question before, where the earlier one was the mistake.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from reconcile.sheets.fasteners.spellings import (
    HEADS,
    canonical_grade,
    canonical_head,
    is_listed_grade,
    read_thread,
)
from reconcile.sheets.figures.text import clean
from reconcile.sheets.figures.toml import Key, Spot, TomlTable, Wrong, read_with, walk
from reconcile.sheets.frames.checks import check_frame, doubtful_sides
from reconcile.sheets.frames.files import CODES
from reconcile.sheets.frames.keys import (
    ADJUSTMENT,
    AFTER,
    COVER,
    COVER_RANGE,
    DISTURBED,
    EXTRA,
    FRAME,
    JOINT,
    LENGTHEN,
    SIZE_RANGE,
    SIZED,
    SPACER,
    WASHER,
)
from reconcile.values.catalogue import ERROR
from reconcile.values.frames.sections import SUNK_HEADS
from reconcile.values.problem import Problem
from reconcile.values.words import fold, nearest

Ask = Callable[[str], str]
"""Puts a question and gives the answer; raises EOFError when there are no more answers."""

Tell = Callable[[str], None]

Taken = Callable[[str], str]
"""The file that has a code already, by the code; "" for none."""

BACK = "<"
YES, NO = ("y", "yes"), ("n", "no")
LEFT_AND_RIGHT = ("left and right", "left, right", "both", "both sides", "each side", "two", "2")
ONCE = ("once", "once for the chair", "for the chair", "one", "single", "1")
OFFERED_HEADS = "socket cap, hex, button or countersunk"


def no_file(_code: str) -> str:
    return ""


class GoBack(Exception):
    """The question before is to be put again."""


def as_text(answer: str) -> object:
    return answer


def as_number(answer: str) -> object:
    """A whole number where it is one; other text is left for the key's reader to refuse."""
    return int(answer) if answer.isascii() and answer.isdigit() and len(answer) < 10 else answer


def as_list(answer: str) -> object:
    """Text between commas or semicolons."""
    return [text.strip() for text in answer.replace(";", ",").split(",") if text.strip()]


def as_flag(answer: str) -> object:
    """Yes and no as true and false."""
    return {**dict.fromkeys(YES, True), **dict.fromkeys(NO, False)}.get(fold(answer), answer)


def as_sides(answer: str) -> object:
    """2 for a measure that is changed left and right, 1 for one that is changed once.

    Raises Wrong for any other answer: a depth taken for a width puts half of its spacers on each rail.
    """
    said = fold(answer)
    if not said:
        return answer
    if said in LEFT_AND_RIGHT or said in ONCE:
        return 1 if said in ONCE else 2
    raise Wrong(f'"{answer}" is neither of the two.', f"Answer {LEFT_AND_RIGHT[0]}, or {ONCE[0]}.")


def as_hands(answer: str) -> object:
    """A part number, or both of a handed part: ``left: CP-2L; right: CP-2R``."""
    both = re.fullmatch(r"left\s*[:=]\s*(.+?)\s*[;,]\s*right\s*[:=]\s*(.+)", answer, re.IGNORECASE)
    return {"left": both[1], "right": both[2]} if both else answer


def as_reuse(answer: str) -> object:
    """Yes and no in the words of the file."""
    return {**dict.fromkeys(YES, "after inspection"), **dict.fromkeys(NO, "never")}.get(fold(answer), answer)


def no_remark(_value: object, _table: TomlTable) -> str:
    return ""


def head_remark(head: str, _table: TomlTable) -> str:
    """How a sunk head is measured. One that we have no name for matches only what stock spells alike."""
    if canonical_head(head) in SUNK_HEADS:
        return f"A {canonical_head(head)} bolt is measured over all, its head included."
    if canonical_head(head) in HEADS:
        return ""
    like = ", ".join(nearest(head, HEADS)) or ", ".join(HEADS)
    return f'No head is known as "{head}"; it is kept as written. Known ones like it: {like}.'


def sides_remark(sides: int, table: TomlTable) -> str:
    return doubtful_sides(table["name"], sides)


def grades_remark(grades: list[str], table: TomlTable) -> str:
    thread = read_thread(table["thread"])
    unlisted = [grade for grade in grades if not is_listed_grade(canonical_grade(grade, thread))]
    return f"No standard lists the grade {', '.join(unlisted)}; it is kept as written." if unlisted else ""


@dataclass(frozen=True, slots=True)
class KeyQuestion:
    """One key of a table: how it is asked for, and how an answer becomes what TOML holds."""

    key: str
    words: str
    example: str = ""
    default: str = ""
    """What a blank answer means, in words; needed answers have none."""
    turn: Callable[[str], object] = as_text
    part_of: str = ""
    """The key of the inline table that this one goes into: ``engagement``."""
    remark: Callable[[Any, TomlTable], str] = no_remark
    """What is to be said of an answer that is taken, given the table so far."""

    def line(self) -> str:
        said = [f"like {self.example}"] if self.example else []
        if self.default:
            said.append(f"blank: {self.default}")
        return f"{self.words} ({'; '.join(said)}):" if said else f"{self.words}:"


@dataclass(slots=True)
class Asking:
    """The frame as far as it is answered, and how the person is reached."""

    ask: Ask
    tell: Tell
    taken: Taken = no_file
    raw: TomlTable = field(default_factory=dict)

    def faults(self) -> list[Problem]:
        """What is wrong with the frame so far, apart from what is not answered yet."""
        spot = Spot("", CODES)
        check_frame(walk(self.raw, FRAME, spot))
        unanswered = ("frame-key-missing", "frame-gap")
        return [
            problem for problem in spot.found if problem.severity == ERROR and problem.code not in unanswered
        ]


# --- the frame ------------------------------------------------------------------------------------------


CODE = KeyQuestion("code", "Frame code, as the jobs sheet names it", "NQ-T1")
REUSE = KeyQuestion(
    "reuse", "Is one that comes off used again after inspection: yes or no", "", "no", as_reuse
)
PART = KeyQuestion("part", "Part number", "SP-050")


@dataclass(frozen=True, slots=True)
class Form:
    """The questions of a table, and the description of its keys."""

    keys: Mapping[str, Key]
    questions: tuple[KeyQuestion, ...]


ABOUT = Form(
    FRAME,
    (
        CODE,
        KeyQuestion("name", "Name of the frame", "Tilt frame, bolted crossbars", "none"),
        KeyQuestion(
            "source", "Build sheet that the figures come from", "build sheet 12, issue C", "not given"
        ),
    ),
)
SIZES = Form(
    ADJUSTMENT,
    (
        KeyQuestion("name", "Name of the adjustment", "seat width"),
        KeyQuestion("minimum", "Smallest size, with no spacer fitted", "14 in or 350 mm"),
        KeyQuestion("maximum", "Largest size", "20 in or 475 mm"),
        KeyQuestion("step", "Step: what one spacer adds, at every joint of one side", "1/2 in or 12.5 mm"),
        KeyQuestion(
            "sides",
            "Is it changed on the left and on the right by itself, each with a part of the change (a width),"
            " or once for the chair, alike on both rails (a depth, a back height)",
            f"{LEFT_AND_RIGHT[0]}, or {ONCE[0]}", "", as_sides, remark=sides_remark,
        ),
    ),
)  # fmt: skip
BOLTS = Form(
    JOINT,
    (
        KeyQuestion("name", "Name of the joint", "upper front"),
        KeyQuestion("bolts", "Bolts of the joint on each side", "1", "", as_number),
        KeyQuestion("stacks", "Spacer stacks there", "1", "as many as bolts", as_number),
        KeyQuestion("thread", "Thread of the bolt", "1/4-20 UNC or M6"),
        KeyQuestion("head", "Head of the bolt", OFFERED_HEADS, remark=head_remark),
        KeyQuestion(
            "grades", "Accepted grades, best first, between commas", "SAE 8 or 10.9, 8.8", "any", as_list,
            remark=grades_remark,
        ),
        KeyQuestion("finishes", "Accepted finishes, best first, between commas", "zinc", "any", as_list),
        KeyQuestion("length", "Bolt length at the smallest size, without options", "1 1/2 in or 40 mm"),
        KeyQuestion(
            "per_step", "What a step adds to the bolt; 0 in if the joint is not built up", "0 in", "the step"
        ),
        KeyQuestion("grip", "Grip: clamped thickness at the smallest size", "1 in", "not known"),
    ),
)  # fmt: skip
BOLTS_OF_CHAIR = (
    KeyQuestion("bolts", "Bolts of the joint on the whole chair, both rails counted", "2", "", as_number),
    KeyQuestion("stacks", "Spacer stacks there, both rails counted", "2", "as many as bolts", as_number),
)
"""The same where the measure is changed once for the chair."""
IN_FRAME = (
    KeyQuestion("minimum", "Least thread in the tapped member", "3/8 in", "not known", part_of="engagement"),
    KeyQuestion(
        "depth", "Depth of the thread there; a pitch of it stays clear", "5/8 in", "not known",
        part_of="engagement",
    ),
    KeyQuestion(
        "maximum", "Without a depth: most thread that may go in, by the maker's word", "1/2 in", "not known",
        part_of="engagement",
    ),
    KeyQuestion("into", "Tapped member: steel, aluminium or plastic", "", "not known"),
)  # fmt: skip
IN_NUT = (
    KeyQuestion("part", "Part number of the nut", "NUT-LK-14", part_of="nut"),
    KeyQuestion(
        "protrusion", "What must at least stand past the nut", "2 pitches or 1/8 in", "1 pitch", part_of="nut"
    ),
    KeyQuestion("height", "Height of the nut", "0.22 in or 5 mm", part_of="nut"),
    KeyQuestion(
        "most", "How much more may stand past it", "1/4 in", "no more than of the bolt asked for",
        part_of="nut",
    ),
)  # fmt: skip
"""What the bolt ends in: the tapped member of the frame, or a nut."""

WASHERS = Form(
    WASHER,
    (
        KeyQuestion("part", "Part number of the washer", "WSH-14"),
        KeyQuestion("thickness", "Its thickness", "1.5 mm"),
        KeyQuestion("count", "How many of them on each bolt", "2", "1", as_number),
        KeyQuestion("renew", "New ones each time a bolt goes in: yes or no", "", "no", as_flag),
    ),
)
LAST = Form(
    JOINT,
    (
        KeyQuestion("reuse", "Are removed bolts used again after inspection: yes or no", "", "no", as_reuse),
        KeyQuestion(
            "spacer_reuse", "Are removed spacers used again after inspection: yes or no", "", "no", as_reuse
        ),
        KeyQuestion(
            "torque", "Torque of the first grade, word for word from the build sheet", "9 N*m", "not given"
        ),
        KeyQuestion("note", "A note to be printed with the joint", "clean the tapped end", "none"),
    ),
)  # fmt: skip
SPACERS = Form(SPACER, (PART, KeyQuestion("thickness", "Its thickness", "1/2 in")))
OPTIONS = Form(
    LENGTHEN,
    (
        KeyQuestion("option", "Option", "front rigging"),
        KeyQuestion("by", "By how much it lengthens bolt and grip", "1/4 in"),
    ),
)
EXTRAS = Form(EXTRA, (PART, KeyQuestion("quantity", "Quantity for each bolt", "0.1 mL or 1 each")))
COVERS = Form(COVER, (KeyQuestion("name", "Name of the cover", "crossbar cover"),))
COVER_RANGES = Form(
    COVER_RANGE,
    (
        KeyQuestion(
            "part", "Part number, or of both sides", "CP-2, or left: CP-2L; right: CP-2R", "", as_hands
        ),
        KeyQuestion("from", "From how many steps on a side", "0", "", as_number),
        KeyQuestion("to", "To how many steps", "2", "", as_number),
    ),
)
SIZED_PARTS = Form(
    SIZED,
    (
        KeyQuestion("name", "Name of the part", "seat pan"),
        KeyQuestion("when", "Only with the option", "solid seat", "always"),
    ),
)
SIZE_RANGES = Form(
    SIZE_RANGE, (PART, KeyQuestion("from", "From size", "14 in"), KeyQuestion("to", "To size", "15 1/2 in"))
)
USED_UP = Form(
    DISTURBED,
    (
        PART,
        KeyQuestion("quantity", "Quantity for a chair", "4 each"),
        KeyQuestion("when", "Only with the option", "anti-tippers", "always"),
    ),
)

CHECKS = Form(
    AFTER,
    (
        KeyQuestion("check", "What is checked before the chair goes back", "wheel locks hold, both sides"),
        KeyQuestion("when", "Only with the option", "anti-tippers", "always"),
        KeyQuestion("reading", "Unit of a figure that is written down", "mm", "no figure"),
    ),
)


def ask_frame(ask: Ask, tell: Tell, taken: Taken = no_file) -> TomlTable:
    """Asks for a whole frame and gives it as TOML holds it; it reads back without an error.

    Raises EOFError as ``ask`` does.
    """
    asking = Asking(ask, tell, taken)
    ask_table(asking, asking.raw, ABOUT)
    asking.raw["adjustment"] = []
    more = True
    while more:
        ask_adjustment(asking)
        more = yes_or_no(asking, "Is there another adjustment", default=False)
    return asking.raw


def ask_adjustment(asking: Asking) -> None:
    adjustment: TomlTable = {}
    asking.raw["adjustment"].append(adjustment)
    asking.tell(f"Adjustment {len(asking.raw['adjustment'])}")
    ask_table(asking, adjustment, SIZES)
    for joint in each_table(asking, adjustment, "joint", "Is there a joint to be opened"):
        ask_joint(asking, joint)
    for cover in each_table(asking, adjustment, "cover", "Is there a cover, chosen by the steps on a side"):
        ask_ranged(asking, cover, COVERS, "steps", COVER_RANGES)
    for sized in each_table(asking, adjustment, "sized", "Is there a part chosen by the size of the chair"):
        ask_ranged(asking, sized, SIZED_PARTS, "sizes", SIZE_RANGES)
    for part in each_table(asking, adjustment, "disturbed", "Is there a part used up that stands in the way"):
        ask_table(asking, part, USED_UP)
    for check in each_table(asking, adjustment, "after", "Is there a check before the chair goes back"):
        ask_table(asking, check, CHECKS)


def each_table(asking: Asking, parent: TomlTable, key: str, words: str) -> Iterator[TomlTable]:
    """A new table of the list for as long as the person says that there is one."""
    while yes_or_no(asking, words, default=False):
        parent.setdefault(key, []).append({})
        yield parent[key][-1]
        words = words.replace("Is there a ", "Is there another ").replace("Is there an ", "Is there another ")


def ask_joint(asking: Asking, joint: TomlTable) -> None:
    opening = bolts_form(asking.raw["adjustment"][-1])
    ask_table(asking, joint, opening)
    if not yes_or_no(asking, "Are washers counted in that thickness, if there are any", default=True):
        for washer in each_table(asking, joint, "washers", "Is there a washer on each bolt"):
            ask_table(asking, washer, WASHERS)
    nutted = yes_or_no(asking, "Does the bolt end in a nut; no: in the frame", default=False)
    ends = Form(JOINT, (*opening.questions, *(IN_NUT if nutted else IN_FRAME)))
    ask_table(asking, joint, ends, start=len(opening.questions))
    if joint.get("stacks") != 0 and not is_nothing(joint.get("per_step")):
        for spacer in each_table(asking, joint, "spacers", "Is there a spacer for it"):
            ask_table(asking, spacer, SPACERS)
    for option in each_table(asking, joint, "lengthen", "Is there an option that lengthens it"):
        ask_table(asking, option, OPTIONS)
    for extra in each_table(asking, joint, "extras", "Is there a part used up with each bolt"):
        ask_table(asking, extra, EXTRAS)
    ask_table(asking, joint, LAST)


def bolts_form(adjustment: TomlTable) -> Form:
    """The first questions on a joint: how bolts and stacks are counted hangs on the sides."""
    if adjustment.get("sides") != 1:
        return BOLTS
    instead = {question.key: question for question in BOLTS_OF_CHAIR}
    return Form(JOINT, tuple(instead.get(question.key, question) for question in BOLTS.questions))


def is_nothing(per_step: object) -> bool:
    """Whether a step adds nothing, in whatever spelling."""
    return isinstance(per_step, str) and read_with(JOINT["per_step"].read, per_step, Spot("", CODES)) == 0


def ask_ranged(asking: Asking, table: TomlTable, form: Form, key: str, ranges: Form) -> None:
    """A cover or a sized part; its ranges are asked for until every step or size has a part."""
    ask_table(asking, table, form)
    table[key] = []
    gaps: list[Problem] = []
    while not table[key] or gaps:
        table[key].append({})
        ask_table(asking, table[key][-1], ranges)
        gaps = gaps_of(asking.raw)
        if gaps:
            asking.tell(f"  Still open: {gaps[0].says}")
    ask_table(asking, table, Form(form.keys, (REUSE,)))


def gaps_of(raw: TomlTable) -> list[Problem]:
    """Steps and sizes that have no part yet."""
    spot = Spot("", CODES)
    check_frame(walk(raw, FRAME, spot))
    return [problem for problem in spot.found if problem.code == "frame-gap"]


# --- one table, one question ----------------------------------------------------------------------------


def ask_table(asking: Asking, table: TomlTable, form: Form, start: int = 0) -> None:
    """Every question in turn, its answer put into the table; blank answers leave the key out.

    Questions before ``start`` are answered already; the person may go back to them.
    """
    at = start
    while at < len(form.questions):
        try:
            settle(asking, table, form.questions[at], form.keys)
        except GoBack:
            at = max(at - 1, 0)
        else:
            at += 1


def settle(asking: Asking, table: TomlTable, question: KeyQuestion, keys: Mapping[str, Key]) -> None:
    """One question until its answer can be used, by itself and beside the answers before it."""
    while True:
        _forget(table, question)
        answer = answered(asking, question.line())
        if not answer and question.default:
            return
        try:
            value = question.turn(answer)
            _try_value(asking, question, value, keys)
        except Wrong as fault:
            asking.tell(f"  {fault.says} {spoken(fault.do)}".rstrip())
            continue
        (table.setdefault(question.part_of, {}) if question.part_of else table)[question.key] = value
        faults = asking.faults()
        for problem in faults:
            asking.tell(f"  {problem.says} {spoken(problem.do)} Answer {BACK} to go back a question.")
        if not faults:
            if remark := question.remark(value, table):
                asking.tell(f"  {remark}")
            return


def spoken(advice: str) -> str:
    """Advice on writing a file, as advice on answering: there are no quotes to be typed here."""
    return advice.replace(", without quotes", "").replace(" in quotes", "")


def _forget(table: TomlTable, question: KeyQuestion) -> None:
    """Takes the answer out again, and an inline table that holds nothing else."""
    if not question.part_of:
        table.pop(question.key, None)
    elif (inline := table.get(question.part_of)) is not None:
        inline.pop(question.key, None)
        if not inline:
            del table[question.part_of]


def _try_value(asking: Asking, question: KeyQuestion, value: object, keys: Mapping[str, Key]) -> None:
    """Raises ``Wrong`` where the key's own reader refuses the value, or the code has a file already."""
    if value in ("", []):
        raise Wrong("An answer is needed here.", f"Write one like {question.example}.")
    whole = {question.key: value} if question.part_of else value
    read_whole_value(keys[question.part_of or question.key], whole, Spot("", CODES))
    if question is CODE and (file := asking.taken(str(value))):
        raise Wrong(f'The code "{value}" is already that of {file}.', "Give the frame a code of its own.")


def read_whole_value(key: Key, value: object, spot: Spot) -> None:
    """Raises ``Wrong`` also for what a reader of lists and of tables only reports."""
    key.read(value, spot)
    faults = (problem for problem in spot.found if problem.severity == ERROR)
    if found := [
        problem for problem in faults if problem.code != CODES.missing
    ]:  # what is still to be asked for
        raise Wrong(found[0].says, found[0].do)


def answered(asking: Asking, line: str) -> str:
    """An answer in plain blanks. Raises GoBack where the person asks for it."""
    while True:
        answer = asking.ask(line).strip()
        if "\N{REPLACEMENT CHARACTER}" in answer or any(0xD800 <= ord(char) < 0xE000 for char in answer):
            asking.tell("  The answer holds a letter that cannot be read. Write it in other letters.")
            continue
        if answer == BACK:
            raise GoBack
        return answer


def yes_or_no(asking: Asking, words: str, *, default: bool | None) -> bool:
    """A plain question; with no default it is put until it is answered by yes or by no."""
    blank = "" if default is None else f"; blank: {'yes' if default else 'no'}"
    while True:
        answer = fold(clean(asking.ask(f"{words} (yes or no{blank}):")))
        if not answer and default is not None:
            return default
        if answer in YES or answer in NO:
            return answer in YES
        asking.tell(f'  "{answer}" is neither yes nor no.')
