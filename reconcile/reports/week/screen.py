"""The week, one job's kit, and problems as text for a terminal 80 columns wide.

Plain ASCII of our own and no colour; a part number is never shortened or broken. The verdict comes first.
"""

from collections.abc import Iterator, Sequence
from datetime import date
from fractions import Fraction

from reconcile.reports.glance.cells_text import columns_unread, unread_text
from reconcile.reports.writing.text import problem_screen, wrapped
from reconcile.reports.writing.wording import (
    BACK_TO_STOCK,
    PUT_ASIDE,
    after_a_look,
    amount_of,
    amount_text,
    aside_text,
    asked_text,
    below_word,
    bins_aside_text,
    choice_text,
    count_text,
    day_text,
    mend_text,
    period_text,
    proposed_text,
    sentences,
    some_of,
    source_text,
    substitute_text,
    torque_words,
    verdict,
)
from reconcile.values.catalogue import CODES, SAID_WHOLE
from reconcile.values.days import week_text
from reconcile.values.frames.frame import Joint
from reconcile.values.measure import length_text, quantity_text
from reconcile.values.stock.parts import Part
from reconcile.values.week.jobs import NOT_CLOSED, PART_DONE, Line, SaidJob
from reconcile.values.week.results import (
    COMPLETE,
    DONE,
    JOB,
    ORDER,
    TO_ORDER,
    WAITS,
    Answer,
    AsIf,
    JobResult,
    Missing,
    PartResult,
    ServedLine,
    Source,
    Week,
    Whereabouts,
)
from reconcile.values.words import fold, natural

BENCH_CAUTIONS = (
    "Follow the frame maker's instructions; local rules come first.",
    "A qualified technician does the work. Check what comes off against this list.",
    "Torque as specified, with a calibrated wrench. Check before the chair is used.",
)
MOST_JOBS_NAMED = 6
"""Jobs named on one line of the screen."""
MOST_TAKERS_NAMED = 12
"""Jobs named that take a part which another job lacks."""

USED_UP = ("extra", "disturbed")
"""Lines of which the part is the name: ``0.1 mL TL-MED``."""


# --- the week -------------------------------------------------------------------------------------


def week_screen(week: Week) -> str:
    sections = (
        opening(week), looked_at_first(week), counted_beside(week), short_by_day(week), to_order(week),
        to_mend(week), set_aside(week), columns_unread(week.unread_columns),
    )  # fmt: skip
    return "\n\n".join("\n".join(section) for each in sections if (section := list(each)))


def counted_beside(week: Week) -> Iterator[str]:
    """Jobs of other days that count, and those that do not: a line for each kind."""
    left = [result.job for result in week.left_over]
    if rows := [job.number for job in left if not job.held]:
        does = f"give {it(rows)} a new day or delete its row"
        yield wrapped(f"Left over, not done when its week was closed: {', '.join(rows)}; {does}.", "", "  ")
    if held := [job.number for job in left if job.held]:
        does = f"give {it(held)} a row with a new day, or release it"
        yield wrapped(f"Left over and held: {', '.join(held)}; {does}.", "", "  ")
    open_weeks = dict.fromkeys(
        week_text(each.job.day) for each in week.others if each.job.beside == NOT_CLOSED
    )
    if open_weeks:
        said = "its jobs count" if len(open_weeks) == 1 else "their jobs count"
        yield wrapped(f"Not closed: {', '.join(open_weeks)}; {said} as still to do.", "", "  ")
    if week.taken_as_done:
        yield wrapped(f"Taken as done, their day being past: {count_text(week.taken_as_done, 'job')}.")
    if week.later:
        last = day_text(week.look_ahead)
        yield wrapped(f"Beyond the look-ahead, after {last}: {count_text(week.later, 'job')}.")


def it(names: Sequence[str]) -> str:
    return "it" if len(names) == 1 else "each"


def opening(week: Week) -> Iterator[str]:
    yield wrapped(verdict(week))
    if proposed := proposed_text(week):
        yield wrapped(proposed)
    if week.jobs:
        yield wrapped(choice_text(week))
    if looks := after_a_look(week):
        yield wrapped(f"Of these {looks}.")
    first, last = day_text(week.period.first), day_text(week.period.last)
    yield wrapped(f"Planned: {period_text(week)}, {first} to {last}. Today is {day_text(week.today)}.")
    if holds := held_text(week):
        yield wrapped(holds)


def looked_at_first(week: Week) -> Iterator[str]:
    """Notices that bear on all jobs of a column, a frame or a part, whole."""
    found = [fault for fault in week.problems if fault.code in SAID_WHOLE]
    if found:
        yield "Look at this first: it can put a wrong part on a chair"
    for fault in found:
        yield wrapped(f"{fault.place}: {fault.says} {fault.do}", "  ", "    ")


