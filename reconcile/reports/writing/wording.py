"""How the sheets put things: counts, lists, quantities and the usual cautions, in plain words."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from reconcile import __version__
from reconcile.values.days import DAY_NAMES
from reconcile.values.frames.frame import Joint, torque_for
from reconcile.values.measure import length_text, near_text, percent, quantity_text
from reconcile.values.problem import Place
from reconcile.values.rules import measured
from reconcile.values.stock.lines import REPLACE
from reconcile.values.stock.parts import Part
from reconcile.values.week.jobs import Choice, Line
from reconcile.values.week.page_foot import PageFoot
from reconcile.values.week.results import (
    COMPLETE,
    DONE,
    ORDER,
    SHORT,
    TO_ORDER,
    WAITS,
    JobResult,
    PartResult,
    ServedLine,
    Source,
    Week,
)

PROGRAM = f"reconcile {__version__}"

TIMES = "×"

CARD, CARDS = "Job card", "Job cards"
CLOSE_OUT = "Job close-out"
BACK_TO_STOCK = "back to stock after inspection"
PUT_ASIDE = "put aside: stock has no such part"
CHECK_WHAT_COMES_OFF = "Check what comes off."

CAUTIONS = (
    "Follow the frame maker's instructions.",
    "A qualified technician does the work.",
    "Torque as specified, with a calibrated wrench.",
    CHECK_WHAT_COMES_OFF,
    "Check before the chair is used.",
    "Local rules come first.",
)

MOST_JOBS_NAMED = 12
"""Jobs named in one cell. A cell taller than a page prints cut off; the kit lines name every job."""


def count_text(count: int, thing: str) -> str:
    """``1 job``, ``3 jobs``."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def some_of(names: Sequence[str], most: int = MOST_JOBS_NAMED) -> str:
    """The first few names, and how many more there are."""
    shown = ", ".join(names[:most])
    return f"{shown} and {len(names) - most} more" if len(names) > most else shown


def thing_text(line: Line, quantity: Fraction, times: str = "x") -> str:
    """What a line is about and how many: ``2 bolts``, ``crossbar cover``, ``0.1 mL``."""
    if line.what in ("bolt", "spacer"):
        return f"{quantity_text(quantity)} {line.what}{'' if quantity == 1 else 's'}"
    if line.what in ("cover", "sized"):
        return line.name if quantity == 1 else f"{quantity_text(quantity)} {times} {line.name}"
    amount = amount_text(quantity, line.unit)
    return f"{REPLACE}: {amount}" if line.what == "disturbed" else amount


def asked_text(served: ServedLine, quantity: Fraction, unit: str, of: str = " ") -> str:
    """How many of what length: ``2 bolts 3 in``, ``1 spacer 1/2 in``, ``2 steps of the stack``.

    The length of spacers is that of a stack, which several pieces make up: ``1 stack of spacers 2 in``,
    ``2 spacers, together 1 in``. ``of``: what stands before a length.
    """
    line = served.line
    if line.look_first and line.what == "spacer":
        return f"{count_text(int(quantity), 'step')} of the stack"
    length = "" if line.length is None else length_text(line.length, unit)
    thing = thing_text(line, quantity)
    if line.what == "spacer" and length and not is_one_piece(served):
        if line.do == "remove":
            each = " at each stack" if line.joint and line.joint.stacks > 1 else ""
            return f"{thing}, together {length}{each}"
        thing = f"{count_text(int(quantity), 'stack')} of spacers"
    return f"{thing}{of}{length}" if length else thing


def is_one_piece(served: ServedLine) -> bool:
    """Whether each stack of a line is, or gives up, a single spacer."""
    stacks = served.line.joint.stacks if served.line.joint else 1
    if served.line.do == "remove":
        return served.line.quantity == stacks
    return sum(count for _, count in served.parts) in (0, served.quantity)


def sentences(texts: Iterable[str]) -> str:
    """Remarks run together, each ended by a stop."""
    return " ".join(text if text.endswith((".", "!", "?")) else f"{text}." for text in texts if text)


def amount_text(value: Fraction, unit: str) -> str:
    """``2``, ``0.1 mL``: the unit is said where it is not plain pieces."""
    return quantity_text(value) if unit == "each" else f"{quantity_text(value)} {unit}"


def amount_of(value: Fraction, part: Part) -> str:
    """``2 of B-14-300``, ``0.1 mL of TL-MED``."""
    return f"{amount_text(value, part.unit)} of {part.number}"


def aside_text(part: Part) -> str:
    """``row 205 is set aside (cell K205)``; of a bolt that is wanted by designation, which part it is."""
    rows = [
        f"{'' if row.part == part.number else f'{row.part}, '}row {row.row}"
        f"{'' if row.part == part.number else ','} is set aside (cell {row.place.cell})"
        for row in part.aside
    ]
    return "; ".join(rows)


