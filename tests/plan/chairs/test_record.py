"""The chair's record by hand: what each closing left at each joint."""

from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction

from reconcile.plan.chairs.record import chair_records, record_key
from reconcile.values.chairs import ChairRecord, FittedBolt, JointState
from reconcile.values.ledger.jobs import (
    PART_DONE,
    CheckDone,
    JobBooked,
    JobEntry,
    JobLine,
    JobRow,
    JointFound,
    SideSteps,
)
from reconcile.values.measure import inches
from reconcile.values.stock.lines import LineKey

MON = date(2026, 11, 30)
FRONT = "upper front"
HALF, INCH = "SP-050", "SP-100"
KEY = record_key("WC-0443", "NQ-T1", "seat width")


def row(job: str = "J-1", was: int = 16, to: int = 17, days: int = 0, **said) -> JobRow:
    """From 16 in, two half-inch steps a side (the frame begins at 14 in): each inch is one step a side."""
    steps = tuple(SideSteps(side, was - 14, to - 14) for side in ("left", "right"))
    plain = {
        "frame": "NQ-T1", "adjustment": "seat width", "size_from": inches(was), "size_to": inches(to),
        "unit": "in", "side": "both", "steps": steps, "asset": "WC-0443", "technician": "bench 1",
    }  # fmt: skip
    return JobRow(job, MON + timedelta(days=days), **(plain | said))


def fit(
    part: str,
    count: object = 1,
    side: str = "left",
    *,
    used: object = "as planned",
    what: str = "spacer",
    **more,
) -> JobLine:
    booked = count if used == "as planned" else used
    return JobLine(
        LineKey("fit", what, FRONT, side), part, "each", Fraction(count),
        None if booked is None else Fraction(booked), **more,
    )  # fmt: skip


def off(part: str, count: object = 1, side: str = "left", **more) -> JobLine:
    return JobLine(
        LineKey("remove", "spacer", FRONT, side),
        part,
        "each",
        Fraction(count),
        returned=Fraction(count),
        **more,
    )


def bolt(part: str, length: object, side: str = "left", **more) -> JobLine:
    return fit(part, 1, side, what="bolt", length=inches(length), **more)


def found(side: str = "left", stack: dict | None = None, **more) -> JointFound:
    pieces = None if stack is None else {part: Fraction(count) for part, count in stack.items()}
    return JointFound(FRONT, side, "adjustment[1].joint[1]", stack=pieces, **more)


def record(*jobs: JobBooked) -> ChairRecord:
    """Each posted with a closing of its own, in this order."""
    entries = [JobEntry(f"closing {n}", n, MON, "clerk", job) for n, job in enumerate(jobs, 1)]
    return chair_records(entries)[KEY]


def stack(chair: ChairRecord, side: str = "left") -> dict | None:
    there = chair.joints[FRONT, side].stack
    return None if there is None else dict(there)


WIDENED = JobBooked(
    row(),
    (
        fit(INCH, side="left"),
        fit(INCH, side="right"),
        bolt("B14-350", "7/2"),
        bolt("B14-350", "7/2", "right"),
    ),
    (found("left", {INCH: 1}), found("right", {HALF: 2})),
)


def test_widened_with_one_inch_spacer_a_side_the_record_names_them_and_the_bolts() -> None:
    chair = record(WIDENED)
    assert (chair.size, chair.steps, chair.unit) == (inches(17), {"left": 3, "right": 3}, "in")
    assert chair.joints == {
        (FRONT, "left"): JointState({INCH: 2}, FittedBolt("B14-350", inches("7/2"))),
        (FRONT, "right"): JointState({HALF: 2, INCH: 1}, FittedBolt("B14-350", inches("7/2"))),
    }
    assert [(each.job, each.who, each.technician) for each in chair.history] == [("J-1", "clerk", "bench 1")]


def narrowed(*lines: JobLine, found: tuple[JointFound, ...] = (), days: int = 7) -> JobBooked:
    """Back to 16 in; what the plan told of the joints' stacks is by the record, so the record has it."""
    told = found or (JointFound(FRONT, "left"), JointFound(FRONT, "right"))
    return JobBooked(row("J-2", 17, 16, days), lines, told)


def test_narrowed_again_by_the_piece_that_is_in_it() -> None:
    """2 one-inch pieces less 1 are 1; on the right 2 halves and 1 inch less the 1 are the 2 halves."""
    chair = record(WIDENED, narrowed(off(INCH), off(INCH, side="right"), bolt("B14-300", 3)))
    assert (chair.size, chair.steps["left"]) == (inches(16), 2)
    assert (stack(chair, "left"), stack(chair, "right")) == ({INCH: 1}, {HALF: 2})
    assert chair.joints[FRONT, "left"].bolt == FittedBolt("B14-300", inches(3))
    assert chair.joints[FRONT, "right"].bolt == FittedBolt("B14-350", inches("7/2"))  # no line: as it was


def test_pieces_that_are_not_in_it_make_the_stack_unknown() -> None:
    assert stack(record(WIDENED, narrowed(off(HALF, 2)))) is None


def test_a_stack_of_which_nobody_knows_stays_unknown() -> None:
    """Nothing is told of the stack before, and no record has it."""
    unknown = replace(WIDENED, joints=(found("left"), found("right")))
    assert stack(record(unknown)) is None
    came_off = JobLine(
        LineKey("remove", "spacer", FRONT, "left"), "", "", Fraction(0), steps=1, came_off="one"
    )
    assert stack(record(WIDENED, narrowed(came_off))) is None