def held_text(week: Week) -> str:
    """``Held: J-4200, Wed 2026-12-02 (complete).``; "" where no job is held."""
    held = [result for result in (*week.jobs, *week.others) if result.job.held]
    told = [f"{each.job.number}, {day_text(each.job.day)} ({each.kit})" for each in held]
    return f"Held: {'; '.join(told)}." if told else ""


def short_by_day(week: Week) -> Iterator[str]:
    short = [part for part in week.parts if part.first_short is not None]
    if not short:
        return
    yield "Short if every job is to be done on its day"
    for day in sorted({each.first_short for each in short if each.first_short}):
        yield f"  {day_text(day)}"
        for each in short:
            if each.first_short == day:
                yield from short_part(each)


def short_part(result: PartResult) -> Iterator[str]:
    yield f"    {quantity_text(result.shortfall):>5} {result.part.unit}  {result.part.number}"
    yield wrapped(f"for {named_jobs(result)}", " " * 12)


def named_jobs(result: PartResult) -> str:
    return some_of(list(dict.fromkeys(risk.job for risk in result.at_risk)), MOST_JOBS_NAMED)


def to_order(week: Week) -> Iterator[str]:
    """What must be ordered today or is late already; the rest is counted."""
    ordered = [part for part in week.parts if part.order]
    if not ordered:
        return
    now = [each for each in ordered if each.order_by is None or each.order_by <= week.today]
    if now:
        yield "To order today"
    for supplier in sorted({each.part.supplier for each in now}):
        yield f"  {supplier or 'no supplier named'}"
        for each in sorted(now, key=lambda each: (not each.at_risk, not each.late)):
            if each.part.supplier == supplier:
                yield from order_part(each)
    if later := len(ordered) - len(now):
        yield wrapped(f"{'Also to order' if now else 'To order'} in time: {count_text(later, 'part')}.")
    if waiting := sum(bool(part.to_come) for part in week.parts):
        yield wrapped(f"To come, for later weeks, not ordered now: {count_text(waiting, 'part')}.")


def to_mend(week: Week) -> Iterator[str]:
    """What lacks and is not ordered, for nobody knows what lies in the rows that were set aside."""
    lacking = [part for part in week.parts if part.part.to_mend and part.want]
    if lacking:
        yield "Not ordered: mend these rows of stock first"
    for result in lacking:
        amount = f"{quantity_text(result.want):>5} {result.part.unit}  {result.part.number}"
        yield wrapped(f"{amount}  {aside_text(result.part)}", "    ", " " * 12)


def order_part(result: PartResult) -> Iterator[str]:
    packs = f" ({count_text(result.packs, 'pack')})" if result.part.pack != 1 else ""
    amount = f"{quantity_text(result.order):>5} {result.part.unit}{packs}  {result.part.number}"
    yield wrapped(f"{amount}{lateness(result)}", "    ", " " * 12)
    if aside := bins_aside_text(result.part):
        yield wrapped(f"not counted: {aside}", " " * 12)


def lateness(result: PartResult) -> str:
    if result.late and result.required_by is not None:
        if not result.at_risk:
            return f"  {below_word(result)}"
        return f"  LATE for {day_text(result.required_by)}; at risk: {named_jobs(result)}"
    return "  no lead time known" if result.order_by is None else ""


def set_aside(week: Week) -> Iterator[str]:
    aside = [(sheet, tally.set_aside) for sheet, tally in week.rows.items() if tally.set_aside]
    if aside:
        rows = ", ".join(f"{count_text(count, 'row')} of {sheet}" for sheet, count in aside)
        yield wrapped(f"Set aside: {rows}. The problems sheet says why and what to do.")
    if unread := unread_text(week.cells):
        yield wrapped(unread)
    notices = sum(fault.severity == "notice" for fault in week.problems)
    if notices:
        yield wrapped(f"{count_text(notices, 'notice')} beside. All are in the report.")


MOST_DIFFERENCES = 6


def of_the_ledger(week: Week) -> str:
    """What the ledger has to say of the stock sheet, part by part; "" where they agree."""
    found = week.ledger_remarks
    told = problem_screen(found[:MOST_DIFFERENCES])
    more = len(found) - MOST_DIFFERENCES
    return told if more <= 0 else f"{told}\nAnd {more} more: reconcile ledger --check names them all."


# --- one job --------------------------------------------------------------------------------------


