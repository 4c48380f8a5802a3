"""Ask: a frame, its sizes and options from lists of what there is, a day; the answer, the kit, the hold."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from starlette.responses import Response

from reconcile.page.asked import Asked, call_unusable, note_sent
from reconcile.page.shown import page, planned
from reconcile.page.views.cards import card_of
from reconcile.page.views.spoken import bold_first
from reconcile.reports.week.hold_screen import held_screen
from reconcile.reports.week.screen import opening_line
from reconcile.reports.writing.wording import amount_text, day_text, source_text
from reconcile.sheets.jobs.question import Question
from reconcile.values.frames.frame import Adjustment, Frame
from reconcile.values.measure import length_text
from reconcile.values.problem import Unusable
from reconcile.values.week.results import DONE, SHORT, TO_ORDER, Answer, Missing, Week
from reconcile.values.words import fold
from reconcile.work.entries.holding import HeldAnswer, ask_and_hold

MOST_SIZES = 2_000
SIDES = (("both", "both sides"), ("left", "left only"), ("right", "right only"))
FIELDS = ("number", "asset", "frame", "measure", "from", "to", "day", "chairs", "side", "priority")


@dataclass(frozen=True, slots=True)
class MeasureOffered:
    """A measure of a frame that can be asked about."""

    frame: Frame
    adjustment: Adjustment

    @property
    def sizes(self) -> list[str]:
        """Every size there is, in the frame's unit."""
        one = self.adjustment
        count = min(one.most_steps, MOST_SIZES)
        return [length_text(one.minimum + number * one.step, self.frame.unit) for number in range(count + 1)]

    @property
    def options(self) -> list[str]:
        return sorted(self.adjustment.options)

    @property
    def words(self) -> str:
        name = f", {self.frame.name}" if self.frame.name else ""
        return f"{self.frame.code}{name}: {self.adjustment.name}"


@dataclass(frozen=True, slots=True)
class LackShown:
    """What a kit lacks of a part: who takes it, what comes, and what would help."""

    part: str
    quantity: str
    there: str
    taken: str
    comes: str
    helps: str


def ask(asked: Asked) -> Response:
    """The form, with the answer under it once it is asked for."""
    week = planned(asked)
    asked = prefilled(asked, week)
    measures = offered(week)
    chosen = chosen_of(asked, measures)
    answer = answered(asked, week) if asked.has("go") or "go" in asked.query else None
    return asking_page(asked, measures, chosen, answer)


def asking_page(
    asked: Asked, measures: list[MeasureOffered], chosen: MeasureOffered | None, answer: Answer | None
) -> Response:
    week = answer.week if answer else None
    result = answer.result if answer else None
    done = result is not None and result.kit == DONE
    return page(asked, "ask.html", "ask", {
        "measures": measures, "chosen": chosen, "sides": SIDES, "fields": fields_of(asked),
        "ticked": [fold(option_name) for option_name in asked.all_typed("option")] or options_asked(asked),
        "answer": answer, "result": result, "opening": bold_first(opening_line(answer)) if answer else "",
        "lacks": list(lacks_of(answer)) if answer else [],
        "card": card_of(result, week) if result and week and not done else None,
        "may_hold": result is not None and may_hold(result.kit, answer), "day_words": day_words(answer),
        "to_order": result is not None and result.kit == TO_ORDER,
    })  # fmt: skip


def day_words(answer: Answer | None) -> str:
    return day_text(answer.result.planned_for or answer.result.job.day) if answer else ""


def may_hold(kit: str, answer: Answer | None) -> bool:
    """Only what is described, and can be had: a job of the sheet needs no hold."""
    if answer is None or kit in (SHORT, DONE):
        return False
    job = answer.result.job
    return not job.held and job.place.file == "command line"


def offered(week: Week) -> list[MeasureOffered]:
    return [
        MeasureOffered(frame, adjustment)
        for frame in sorted(week.frames.values(), key=lambda frame: frame.code)
        for adjustment in frame.adjustments
    ]


def chosen_of(asked: Asked, measures: list[MeasureOffered]) -> MeasureOffered | None:
    """The measure that is asked about; the first one where nothing is said; None without any frame."""
    frame, measure = fold(asked.typed("frame")), fold(asked.typed("measure"))
    for entry in measures:
        if fold(entry.frame.code) == frame and measure in ("", fold(entry.adjustment.name)):
            return entry
    return measures[0] if measures else None


def options_asked(asked: Asked) -> list[str]:
    return [fold(option_name) for option_name in asked.query.get("options", "").split(";") if option_name]