def bins_aside_text(part: Part) -> str:
    """Of a part that has sound rows too: ``bin D-40, row 7, set aside (cell E7)``; "" for none."""
    return "; ".join(
        f"{f'bin {row.bin}, ' if row.bin else ''}row {row.row}, set aside (cell {row.place.cell})"
        for row in (() if part.new else part.aside)
    )


def mend_text(part: Part) -> str:
    """``row 205 is set aside (cell K205): mend it before you order``."""
    return f"{aside_text(part)}: mend {'it' if len(part.aside) == 1 else 'them'} before you order"


def source_text(source: Source) -> str:
    """``order PO-12``; ``J-104, after inspection``."""
    return f"order {source.number}".strip() if source.kind == ORDER else f"{source.number}, after inspection"


def place_text(place: Place | None) -> str:
    """``returns-2026-W49.xlsx!Lines!J5``; "" where nothing says where."""
    return "" if place is None else str(place)


def day_text(day: date) -> str:
    """``Tue 2026-12-01``, in English whatever the machine's locale."""
    return f"{DAY_NAMES[day.weekday()]} {day.isoformat()}"


def verdict(week: Week) -> str:
    """Whether every kit can be made up, in one sentence."""
    kits = Counter(job.kit for job in week.jobs)
    if not kits:
        return "No job of the period could be planned; there is nothing to judge."
    done = [f"{kits[DONE]} done already"] if kits[DONE] else []
    to_do = len(week.jobs) - kits[DONE]
    if not to_do:
        return f"Every job of the period is done: {count_text(kits[DONE], 'job')}."
    if kits[COMPLETE] == to_do:
        served = [f"{count_text(to_do, 'job')}, served from the shelf", *done]
        return f"Every kit is complete: {'; '.join(served)}."
    parts = [f"{kits[COMPLETE]} of {count_text(to_do, 'kit')} complete"]
    if kits[WAITS]:
        relies = "relies" if kits[WAITS] == 1 else "rely"
        parts.append(f"{kits[WAITS]} {relies} on parts that have yet to come")
    if kits[TO_ORDER]:
        parts.append(f"{kits[TO_ORDER]} to be ordered for in time")
    if kits[SHORT]:
        parts.append(f"{kits[SHORT]} short of parts")
    opening = "Not every job can be done" if kits[SHORT] else "No job is short"
    return f"{opening}: {', '.join(parts + done)}."


def proposed_text(week: Week) -> str:
    """That the orders follow levels proposed from use, and of how many parts; "" where they do not."""
    if week.proposals is None:
        return ""
    followed = sum(proposal.proposed is not None for proposal in week.proposals)
    rules = week.settings.levels
    return (
        "Orders follow levels proposed from usage, not those of the sheet, for"
        f" {followed} of {count_text(len(week.stock.parts), 'part')} (aim: {percent(float(rules.service))}"
        f" {measured(rules.measure)}); other parts, and all safety stock, follow the sheet."
    )


def choice_text(week: Week) -> str:
    """How good the choice of kits is known to be, and what first come, first served would have given."""
    chosen = [job for job in (*week.jobs, *week.others) if job.kit not in {SHORT, DONE}]
    chairs, solution = sum(result.job.chairs for result in chosen), week.solution
    if solution.proven:
        known = "Proven the best choice, most urgent first"
    elif solution.gap:
        known = f"Time ran out: up to {count_text(int(solution.gap), 'more kit')} might be complete"
    else:
        known = "As many as can be, most urgent first; time ran out before all ties were settled"
    more = chairs - solution.by_hand_chairs
    beside = f"as many as first come, first served ({count_text(chairs, 'chair')})"
    if more:
        beside = (
            f"{count_text(chairs, 'chair')}, {abs(more)} {'more' if more > 0 else 'fewer'} than"
            f" first come, first served"
        )
    return f"{known}: {beside}."


def substitute_text(served: ServedLine, unit: str, times: str = "x") -> list[str]:
    """Of each substitute that serves a line: the length asked, the length offered, how much thread is in."""
    texts = []
    for choice, _ in served.served:
        if choice.substitute and choice.length is not None and served.line.length is not None:
            asked, offered = length_text(served.line.length, unit), length_text(choice.length, unit)
            texts.append(f"asked {asked}, offered {offered}{engaged_text(choice, served.line, times)}")
    return texts