def check_screen(answer: Answer) -> str:
    """Yes, yes when, yes if, or no; then the kit, side by side and bolt by bolt; then what is missing."""
    result, week = answer.result, answer.week
    if result.kit == DONE:
        return wrapped(opening_line(answer))
    sections = (
        asked_lines(answer), looked_at_first(week), missing(result, week), kit(result, week),
        columns_unread(week.unread_columns), by_bin(week), BENCH_CAUTIONS,
    )  # fmt: skip
    return "\n\n".join("\n".join(section) for each in sections if (section := list(each)))


def opening_line(answer: Answer) -> str:
    """What is asked where that is not what stands in the sheet, then the answer."""
    result = answer.result
    told = [as_if_text(result.job, answer.as_if)] if answer.as_if else []
    return " ".join([*told, *passed_text(result), *part_done_text(result), answer_line(result)])


def as_if_text(job: SaidJob, as_if: Sequence[AsIf]) -> str:
    """``As if J-4101 said chairs 50, not 1; nothing is changed.``"""
    said = ", ".join(f"{each.heading} {each.asked or 'none'}, not {each.row or 'none'}" for each in as_if)
    return f"As if {job.number} said {said}; nothing is changed."


def part_done_text(result: JobResult) -> Iterator[str]:
    """That some of a job is booked, so that nobody looks for the lines that are not there."""
    if result.job.standing == PART_DONE:
        yield f"{result.job.number} is part done; this is what is left of it."


def passed_text(result: JobResult) -> Iterator[str]:
    """That a job's day has passed, and which day it is judged for."""
    if result.planned_for is not None and result.planned_for != result.job.day:
        day, judged = day_text(result.job.day), day_text(result.planned_for)
        yield f"{day} has passed: {result.job.number} is judged for {judged}."


def answer_line(result: JobResult) -> str:
    """Yes, yes when, yes if, or no, in one sentence; *after a look* where nobody knows what comes off."""
    job, day = result.job, day_text(result.planned_for or result.job.day)
    if result.kit == DONE:
        return done_line(result)
    yes = "Yes, after a look" if result.look_first else "Yes"
    if result.kit == COMPLETE:
        return f"{yes}: the kit for {job.number} is on the shelf for {day}."
    sources = list(dict.fromkeys(arrival(each.source, each.day) for each in result.awaited))
    if result.kit == WAITS:
        return f"{yes}, when {' and '.join(sources)}; planned for {day}."
    if result.kit == TO_ORDER:
        when = f", and when {' and '.join(sources)}" if sources else ""
        return f"{yes}, if {ordered_text(result)}{when}."
    when = f" It could be done from {day_text(result.earliest)}." if result.earliest else ""
    return f"No: the kit for {job.number} is not complete on {day}.{when}"


def done_line(result: JobResult) -> str:
    job = result.job
    if result.done_with:
        return f"Done already: {job.number} was booked as done with the closing of {result.done_with}."
    return (
        f"{job.number} is taken as done: its day, {day_text(job.day)}, has passed, and the book knows nothing"
        " of it. If it is still to do, give it a new day."
    )


def ordered_text(result: JobResult) -> str:
    """``2 B14-250 and 4 SP-050 are ordered by Tue 2026-12-01``."""
    lacks = [lack_text(lack) for lack in result.missing]
    many = len(lacks) > 1 or result.missing[0].quantity > 1
    by = f" by {day_text(result.order_by)}" if result.order_by else ""
    return f"{some_and(lacks)} {'are' if many else 'is'} ordered{by}"


def lack_text(lack: Missing) -> str:
    """``2 B14-250``, ``0.1 mL of TL-MED``."""
    part = lack.whereabouts.part if lack.whereabouts else None
    if part is None or part.unit == "each":
        return f"{quantity_text(lack.quantity)} {lack.part}"
    return amount_of(lack.quantity, part)


