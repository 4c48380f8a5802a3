"""A frame asked for question by question: what is answered is what the file says, and nothing else."""

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reconcile.sheets.fasteners.spellings import HEADS
from reconcile.sheets.frames.files import read_frame_text
from reconcile.sheets.frames.questions import OFFERED_HEADS, Asking, ask_frame, yes_or_no
from reconcile.sheets.frames.text import frame_text, value_text
from reconcile.values.measure import inches, length_text

FRAME = ["AB-1", "", "sheet 3", "seat width", "14 in", "16 in", "1/2 in", "left and right"]
"""Code to sides, without a name."""
JOINT = [
    "upper", "1", "", "1/4-20", "shcs", "SAE 8", "", "1 1/2 in", "", "1 in", "", "",
    "3/8 in", "", "5/8 in", "aluminium",
]  # fmt: skip
"""A whole joint up to the tapped member; its spacers, options, extras and the rest follow."""
REST = ["n", "n", "n", "", "", "", ""]
END = ["n", "n", "n", "n", "n", "n"]
"""No further joint, no cover, no sized part, nothing used up, no check, no further adjustment."""


@dataclass
class Person:
    """Gives answers in turn, and remembers what was asked and said."""

    answers: list[str]
    heard: list[str] = field(default_factory=list)

    def ask(self, question: str) -> str:
        self.heard.append(question)
        if not self.answers:
            raise EOFError
        return self.answers.pop(0)

    def asked(self, taken=lambda code: "") -> dict:
        raw = ask_frame(self.ask, self.heard.append, taken)
        assert self.answers == []
        return raw

    @property
    def refusals(self) -> list[str]:
        return [each.strip() for each in self.heard if each.startswith("  ")]


def asked(*answers: str) -> tuple[dict, Person]:
    person = Person(list(answers))
    return person.asked(), person


def joint_with(place: int, *answers: str) -> list[str]:
    """The joint's answers with others at one place."""
    return [*JOINT[:place], *answers, *JOINT[place + 1 :]]


# --- plain answers --------------------------------------------------------------------------------------


def test_what_is_left_blank_is_left_out() -> None:
    raw, _ = asked(*FRAME, "y", *JOINT, *REST, *END)
    assert raw == {
        "code": "AB-1",
        "source": "sheet 3",
        "adjustment": [
            {
                "name": "seat width", "minimum": "14 in", "maximum": "16 in", "step": "1/2 in",
                "sides": 2,
                "joint": [
                    {
                        "name": "upper", "bolts": 1, "thread": "1/4-20", "head": "shcs", "grades": ["SAE 8"],
                        "length": "1 1/2 in", "grip": "1 in",
                        "engagement": {"minimum": "3/8 in", "maximum": "5/8 in"}, "into": "aluminium",
                    }
                ],
            }
        ],
    }  # fmt: skip


def test_no_torque_is_made_up_and_a_given_one_stands_word_for_word() -> None:
    raw, _ = asked(*FRAME, "y", *JOINT, "n", "n", "n", "y", "y", "9 N*m ", "", *END)
    joint = raw["adjustment"][0]["joint"][0]
    said = [joint[key] for key in ("torque", "reuse", "spacer_reuse")]
    assert said == ["9 N*m", "after inspection", "after inspection"]
    plain, _ = asked(*FRAME, "y", *JOINT, *REST, *END)
    assert "torque" not in plain["adjustment"][0]["joint"][0]


def test_every_question_names_an_example_or_its_answers() -> None:
    _, person = asked(*FRAME, "y", *JOINT, *REST, *END)
    questions = [each for each in person.heard if each.endswith(":")]
    bare = [
        each for each in questions if "like" not in each and "yes or no" not in each and "blank" not in each
    ]
    assert bare == []


def test_the_heads_offered_are_known() -> None:
    assert set(OFFERED_HEADS.replace(" or ", ", ").split(", ")) <= set(HEADS)


