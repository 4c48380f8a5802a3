"""Why a number is what it is: a job's lines and a part's numbers, each figure with where it came from."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from reconcile.reports.week.screen import USED_UP, find_part, missing, opening_line, way_of
from reconcile.reports.week.why_order import lot_figures, next_break_figure, rounds_figures
from reconcile.reports.writing.text import wrapped
from reconcile.reports.writing.wording import (
    BACK_TO_STOCK,
    PUT_ASIDE,
    aside_text,
    asked_text,
    count_text,
    day_text,
    engaged_text,
    sentences,
    source_text,
)
from reconcile.values.frames.frame import Adjustment, Frame, Joint
from reconcile.values.ledger.jobs import JointFound
from reconcile.values.measure import length_text, near_text, quantity_text
from reconcile.values.stock.parts import Part
from reconcile.values.week.explained import Explained
from reconcile.values.week.jobs import Choice, Job, Line
from reconcile.values.week.results import (
    DONE,
    Answer,
    JobResult,
    PartResult,
    ServedLine,
    ShelfDay,
    Taking,
    Week,
)
from reconcile.values.words import fold

PROPOSED = "levels proposed from usage, not those of the sheet"


def why_text(explained: Explained) -> str:
    """A job or a part, figure by figure, each with the cell or frame key that it came from."""
    if explained.part is not None:
        return why_part(explained.part, explained.takings, explained.week)
    return why_job(explained.job, explained.week) if explained.job is not None else ""


def why_job(result: JobResult, week: Week) -> str:
    """Steps, then each line's lengths, window and choices, with the cells and frame keys they rest on."""
    opened = wrapped(opening_line(Answer(result, week)))
    if result.kit == DONE:
        return opened
    frame = week.frames[fold(result.job.frame)]
    number, adjustment = adjustment_of(result, frame)
    lines = [
        opened,
        *job_figures(result, frame, adjustment, number),
        "",
        *(text for text in (*missing(result, week), "") if result.missing),
        *(text for served in result.lines for text in why_line(served, result, frame, week)),
    ]
    return "\n".join(lines)


def adjustment_of(result: JobResult, frame: Frame) -> tuple[int, Adjustment]:
    wanted = fold(result.job.adjustment)
    for number, each in enumerate(frame.adjustments, 1):
        if not wanted or fold(each.name) == wanted:
            return number, each
    raise LookupError(result.job.adjustment)


def job_figures(result: JobResult, frame: Frame, adjustment: Adjustment, number: int) -> Iterator[str]:
    job, unit, key = result.job, frame.unit, f"{frame.file}!adjustment[{number}]"
    yield wrapped(f"{frame.code}, {adjustment.name}; figures from {frame.source}", "  ")
    yield wrapped(
        f"minimum {length_text(adjustment.minimum, unit)}, step {length_text(adjustment.step, unit)}"
        f"  [{key}]",
        "  ",
    )
    for word, heading, size in (("now", "from", job.size_from), ("wanted", "to", job.size_to)):
        steps = (size - adjustment.minimum) / adjustment.step
        sides = ", ".join(
            f"{side} {before if word == 'now' else after}" for side, before, after in result.steps.sides
        )
        above = f"({length_text(size, unit)} - {length_text(adjustment.minimum, unit)})"
        sum_text = f"{above} / {length_text(adjustment.step, unit)} = {steps}"
        by_record = job.by_record and heading == "from"
        source = f"the record of {job.asset}" if by_record else str(job.place.cell(heading))
        yield wrapped(f"steps {word}: {sum_text}: {sides}  [{source}]", "  ")
    for joint in result.found:
        yield from found_figures(joint, unit, job)
    for notice in result.notices:
        yield wrapped(f"note: {notice}", "  ")


def found_figures(joint: JointFound, unit: str, job: Job) -> Iterator[str]:
    """What is taken to be at a joint before the work."""
    where = f"{joint.name}, {joint.side}" if joint.side else joint.name
    there = []
    if joint.bolt:
        length = f", {length_text(joint.bolt_length, unit)}" if joint.bolt_length is not None else ""
        there.append(f"bolt {joint.bolt}{length}")
    if joint.stack:
        pieces = (f"{quantity_text(count)} x {part}" for part, count in joint.stack.items())
        there.append(f"each stack {' + '.join(pieces)}")
    if there:
        row = job.spacers_now is not None and bool(joint.stack)
        said = f"  [{job.place.cell('spacers now')}]" if row else ""
        yield wrapped(f"there now at {where}: {'; '.join(there)}{said}", "  ")