def fields_of(asked: Asked) -> dict[str, str]:
    return {name: asked.typed(name) for name in FIELDS}


def prefilled(asked: Asked, week: Week) -> Asked:
    """A planned job that is asked about anew: the form begins as its row has it."""
    number = fold(asked.typed("number"))
    if not number or asked.has("go") or "go" in asked.query or "frame" in asked.query:
        return asked
    for result in (*week.jobs, *week.others):
        job, frame = result.job, week.frames.get(fold(result.job.frame))
        if fold(job.number) == number and frame is not None:
            said = {
                "number": job.number, "frame": job.frame, "from": job.shown("from", frame.unit),
                "measure": job.adjustment or frame.adjustments[0].name, "asset": job.asset,
                "to": job.shown("to", frame.unit), "day": job.day.isoformat(), "chairs": str(job.chairs),
                "side": job.side, "priority": str(job.priority), "options": ";".join(job.options),
            }  # fmt: skip
            return replace(asked, query={**asked.query, **said})
    return asked


# --- the question -----------------------------------------------------------------------------------


def question_of(asked: Asked, week: Week) -> Question:
    """The words as the command would be given them."""
    number, ticked = asked.typed("number"), asked.all_typed("option") or options_typed(asked)
    planned_job = is_planned(number, week)
    options = "; ".join(ticked) or ("none" if planned_job else "")
    side = asked.typed("side")
    return Question(
        frame=asked.typed("frame"), size_from=asked.typed("from"), size_to=asked.typed("to"),
        day=asked.typed("day"), adjustment=asked.typed("measure"), options=options,
        side="" if side == "both" and not planned_job else side, chairs=asked.typed("chairs"),
        priority=asked.typed("priority"), number=number, asset=asked.typed("asset"),
    )  # fmt: skip


def options_typed(asked: Asked) -> list[str]:
    return [option_name for option_name in asked.query.get("options", "").split(";") if option_name]


def is_planned(number: str, week: Week) -> bool:
    return bool(number) and any(
        fold(result.job.number) == fold(number) for result in (*week.jobs, *week.others)
    )


def answered(asked: Asked, week: Week) -> Answer | None:
    """The answer by the plan that is kept. Raises Unusable as ``AskingDesk`` does."""
    made = asked.shown.made
    return made.asker.ask(question_of(asked, week)) if made and made.asker else None


def lacks_of(answer: Answer) -> Iterator[LackShown]:
    for lack in answer.result.missing:
        yield lack_shown(lack)


def lack_shown(lack: Missing) -> LackShown:
    where = lack.whereabouts
    if where is None:
        return LackShown(lack.part, str(lack.quantity), "", "", "", "")
    unit = where.part.unit
    taken = ", ".join(f"{taker.job} {amount_text(taker.quantity, unit)}" for taker in where.takers)
    comes = "; ".join(
        f"{amount_text(receipt.quantity, unit)} from {source_text(receipt.source)}, {day_text(receipt.day)}"
        for receipt in where.due
    )
    helps = f"ordered today it is there for {day_text(where.ordered_today)}" if where.ordered_today else ""
    if lack.in_time and lack.order_by:
        helps = f"order it by {day_text(lack.order_by)}"
    there = f"{amount_text(where.part.on_hand, unit)}, {amount_text(where.part.allocated, unit)} allocated"
    return LackShown(lack.part, amount_text(lack.quantity, unit), there, taken, comes, helps)


# --- the hold ---------------------------------------------------------------------------------------


def hold(asked: Asked) -> Response:
    """Holds what was asked for; refused, the form stands as it was."""
    week = planned(asked)
    measures = offered(week)
    try:
        if not asked.typed("number"):
            raise Unusable(call_unusable("number", "Give the job a number, so that it can be held."))
        into_jobs = asked.typed("into_jobs") == "yes"
        held = ask_and_hold(question_of(asked, week), asked.desk.asking, who=asked.who, into_jobs=into_jobs)
    except Unusable as unusable:
        asked = replace(asked, refused=unusable.problems)
        return asking_page(asked, measures, chosen_of(asked, measures), None)
    if held.hold is None:
        return asking_page(asked, measures, chosen_of(asked, measures), held.answer)
    note_sent(asked)
    return page(asked, "held.html", "ask", {"said": said_of(held), "number": held.hold.row.job})


def said_of(held: HeldAnswer) -> str:
    written = held.written
    return held_screen(
        held.answer, held.hold, meanwhile=held.meanwhile,
        workbook=written.workbook if written else None, kept=written.kept if written else None,
    )  # fmt: skip