# --- answers that cannot be used ------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize(
    ("place", "wrong", "says"),
    [
        (0, "", "An answer is needed here."),
        (1, "0", "0 is not a whole number of at least 1."),
        (1, "one", '"one" is not a whole number of at least 1.'),
        (2, "1.5", '"1.5" is not a whole number of at least 0.'),
        (3, "1/4-22", "No standard series lists 1/4-22"),
        (3, "1/4", '"1/4" has no pitch'),
        (7, "1 1/2", '"1 1/2" has no unit.'),
        (7, "0 in", 'The length "0 in" is not more than nothing.'),
        (8, "1/4 in", "A step adds 1/4 in here, but 1/2 in to the size"),
        (9, "2 in", "The bolt of 1 1/2 in is shorter than the grip of 2 in"),
        (12, "5/8 in", "leaves 1/2 in of thread, less than 5/8 in"),
        (14, "1/4 in", "The most engagement 1/4 in is less than the least 3/8 in."),
        (15, "oak", '"oak" is not "steel", "aluminium" or "plastic".'),
        (5, "SAE 8\N{REPLACEMENT CHARACTER}", "The answer holds a letter that cannot be read."),
        (0, "a\x1bb", "holds a control character"),
    ],
)
def test_a_faulty_answer_is_asked_for_again_with_the_reason(place: int, wrong: str, says: str) -> None:
    plain, _ = asked(*FRAME, "y", *JOINT, *REST, *END)
    raw, person = asked(*FRAME, "y", *joint_with(place, wrong, JOINT[place]), *REST, *END)
    assert raw == plain
    (refusal,) = person.refusals
    assert says in refusal
    assert "quotes" not in refusal


@pytest.mark.parametrize(
    ("place", "wrong", "says"),
    [
        (4, "14", '"14" has no unit.'),
        (5, "13 in", "The maximum 13 in is less than the minimum 14 in."),
        (6, "3/4 in", "The step 3/4 in does not divide 14 in to 16 in into whole steps."),
        (6, "0 in", "The step 0 in is not more than nothing."),
        (7, "3", '"3" is neither of the two.'),
        (7, "", "An answer is needed here."),
    ],
)
def test_sizes_must_make_whole_steps(place: int, wrong: str, says: str) -> None:
    raw, person = asked(*FRAME[:place], wrong, *FRAME[place:], "n", *END[1:])
    assert raw["adjustment"][0]["step"] == "1/2 in"
    assert says in person.refusals[0]


def test_a_code_that_has_a_file_is_refused() -> None:
    person = Person(["NQ-T1", *FRAME, "n", *END[1:]])
    raw = person.asked(lambda code: "NQ-T1.toml" if code == "NQ-T1" else "")
    assert raw["code"] == "AB-1"
    assert person.refusals == [
        'The code "NQ-T1" is already that of NQ-T1.toml. Give the frame a code of its own.'
    ]


@pytest.mark.parametrize(
    ("place", "typed", "says"),
    [(4, "sockt cap", 'No head is known as "sockt cap"'), (5, "G9", "No standard lists the grade G9")],
)
def test_what_no_standard_knows_is_kept_and_said(place: int, typed: str, says: str) -> None:
    raw, person = asked(*FRAME, "y", *joint_with(place, typed), *REST, *END)
    joint = raw["adjustment"][0]["joint"][0]
    assert typed in (joint["head"], *joint["grades"])
    assert says in person.refusals[0]


def test_a_person_can_go_back_to_the_mistake() -> None:
    back = [*JOINT[:7], "1 in", "", "1 1/2 in", "<", "<", *JOINT[7:]]
    raw, _ = asked(*FRAME, "y", *back, *REST, *END)
    assert raw["adjustment"][0]["joint"][0]["length"] == "1 1/2 in"


def test_a_bolt_through_a_nut_is_asked_for_its_nut_and_washers() -> None:
    """1 3/4 in less 1 1/4 in and two washers of 1.5 mm leave 9.7 mm: 4.112 mm past the nut of 5.588 mm."""
    start = joint_with(7, "1 3/4 in")[:11]
    start[9:11] = ["1 1/4 in", "n", "y", "WSH-14", "1.5 mm", "2", "yes", "n"]
    nut = ["y", "NUT-LK-14", "", "0.22 in", "1/4 in"]
    raw, person = asked(*FRAME, "y", *start, *nut, *REST, *END)
    (joint,) = raw["adjustment"][0]["joint"]
    assert joint["nut"] == {"part": "NUT-LK-14", "height": "0.22 in", "most": "1/4 in"}
    assert joint["washers"] == [{"part": "WSH-14", "thickness": "1.5 mm", "count": 2, "renew": True}]
    assert "engagement" not in joint
    heard = " ".join(person.heard)
    assert "Does the bolt end in a nut; no: in the frame" in heard
    assert "Are washers counted in that thickness" in heard
    assert "tapped member" not in heard