def some_and(words: Sequence[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def asked_lines(answer: Answer) -> Iterator[str]:
    result, week = answer.result, answer.week
    job = result.job
    yield wrapped(opening_line(answer))
    if result.gives_way:
        day = day_text(result.planned_for or job.day)
        yield wrapped(f"On {day} only if {result.gives_way}, less urgent, gave up its kit; it keeps it.")
    frame = week.frames[fold(job.frame)]
    chairs = "" if job.chairs == 1 else f", {job.chairs} chairs"
    sizes = f"{length_text(job.size_from, frame.unit)} to {length_text(job.size_to, frame.unit)}"
    options = f", with {', '.join(job.options)}" if job.options else ""
    yield wrapped(f"{frame.code}, {job.adjustment or frame.adjustments[0].name}: {sizes}{options}{chairs}.")
    steps = [
        f"{'' if side == 'single' else side + ' '}{before} to {after}"
        for side, before, after in result.steps.sides
    ]
    yield wrapped(f"Steps: {', '.join(steps)}.")
    if places := looked_at(result):
        yield wrapped(f"Look first: {'; '.join(places)}.")
    for notice in result.notices:
        yield wrapped(f"Note: {notice}")


def looked_at(result: JobResult) -> list[str]:
    """Where somebody must look before anyone can say what comes off: ``upper front, left``."""
    looks = (served.line for served in result.lines if served.line.look_first)
    return list(dict.fromkeys(", ".join(filter(None, (line.name, line.side))) for line in looks))


def arrival(source: Source, day: date) -> str:
    if source.kind == ORDER:
        return f"the delivery of {source_text(source)} is in on {day_text(day)}"
    return f"what comes off {source.number} is back on {day_text(day)}, after inspection"


def missing(result: JobResult, week: Week) -> Iterator[str]:
    if result.missing:
        yield "To be ordered" if result.kit == TO_ORDER else "Missing"
    for lack in result.missing:
        part = find_part(lack.part, week)
        lead = lead_text(part)
        yield wrapped(f"{quantity_text(lack.quantity):>5} {part.unit}  {lack.part}  ({lead})", "  ", " " * 12)
        yield from reasons(lack, result)
    if result.awaited:
        yield "Relied on"
    for relied in result.awaited:
        unit = find_part(relied.part, week).unit
        amount = f"{quantity_text(relied.quantity):>5} {unit}  {relied.part}"
        yield wrapped(f"{amount}  from {source_text(relied.source)}, {day_text(relied.day)}", "  ", " " * 12)


def lead_text(part: Part) -> str:
    if part.to_mend:
        return "set aside in stock"
    if part.lead_time is None:
        return "no lead time known"
    return f"lead time {count_text(part.lead_time, 'working day')}"


def reasons(lack: Missing, result: JobResult) -> Iterator[str]:
    """What lies there, who takes it on which day, what is due, and what would help."""
    known = lack.whereabouts
    if known is None:
        return
    said = (shelf_text(known.part), takers_text(known, result), due_text(known, result), help_text(lack))
    for told in filter(None, said):
        yield wrapped(told, " " * 12, " " * 14)


def shelf_text(part: Part) -> str:
    if part.new:
        return mend_text(part) if part.to_mend else "stock does not list it"
    allocated = f", {quantity_text(part.allocated)} of them allocated" if part.allocated else ""
    aside = f"; not counted: {told}" if (told := bins_aside_text(part)) else ""
    return f"on hand {quantity_text(part.on_hand)}{allocated}{aside}"


def takers_text(known: Whereabouts, result: JobResult) -> str:
    """``taken: Mon 2026-11-30 by J-4101 (priority 2) 4, J-4102 (priority 1, held) 8; ...``, day by day."""
    others = [taker for taker in known.takers if taker.job != result.job.number]
    if not others:
        return ""
    shown = others[:MOST_TAKERS_NAMED]
    days = [
        f"{day_text(day)} by "
        + ", ".join(
            f"{each.job} (priority {each.priority}{', held' if each.held else ''})"
            f" {quantity_text(each.quantity)}"
            for each in shown
            if each.day == day
        )
        for day in dict.fromkeys(each.day for each in shown)
    ]
    more = f"; and by {count_text(len(others) - len(shown), 'job')} more" if len(others) > len(shown) else ""
    return f"taken {'; '.join(days)}{more}"


def due_text(known: Whereabouts, result: JobResult) -> str:
    others = [each for each in known.due if each.source != Source(JOB, result.job.number)]
    shown = [
        f"{day_text(each.day)} {quantity_text(each.quantity)} from {source_text(each.source)}"
        for each in others[:MOST_TAKERS_NAMED]
    ]
    more = f"; and {len(others) - len(shown)} times more" if len(others) > len(shown) else ""
    return f"comes in {'; '.join(shown)}{more}" if shown else ""


def help_text(lack: Missing) -> str:
    """By when it has to be ordered; or from which day it is there, if it is ordered today."""
    known = lack.whereabouts
    if known is not None and known.part.to_mend:
        return ""
    if lack.order_by is not None:
        return f"order by {day_text(lack.order_by)}"
    if known is not None and known.ordered_today is not None:
        return f"ordered today, it is there for {day_text(known.ordered_today)}"
    return "can never be had in time: it has no lead time"


def find_part(number: str, week: Week) -> Part:
    return week.stock.parts.get(number) or week.unlisted.get(number) or Part(number, new=True)


def kit(result: JobResult, week: Week) -> Iterator[str]:
    if not result.lines:
        yield "Nothing is needed."
        return
    unit = week.frames[fold(result.job.frame)].unit
    group: tuple[str, str] | None = None
    for served in result.lines:
        line = served.line
        heading = (line.side, line.name if line.joint else "")
        if heading != group:
            group = heading
            yield from kit_heading(served, week, result)
        yield from kit_line(served, unit, week)


def kit_heading(served: ServedLine, week: Week, result: JobResult) -> Iterator[str]:
    line = served.line
    where = ", ".join(part for part in (line.side, line.name if line.joint else "") if part) or "the chair"
    joint: Joint | None = line.joint
    frame = week.frames[fold(result.job.frame)]
    figure = torque_words(joint, result.lines) if joint else ""
    torque = f"  (torque {figure}: {frame.source})" if figure else ""
    yield wrapped(f"{where.capitalize()}{torque}", "", "  ")
    drives = (cut.drive for cut in result.cuts if joint is not None and cut.joint.ident == joint.ident)
    if drive := next(filter(None, drives), None):
        yield wrapped(f"Turned by: {drive}", "  ", " " * 9)
    if joint is not None and joint.note:
        yield wrapped(f"Note: {joint.note}", "  ", " " * 9)


def kit_line(served: ServedLine, unit: str, week: Week) -> Iterator[str]:
    """``in   2 bolts 3 in: B-14-300, bin A3 (8)``."""
    line = served.line
    asked = asked_text(served, served.quantity, unit)
    parts = "; ".join(served_by(number, quantity, served, week) for number, quantity in served.parts)
    if line.what in USED_UP:
        ends = f"{asked} {parts or ' or '.join(line.named)}"
    else:
        ends = ": ".join(each for each in (asked, fate(served), parts) if each)
    yield wrapped(f"{way_of(line):<3}  {ends}", "  ", " " * 9)
    for offered in substitute_text(served, unit):
        yield wrapped(f"SUBSTITUTE: {offered}. A qualified technician must agree.", " " * 9)
    for caution in served.all_cautions:
        yield wrapped(f"Caution: {sentences((caution,))}", " " * 9)


def way_of(line: Line) -> str:
    """Whether something comes out, goes in, or is used up by measure: nobody lays 0.1 mL into a chair."""
    if line.do != "fit":
        return "out"
    return "use" if line.what == "extra" and line.unit != "each" else "in"


def by_bin(week: Week) -> Iterator[str]:
    """All that the job takes from the shelf, bin by bin: what is laid out is counted once."""
    taken: dict[str, list[str]] = {}
    for pick in week.picks:
        for name, quantity in pick.bins:
            taken.setdefault(name, []).append(f"{amount_text(quantity, pick.part.unit)} {pick.part.number}")
    if taken:
        yield "By bin, for the whole job"
    for name in sorted(taken, key=natural):
        yield wrapped(f"{name or 'no bin given':<8}  {', '.join(taken[name])}", "  ", " " * 12)


def served_by(number: str, quantity: Fraction, served: ServedLine, week: Week) -> str:
    """The part, how many where that is not plain from the line, and where it lies."""
    part = find_part(number, week)
    many = (
        ""
        if quantity == served.quantity and served.line.what != "spacer"
        else f"{quantity_text(quantity)} x "
    )
    return f"{many}{number}{bins_text(part, counts=served.line.do == 'fit')}"


def fate(served: ServedLine) -> str:
    """Where a removed part goes."""
    if served.line.do == "fit":
        return ""
    if served.line.look_first:
        return "look first, and write down what comes off"
    if not served.line.reuse:
        return "not to be used again"
    return BACK_TO_STOCK if served.parts else PUT_ASIDE


def bins_text(part: Part, counts: bool = True) -> str:
    if part.new:
        return f": {aside_text(part)}" if part.to_mend else ", not listed by stock"
    named = [
        f"{each.name} ({quantity_text(each.on_hand)})" if counts else each.name
        for each in part.bins
        if each.name
    ]
    return f", bin {', '.join(named)}" if named else ""


# --- problems -------------------------------------------------------------------------------------


def catalogue_screen(code: str) -> str:
    """One code of the catalogue explained, or all of them listed."""
    if not code:
        return "\n".join(wrapped(f"{name:<24} {entry.means}", "", " " * 25) for name, entry in CODES.items())
    entry = CODES[code]
    parts = (("means", entry.means), ("example", entry.example), ("done", entry.did), ("to do", entry.do))
    return "\n".join(
        [
            f"{code} ({entry.severity})",
            *(wrapped(f"{name:<8} {text}", "  ", " " * 11) for name, text in parts),
        ]
    )