def test_no_steps_are_no_spacers_whatever_was_there() -> None:
    """From 14 in nothing is there; down to 14 in nothing is left."""
    first = JobBooked(row(was=14, to=15), (fit(INCH),), (found("left"),))
    assert stack(record(first)) == {INCH: 1}
    back = JobBooked(
        row("J-2", 16, 14),
        (JobLine(LineKey("remove", "spacer", FRONT, "left"), "", "", Fraction(0), steps=2),),
    )
    assert stack(record(back)) == {}


def test_a_side_that_did_not_change_keeps_what_it_had() -> None:
    steps = (SideSteps("left", 3, 2), SideSteps("right", 3, 3))
    left_only = JobBooked(
        row("J-2", 17, 16, 7, side="left", steps=steps), (off(INCH),), (JointFound(FRONT, "left"),)
    )
    chair = record(WIDENED, left_only)
    assert (stack(chair, "left"), stack(chair, "right")) == ({INCH: 1}, {HALF: 2, INCH: 1})
    assert chair.steps == {"left": 2, "right": 3}


def test_where_the_row_says_other_steps_than_the_record_the_recorded_stack_is_not_used() -> None:
    other = JobBooked(row("J-2", 18, 17, 7), (off(INCH),), (JointFound(FRONT, "left"),))
    assert stack(record(WIDENED, other)) is None


def test_two_stacks_share_the_pieces() -> None:
    """2 fitted in 2 stacks are 1 in each, beside the 1 that was there; 3 do not share evenly."""
    two = found("left", {INCH: 1}, stacks=2, bolts=2)
    assert stack(record(JobBooked(row(), (fit(HALF, 2),), (two,)))) == {INCH: 1, HALF: 1}
    assert stack(record(JobBooked(row(), (fit(HALF, 3),), (two,)))) is None


def test_what_was_used_counts_and_not_what_was_planned() -> None:
    lines = (fit(INCH, used=0), fit(HALF, 0, used=2))
    assert stack(record(JobBooked(row(), lines, (found("left", {}),)))) == {HALF: 2}


def test_two_kinds_of_bolt_in_one_joint_are_no_bolt_that_is_known() -> None:
    chair = record(JobBooked(row(), (bolt("B14-350", "7/2"), bolt("B14-350Z", "7/2"))))
    assert chair.joints[FRONT, "left"].bolt is None


# --- part done ----------------------------------------------------------------------------------------


def part(*lines: JobLine, days: int = 0, joints: tuple[JointFound, ...] = WIDENED.joints) -> JobBooked:
    return JobBooked(replace(row(days=days), standing=PART_DONE), lines, joints)


def test_a_part_done_job_tells_of_the_joints_that_are_booked_whole_alone() -> None:
    chair = record(
        part(
            fit(INCH),
            bolt("B14-350", "7/2"),
            fit(INCH, side="right"),
            bolt("B14-350", "7/2", "right", used=None),
        )
    )
    assert (chair.size, chair.steps) == (None, {})
    assert chair.joints == {
        (FRONT, "left"): JointState({INCH: 2}, FittedBolt("B14-350", inches("7/2"))),
        (FRONT, "right"): JointState(),
    }


def test_a_joint_that_the_part_done_job_did_not_touch_keeps_what_it_had() -> None:
    begun = JobBooked(
        replace(row("J-2", 17, 18, 7), standing=PART_DONE),
        (fit(HALF, used=None), bolt("B14-400", 4, used=None)),
    )
    assert record(WIDENED, begun).joints == record(WIDENED).joints
    assert record(WIDENED, begun).size == inches(17)


def test_when_it_is_done_all_its_bookings_count_from_before_the_first() -> None:
    """Two halves are planned on the left, one is fitted on Monday and one on Tuesday: 1 inch and 2 halves."""
    first = part(fit(HALF, 2, used=1), joints=(found("left", {INCH: 1}),))
    assert stack(record(first)) is None
    rest = JobBooked(row(days=1), (fit(HALF, 1), bolt("B14-350", "7/2")), (JointFound(FRONT, "left"),))
    chair = record(first, rest)
    assert (stack(chair), chair.size) == ({INCH: 1, HALF: 2}, inches(17))
    assert [each.standing for each in chair.history] == ["part", "done"]


def test_a_joint_finished_before_keeps_it_when_the_rest_is_done() -> None:
    first = part(fit(INCH), bolt("B14-350", "7/2"))
    rest = JobBooked(row(days=1), (fit(INCH, side="right"),), (JointFound(FRONT, "right"),))
    assert stack(record(first, rest)) == {INCH: 2}


# --- which bookings count -----------------------------------------------------------------------------


def test_the_day_of_the_work_goes_before_the_day_of_closing() -> None:
    """The narrowing was closed first but done later."""
    assert record(narrowed(off(INCH)), WIDENED).size == inches(16)


def test_several_chairs_and_chairs_without_a_number_leave_nothing() -> None:
    entries = [
        JobEntry("2026-W49", 1, MON, "clerk", replace(WIDENED, row=replace(WIDENED.row, **said)))
        for said in ({"chairs": 2}, {"asset": ""})
    ]
    assert chair_records(entries) == {}


def test_the_other_measure_of_a_chair_has_a_record_of_its_own() -> None:
    back = JobBooked(row("J-3", adjustment="back height", options=("anti-tippers",)))
    entries = [JobEntry("2026-W49", 1, MON, "clerk", job) for job in (WIDENED, back)]
    assert {key[2] for key in chair_records(entries)} == {"seat width", "back height"}


def test_checks_stand_with_their_job() -> None:
    checks = (CheckDone("overall width", True, "640 mm", "second", MON),)
    assert record(replace(WIDENED, checks=checks)).history[0].checks == checks