def test_a_nut_that_the_bolt_does_not_reach_past_leads_back_to_the_grip() -> None:
    """1 1/2 in less 1 in leave 12.7 mm; a nut of 12 mm and a pitch of 1.27 mm need 13.27 mm, 0.522 in."""
    start = [*JOINT[:11], "y", "NUT", "", "12 mm", "<", "<", "<", "3/4 in", "NUT", "", "12 mm", ""]
    raw, person = asked(*FRAME, "y", *start, *REST, *END)
    (joint,) = raw["adjustment"][0]["joint"]
    assert (joint["grip"], joint["nut"]) == ("3/4 in", {"part": "NUT", "height": "12 mm"})
    assert "less than 0.522 in (the nut and what stands past it)" in person.refusals[0]


def test_the_depth_of_a_thread_is_asked_for_before_the_most() -> None:
    raw, person = asked(*FRAME, "y", *[*JOINT[:13], "5/8 in", "", *JOINT[15:]], *REST, *END)
    (joint,) = raw["adjustment"][0]["joint"]
    assert joint["engagement"] == {"minimum": "3/8 in", "depth": "5/8 in"}
    asked_for = [each for each in person.heard if "epth of the thread" in each]
    assert asked_for[0].startswith("Depth of the thread there; a pitch of it stays clear")


def test_of_a_countersunk_head_it_is_said_how_the_bolt_is_measured() -> None:
    _, person = asked(*FRAME, "y", *joint_with(4, "countersunk"), *REST, *END)
    assert person.refusals == ["A countersunk bolt is measured over all, its head included."]


def test_a_handed_cover_a_note_and_a_check_are_asked_for() -> None:
    cover = ["y", "bracket", "left: BR-L; right: BR-R", "0", "2", "n", "n"]
    check = ["y", "wheel locks hold, both sides", "anti-tippers", "mm", "n"]
    rest = [*REST[:-1], "clean the tapped end"]
    raw, _ = asked(*FRAME, "y", *JOINT, *rest, "n", *cover, "n", "n", *check, "n")
    (adjustment,) = raw["adjustment"]
    assert adjustment["joint"][0]["note"] == "clean the tapped end"
    assert adjustment["cover"][0]["steps"] == [
        {"part": {"left": "BR-L", "right": "BR-R"}, "from": 0, "to": 2}
    ]
    assert adjustment["after"] == [
        {"check": "wheel locks hold, both sides", "when": "anti-tippers", "reading": "mm"}
    ]
    frame, problems = read_frame_text(frame_text(raw).encode(), "any.toml")
    assert frame is not None, problems


def test_a_joint_that_is_not_built_up_is_asked_for_no_spacers() -> None:
    raw, person = asked(*FRAME, "y", *joint_with(8, "0 mm"), *REST[1:], *END)
    assert raw["adjustment"][0]["joint"][0]["per_step"] == "0 mm"
    assert [each for each in person.heard if "spacer for it" in each] == []


def test_a_spacer_listed_twice_is_refused() -> None:
    spacers = ["y", "SP-050", "1/2 in", "y", "SP-050", "SP-100", "1 in", "n"]
    raw, person = asked(*FRAME, "y", *JOINT, *spacers, *REST[1:], *END)
    assert [each["part"] for each in raw["adjustment"][0]["joint"][0]["spacers"]] == ["SP-050", "SP-100"]
    assert '"SP-050" is listed twice.' in person.refusals[0]


def test_the_ranges_of_a_cover_are_asked_for_until_every_step_has_one() -> None:
    cover = ["y", "cover", "CP-1", "0", "1", "CP-2", "1", "2", "<", "2", "2", "n", "n"]
    raw, person = asked(*FRAME, "n", *cover, "n", "n", "n", "n")
    assert raw["adjustment"][0]["cover"] == [
        {
            "name": "cover",
            "steps": [{"part": "CP-1", "from": 0, "to": 1}, {"part": "CP-2", "from": 2, "to": 2}],
            "reuse": "never",
        }
    ]
    assert 'Still open: "cover" has no part for 2 steps.' in person.refusals
    assert any("has two parts for 1 step" in each for each in person.refusals)