def why_line(served: ServedLine, result: JobResult, frame: Frame, week: Week) -> Iterator[str]:
    line, unit = served.line, frame.unit
    where = ", ".join(each for each in (line.side, line.name) if each)
    verb = way_of(line)
    thing = asked_text(served, line.quantity, unit, " of ")
    if line.what in USED_UP:
        thing = f"{thing} {' or '.join(line.named)}"
    chairs = f" x {result.job.chairs} chairs" if result.job.chairs > 1 else ""
    key = f"  [{frame.file}!{line.joint.key}]" if line.joint else ""
    yield wrapped(
        f"{where}: {verb} {thing}{chairs}{key}",
        "",
        "    ",
    )
    if line.what == "bolt" and line.joint is not None:
        yield from bolt_figures(line, line.joint, result, unit)
    if line.joint is not None and line.joint.note and line.what == "bolt" and line.do == "fit":
        yield wrapped(f"note: {line.joint.note}  [{frame.file}!{line.joint.key}.note]", "    ")
    for caution in served.all_cautions:
        yield wrapped(f"Caution: {sentences((caution,))}", "    ")
    if line.do == "fit":
        yield from choice_figures(served, unit, week)
    elif line.look_first:
        yield "    look first: nothing says what comes off, so nothing is counted on"
    elif not line.reuse:
        yield "    not to be used again"
    else:
        yield from [f"    {number}, {BACK_TO_STOCK}" for number, _ in served.parts] or [f"    {PUT_ASIDE}"]


def bolt_figures(line: Line, joint: Joint, result: JobResult, unit: str) -> Iterator[str]:
    options = frozenset(map(fold, result.job.options))
    yield wrapped(f"length {sum_of(joint.length, joint, line.steps, options, unit)}", "    ")
    window, grip = joint.window_at(line.steps, options), joint.grip_at(line.steps, options)
    if line.do == "fit" and window is not None and joint.grip is not None and grip is not None:
        washers = [
            (f"{quantity_text(Fraction(washer.count))} x {washer.part}", washer.count * washer.thickness)
            for washer in joint.washers
        ]
        yield wrapped(f"grip {sum_of(joint.grip, joint, line.steps, options, unit, washers)}", "    ")
        least, most = window.shortest - grip, window.longest - grip
        rule = " (common practice)" if window.rule_of_thumb else ""
        yield wrapped(
            f"window: grip + {near_text(least, unit)}{rule} to grip + {near_text(most, unit)}"
            f" = {near_text(window.shortest, unit)} to {near_text(window.longest, unit)}",
            "    ",
        )


def sum_of(  # noqa: PLR0913, PLR0917  (one sum with all its terms)
    base: Fraction,
    joint: Joint,
    steps: int,
    options: frozenset[str],
    unit: str,
    more: Sequence[tuple[str, Fraction]] = (),
) -> str:
    """``1 1/2 in + 3 x 1/2 in + front rigging 1/2 in = 3 1/2 in``; ``more``: what else counts."""
    fitted = [*((option, by) for option, by in joint.lengthen if option in options), *more]
    terms = [length_text(base, unit), f"{steps} x {length_text(joint.per_step, unit)}"]
    terms += [f"{option} {length_text(by, unit)}" for option, by in fitted]
    total = base + joint.added(steps, options) + sum((by for _, by in more), Fraction(0))
    return f"{' + '.join(terms)} = {near_text(total, unit)}"


def choice_figures(served: ServedLine, unit: str, week: Week) -> Iterator[str]:
    shares = dict(served.served)
    for choice in served.line.choices:
        share = shares.get(choice)
        mark = f"takes {quantity_text(share)}" if share else "not taken"
        yield wrapped(f"{mark}: {choice_text(choice, served.line, unit, week)}", "    ", "        ")


def choice_text(choice: Choice, line: Line, unit: str, week: Week) -> str:
    parts = " + ".join(
        f"{number}" if each == 1 and len(choice.parts) == 1 else f"{quantity_text(each)} x {number}"
        for number, each in choice.parts
    )
    length = ""
    if choice.length is not None:
        exact = "" if choice.substitute else ", exactly"
        length = f", {length_text(choice.length, unit)}{exact}{engaged_text(choice, line)}"
    cells = "; ".join(cells_of(find_part(number, week)) for number, _ in choice.parts)
    return f"{parts}{length}  [{cells}]"


def cells_of(part: Part) -> str:
    """The cells that say how much of a part there is."""
    if part.to_mend:
        return aside_text(part)
    return ", ".join(str(each.place.cell("on hand")) for each in part.bins) or "not listed by stock"


# --- a part ------------------------------------------------------------------------------------------------