def engaged_text(choice: Choice, line: Line, times: str = "x") -> str:
    """``, thread in: 3/8 in (1.5 x d)``, or what stands past the nut; nothing without a grip."""
    if choice.engagement is None or line.joint is None:
        return ""
    if (nut := line.joint.nut) is not None:
        return f", {near_text(choice.engagement - nut.height, line.joint.thread.unit)} past the nut"
    diameters = choice.engagement / line.joint.thread.diameter
    length = near_text(choice.engagement, line.joint.thread.unit)
    return f", thread in: {length} ({in_diameters(diameters, times)})"


def in_diameters(diameters: Fraction, times: str = TIMES) -> str:
    """``1.5 × d``, to two decimals; a screen has an x for ``times``."""
    return f"{quantity_text(round(diameters, 2))} {times} d"


def torque_words(joint: Joint, lines: Iterable[ServedLine]) -> str:
    """The torque of the bolts that go into a joint, by the lines that fit them; "" where none is given.

    ``9 N*m``; where bolts of two grades serve, each with its own. A joint that keeps its bolts has the
    torque of the first grade listed.
    """
    own = (served for served in lines if served.line.joint is joint)
    bolts = [served for served in own if (served.line.do, served.line.what) == ("fit", "bolt")]
    grades = dict.fromkeys(choice.grade for served in bolts for choice, _ in served.served)
    torques = {grade: torque_for(joint, grade) for grade in grades or joint.grades[:1] or ("",)}
    if len(set(torques.values())) == 1:
        return next(iter(torques.values()))
    return "; ".join(f"{grade}: {torque or 'not given'}" for grade, torque in torques.items())


def grade_text(joint: Joint, choice: Choice) -> str:
    """Of a bolt that is not the first listed: ``SAE 5, zinc, not SAE 8, black: torque 7 N*m``."""
    listed = ((choice.grade, joint.grades), (choice.finish, joint.finishes))
    own = ", ".join(name for name, first in listed if first)
    first = ", ".join(names[0] for _, names in listed if names)
    torque = torque_for(joint, choice.grade)
    return f"{own}, not {first}: {f'torque {torque}' if torque else 'no torque is given for it'}"


def after_a_look(week: Week) -> str:
    """The jobs of the period whose kit hangs on what nobody can say yet; "" where there is none."""
    looks = [each.job.number for each in week.jobs if each.look_first and each.kit not in (SHORT, DONE)]
    return (
        f"{count_text(len(looks), 'job')} only after a look at the chair: {some_of(looks)}" if looks else ""
    )


def split_texts(result: JobResult) -> list[str]:
    """What a stack takes if a piece of it has to be split: ``upper front, left and right: 1 x SP-050``."""
    alike: dict[tuple[str, tuple[tuple[str, Fraction], ...]], list[str]] = {}
    for served in result.lines:
        if served.line.anew:
            alike.setdefault((served.line.name, served.line.anew), []).append(served.line.side)
    return [
        f"{', '.join(filter(None, (name, ' and '.join(dict.fromkeys(sides)))))}:"
        f" {' + '.join(f'{quantity_text(count)} x {part}' for part, count in anew)}"
        for (name, anew), sides in alike.items()
    ]


def differing_bolts(result: JobResult) -> dict[str, str]:
    """Of a job's bolts that are not the first choice: by part, what they are, and each joint's torque."""
    found: dict[str, dict[str, None]] = {}
    for served in result.lines:
        joint = served.line.joint
        for choice, _ in served.served:
            if joint is not None and choice.differs and served.line.do == "fit":
                for number, _ in choice.parts:
                    found.setdefault(number, {})[f"{joint.name}: {grade_text(joint, choice)}"] = None
    return {number: "; ".join(texts) for number, texts in found.items()}


def money_text(value: Decimal) -> str:
    """``129.00``, ``0.0345``: two decimals or as many as it has, never rounded."""
    return f"{value:.2f}" if int(value.as_tuple().exponent) >= -2 else f"{value:f}"


def below_word(part: PartResult) -> str:
    """What a line restores on which no job hangs."""
    return "below safety stock" if part.position < part.part.safety_stock else "at its reorder point"


def late_word(part: PartResult) -> str:
    """Whether an order line is late, in a word or two; of a row set aside, that it is to be mended."""
    if part.part.to_mend and part.want:
        return "row set aside: to mend first"
    if part.late:
        return "late" if part.at_risk else below_word(part)
    if part.order_by is None:
        return "lead time not known" if part.order else ""
    return "in time"


def period_name(week: Week | PageFoot) -> str:
    """``2026-W49`` where the period starts on a Monday and stays in that week, else its two dates."""
    return week.period.name


def period_text(week: Week | PageFoot) -> str:
    """The period as a person says it: ``week 2026-W49`` or ``2026-12-02 to 2026-12-11``."""
    name = period_name(week)
    return name.replace("-to-", " to ") if "-to-" in name else f"week {name}"