def test_the_sizes_of_a_part_are_asked_for_until_every_size_has_one() -> None:
    sized = ["y", "pan", "solid seat", "P-1", "14 in", "15 in", "P-2", "15 1/4 in", "16 in", "y", "n"]
    raw, person = asked(*FRAME, "n", "n", *sized, "n", "n", "n")
    (pan,) = raw["adjustment"][0]["sized"]
    assert (pan["when"], len(pan["sizes"]), pan["reuse"]) == ("solid seat", 2, "after inspection")
    assert person.refusals == ['Still open: "pan" has no part for 15 1/2 in to 16 in.']


def test_the_end_of_the_answers_is_told_at_every_place() -> None:
    answers = [*FRAME, "y", *JOINT, *REST, *END]
    for count in range(len(answers)):
        person = Person(answers[:count])
        with pytest.raises(EOFError):
            ask_frame(person.ask, person.heard.append)


def test_a_question_without_a_default_waits_for_yes_or_no() -> None:
    person = Person(["", "perhaps", "Yes"])
    assert yes_or_no(Asking(person.ask, person.heard.append), "Write it", default=None)
    assert person.refusals == ['"" is neither yes nor no.', '"perhaps" is neither yes nor no.']


# --- any answers ----------------------------------------------------------------------------------------

MANY = settings(max_examples=100, derandomize=True)

WORDS = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=12).filter(
    lambda text: text != "<" and "\N{REPLACEMENT CHARACTER}" not in text
)
UNITS = st.sampled_from(["in", "mm"])


def a_length(unit: str, least: int = 0, most: int = 64) -> st.SearchStrategy[Fraction]:
    """So many eighths of an inch, or halves of a millimetre, in mm."""
    one = inches("1/8") if unit == "in" else Fraction(1, 2)
    return st.integers(least, most).map(lambda count: count * one)


def in_frame(least: Fraction, _: Fraction, most: Fraction, unit: str) -> dict:
    return {"engagement": {"minimum": length_text(least, unit), "maximum": length_text(most, unit)}}


def in_nut(least: Fraction, held: Fraction, _: Fraction, unit: str) -> dict:
    """A nut as high as the least; what is held beyond it stands past the nut."""
    past, height = length_text(held - least, unit), length_text(least, unit)
    return {"nut": {"part": "NUT", "protrusion": past, "height": height}}


@st.composite
def a_joint(draw, unit: str, step: Fraction, name: str) -> dict:
    """A joint that can be bolted: its bolt reaches past the grip by what engagement allows."""
    grip = draw(a_length(unit, 1))
    least, held, most = sorted(draw(st.lists(a_length(unit, 1, 16), min_size=3, max_size=3)))
    thread, head = draw(st.sampled_from([("1/4-20 UNC", "socket cap"), ("M6", "hex"), ("M8x1", "button")]))
    joint = {
        "name": name,
        "bolts": draw(st.integers(1, 4)),
        "thread": thread,
        "head": head,
        "length": length_text(grip + held, unit),
        "grip": length_text(grip, unit),
    }
    joint |= draw(st.sampled_from([in_frame, in_nut]))(least, held, most, unit)
    if draw(st.booleans()):
        joint["grades"] = draw(
            st.lists(st.sampled_from(["SAE 8", "8.8"]), min_size=1, max_size=2, unique=True)
        )
    if draw(st.booleans()):
        joint["spacers"] = [{"part": draw(WORDS), "thickness": length_text(step, unit)}]
    if draw(st.booleans()):
        joint["lengthen"] = [{"option": draw(WORDS), "by": length_text(draw(a_length(unit)), unit)}]
    if draw(st.booleans()):
        joint["torque"] = draw(WORDS)
    joint["reuse"] = draw(st.sampled_from(["after inspection", "never"]))
    joint["spacer_reuse"] = draw(st.sampled_from(["after inspection", "never"]))
    return joint