def why_part(result: PartResult, takings: tuple[Taking, ...], week: Week) -> str:
    """Shelf, receipts, recoveries, who takes it on which day, shortfall and order, each with its cell."""
    part = result.part
    return "\n".join(
        [
            wrapped(f"{part.number}: {part.designation or 'no description'}"),
            *shelf_figures(part, week),
            *day_figures(result, takings),
            *later_figures(result, takings),
            *order_figures(result, week),
            *rounds_figures(result, week),
        ]
    )


def shelf_figures(part: Part, week: Week) -> Iterator[str]:
    if not part.bins and not part.aside:
        yield "  on the shelf: 0, for stock does not list it"
    for each in part.bins:
        allocated = f", {quantity_text(each.allocated)} allocated" if each.allocated else ""
        named = f"bin {each.name}: " if each.name else ""
        yield wrapped(
            f"{named}{quantity_text(each.on_hand)} {part.unit}{allocated}  [{each.place.cell('on hand')}]",
            "  ",
        )
    for row in part.aside:
        named = f"{'' if row.part == part.number else f'{row.part}, '}row {row.row}"
        placed = f", bin {row.bin}" if row.bin else ""
        yield wrapped(f"{named} is set aside (cell {row.place.cell}){placed}  [{row.place}]", "  ")
    for due in week.stock.due:
        if due.part == part.number:
            yield wrapped(
                f"on order {due.order}: {quantity_text(due.quantity)} due {day_text(due.day)}"
                f"  [{due.place.cell('quantity')}]",
                "  ",
            )


def day_figures(result: PartResult, takings: tuple[Taking, ...]) -> Iterator[str]:
    if not result.days:
        return
    yield ""
    yield "  If every job is done on its day"
    yield from days_told(result.days, takings)


def days_told(days: tuple[ShelfDay, ...], takings: tuple[Taking, ...]) -> Iterator[str]:
    """What comes, what goes to whom, and what is left, a line a day."""
    for day in days:
        moves = []
        if day.received or day.recovered:
            sources = ", ".join(map(source_text, day.sources))
            moves.append(f"in {quantity_text(day.received + day.recovered)} ({sources})")
        if day.taken:
            takers = ", ".join(
                f"{taking.job} {quantity_text(taking.quantity)}"
                for taking in takings
                if taking.day == day.day
            )
            moves.append(f"out {quantity_text(day.taken)} ({takers})")
        told = "; ".join(moves) or "nothing comes or goes"
        yield wrapped(f"{day_text(day.day)}: {told}; left {quantity_text(day.left)}", "  ", "      ")


def later_figures(result: PartResult, takings: tuple[Taking, ...]) -> Iterator[str]:
    """The same after the period."""
    if result.later:
        yield ""
        yield "  After the period"
        yield from days_told(result.later, takings)


def order_text(result: PartResult) -> str:
    """``200 in 4 packs``; ``1`` of a part that comes singly."""
    packs = "" if result.part.pack == 1 else f" in {count_text(result.packs, 'pack')}"
    return f"{quantity_text(result.order)}{packs}"


def order_figures(result: PartResult, week: Week) -> Iterator[str]:
    part, position = result.part, result.position
    row = part.bins[0].place if part.bins else None
    yield ""
    short = f", first on {day_text(result.first_short)}" if result.first_short else ""
    yield wrapped(f"shortfall {quantity_text(result.shortfall)}{short}", "  ")
    yield wrapped(
        f"left at the end {quantity_text(result.end)}, position on {day_text(result.reach)}"
        f" {quantity_text(position)}",
        "  ",
    )
    levels = (
        ("safety stock", part.safety_stock or None),
        ("reorder point", part.reorder_point),
        ("order up to", part.order_up_to),
        ("minimum order", part.minimum_order or None),
        ("pack", part.pack if part.pack != 1 else None),
    )
    proposed = ("reorder point", "order up to") if week.on_proposal(part.number) else ()
    for name, level in levels:
        if level is not None and row is not None:
            source = PROPOSED if name in proposed else str(row.cell(name))
            yield wrapped(f"{name} {quantity_text(level)}  [{source}]", "  ")
    if part.to_mend and result.want:
        yield f"  want {quantity_text(result.want)}, not ordered: mend it first"
        return
    if not result.order:
        yield "  nothing to order"
        return
    yield wrapped(
        f"want {quantity_text(result.want)}, so order {order_text(result)}",
        "  ",
    )
    yield from lot_figures(result)
    yield from next_break_figure(result)
    if result.required_by is not None:
        lead = (
            ""
            if part.lead_time is None or row is None
            else f", lead time {part.lead_time} working days  [{row.cell('lead time days')}]"
        )
        yield wrapped(f"required by {day_text(result.required_by)}{lead}", "  ")
    if result.order_by is not None:
        late = f": late, today is {day_text(week.today)}" if result.late else ""
        yield wrapped(f"order by {day_text(result.order_by)}{late}", "  ")