@st.composite
def a_frame(draw) -> dict:
    unit = draw(UNITS)
    minimum, step = draw(a_length(unit, 20, 200)), draw(a_length(unit, 1, 8))
    names = draw(st.lists(WORDS, max_size=2, unique_by=str.casefold))
    return {
        "code": draw(WORDS),
        "source": draw(WORDS),
        "adjustment": [
            {
                "name": draw(WORDS),
                "minimum": length_text(minimum, unit),
                "maximum": length_text(minimum + draw(st.integers(1, 12)) * step, unit),
                "step": length_text(step, unit),
                "sides": draw(st.sampled_from([1, 2])),
                "joint": [draw(a_joint(unit, step, name)) for name in names],
            }
        ],
    }


def answers_of(raw: dict) -> Iterator[str]:
    """What a person types for this frame, who leaves blank what it does not say."""
    yield from (raw["code"], "", raw["source"])
    (adjustment,) = raw["adjustment"]
    yield from (str(adjustment[key]) for key in ("name", "minimum", "maximum", "step", "sides"))
    for joint in adjustment["joint"]:
        yield "yes"
        yield from joint_answers(joint)
    yield from END


def joint_answers(joint: dict) -> Iterator[str]:
    plain = ("name", "bolts", "stacks", "thread", "head")
    yield from (str(joint.get(key, "")) for key in plain)
    yield ", ".join(joint.get("grades", ()))
    yield from ("", joint["length"], "", joint["grip"], "", "yes" if "nut" in joint else "no")
    if nut := joint.get("nut"):
        yield from (*nut.values(), "")
    else:
        least, most = joint["engagement"].values()
        yield from (least, "", most, "")
    for key in ("spacers", "lengthen", "extras"):
        for table in joint.get(key, ()):
            yield "y"
            yield from table.values()
        yield "n"
    yield from ("yes" if joint[key] == "after inspection" else "no" for key in ("reuse", "spacer_reuse"))
    yield from (joint.get("torque", ""), "")


def said_of(raw: dict) -> dict:
    """The same without lists that are empty, which nobody was asked to fill."""
    (adjustment,) = raw["adjustment"]
    return {**raw, "adjustment": [{key: value for key, value in adjustment.items() if value != []}]}


@pytest.mark.slow
@MANY
@given(a_frame())
def test_any_answers_make_a_file_that_reads_back_to_them(raw: dict) -> None:
    answered = Person(list(answers_of(raw))).asked()
    assert answered == said_of(raw)
    text = frame_text(answered, ("a remark",))
    assert tomllib.loads(text) == answered
    frame, problems = read_frame_text(text.encode(), "any.toml")
    assert [each for each in problems if each.severity == "error"] == []
    assert (frame.code, frame.source) == (raw["code"], raw["source"])
    (adjustment,), (given_one,) = frame.adjustments, raw["adjustment"]
    sizes = [
        length_text(each, frame.unit) for each in (adjustment.minimum, adjustment.maximum, adjustment.step)
    ]
    assert sizes == [given_one[key] for key in ("minimum", "maximum", "step")]
    assert [(each.name, each.bolts, each.torque) for each in adjustment.joints] == [
        (each["name"], each["bolts"], each.get("torque", "")) for each in given_one["joint"]
    ]
    assert [length_text(each.length, frame.unit) for each in adjustment.joints] == [
        each["length"] for each in given_one["joint"]
    ]


@pytest.mark.slow
@MANY
@given(a_frame(), st.data())
def test_faulty_answers_between_change_nothing(raw: dict, data: st.DataObject) -> None:
    answers = list(answers_of(raw))
    at = data.draw(st.sampled_from([4, 5, 6, 7]))  # sizes, step and sides
    wrong = data.draw(st.lists(st.sampled_from(["half", "-1 in", "1/0 in", "9 V", "??"]), max_size=4))
    person = Person([*answers[:at], *wrong, *answers[at:]])
    assert person.asked() == said_of(raw)
    assert len(person.refusals) >= len(wrong)


@pytest.mark.slow
@MANY
@given(st.text(st.characters(exclude_categories=("Cs",))))
def test_any_text_is_written_so_that_toml_reads_it(text: str) -> None:
    if "\x7f" in text:  # no reader of frame files lets it in
        return
    assert tomllib.loads(f"key = {value_text(text)}") == {"key": text}
