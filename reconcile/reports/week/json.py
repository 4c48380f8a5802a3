"""The result as one JSON object: strings for ids, unit codes and ISO dates, numbers for quantities."""

import json
from collections.abc import Iterable
from fractions import Fraction

from reconcile.reports.writing.json_text import SCHEMA, iso, problem_object
from reconcile.reports.writing.wording import source_text
from reconcile.values.measure import length_text, plain_number
from reconcile.values.unread import UnreadColumn
from reconcile.values.week.results import (
    COMPLETE,
    DONE,
    SHORT,
    TO_ORDER,
    WAITS,
    Answer,
    JobResult,
    Missing,
    PartResult,
    ServedLine,
    SheetAccount,
    Week,
)
from reconcile.values.words import fold


def to_json(week: Week) -> str:
    return json.dumps(result(week), ensure_ascii=False)


def answer_word(result: JobResult) -> str:
    """The verdict in words: "yes", "yes when", "yes after a look", "yes if", ... "no" or "done"."""
    yes = "yes after a look" if result.look_first else "yes"
    words = {COMPLETE: yes, WAITS: f"{yes} when", TO_ORDER: f"{yes} if", SHORT: "no", DONE: "done"}
    return words[result.kit]


def check_json(answer: Answer) -> str:
    """One job's result, with the verdict in words, where all of each missing part is and goes, and what the
    ledger has to say of the stock sheet.
    """
    result = answer.result
    job = job_object(result, unit_of(result, answer.week))
    told = {
        "as_if": {as_if.heading: as_if.asked for as_if in answer.as_if},
        "planned_for": iso(result.planned_for),
        "done_with": result.done_with or None,
        "missing": [{**lack_object(lack), **whereabouts_object(lack)} for lack in result.missing],
        "gives_way": result.gives_way or None,
        "problems": [problem_object(fault) for fault in answer.week.ledger_remarks],
        "cautions": cautions_of((result,)),
        "bins": [
            {
                "bin": name,
                "part": pick.part.number,
                "quantity": plain_number(quantity),
                "unit": pick.part.unit,
            }
            for pick in answer.week.picks
            for name, quantity in pick.bins
        ],
    }
    return json.dumps({"schema": SCHEMA, "answer": answer_word(result), **job, **told}, ensure_ascii=False)


def cautions_of(results: Iterable[JobResult]) -> list[dict[str, str]]:
    """What is to be cautioned of the lines of jobs, each caution with its line."""
    return [
        {
            "job": result.job.number, "do": served.line.do, "what": served.line.what,
            "name": served.line.name, "side": served.line.side, "says": caution,
        }
        for result in results
        for served in result.lines
        for caution in served.all_cautions
    ]  # fmt: skip


def unread_object(column: UnreadColumn) -> dict[str, object]:
    return {
        "where": str(column.place),
        "heading": column.heading,
        "cells": column.cells,
        "looks_like": column.looks or None,
    }


def lack_object(lack: Missing) -> dict[str, object]:
    return {"part": lack.part, "quantity": plain_number(lack.quantity), "in_time": lack.in_time}


def whereabouts_object(lack: Missing) -> dict[str, object]:
    """What lies there, who takes it, what comes in, and by when it can be ordered."""
    known = lack.whereabouts
    if known is None:
        return {}
    return {
        "unit": known.part.unit,
        "on_hand": plain_number(known.part.on_hand),
        "allocated": plain_number(known.part.allocated),
        "taken": [
            {
                "job": taker.job, "date": taker.day.isoformat(), "priority": taker.priority,
                "quantity": plain_number(taker.quantity), "held": taker.held,
            }
            for taker in known.takers
        ],
        "due": [
            {
                "from": source_text(receipt.source), "date": receipt.day.isoformat(),
                "quantity": plain_number(receipt.quantity),
            }
            for receipt in known.due
        ],
        "order_by": iso(lack.order_by),
        "ordered_today": iso(known.ordered_today),
    }  # fmt: skip


def result(week: Week) -> dict[str, object]:
    """The whole week as plain values: period, jobs, others, parts, solution, problems, rows, cells.

    ``levels`` is there only where the orders follow levels proposed from use.
    """
    return {
        "schema": SCHEMA,
        "period": {"from": week.period.first.isoformat(), "to": week.period.last.isoformat()},
        "today": week.today.isoformat(),
        "jobs": [job_object(job, unit_of(job, week)) for job in week.jobs],
        "others": [other_object(job) for job in week.others],
        "parts": [part_object(part) for part in week.parts],
        "first_come": {"jobs": week.solution.by_hand_jobs, "chairs": week.solution.by_hand_chairs},
        "solution": {"proven": week.solution.proven, "gap": week.solution.gap},
        "problems": [problem_object(fault) for fault in week.problems],
        "rows": {sheet: tally_object(sheet, week) for sheet in week.rows},
        "cells": [account_object(cell) for cell in week.cells],
        "unread_columns": [unread_object(column) for column in week.unread_columns],
        "cautions": cautions_of(week.jobs),
        **({} if week.proposals is None else {"levels": applied_object(week)}),
    }


def applied_object(week: Week) -> dict[str, object]:
    """The levels that a planned week followed in place of the sheet's."""
    rules = week.settings.levels
    return {
        "from": "usage",
        "service": plain_number(rules.service),
        "measure": rules.measure,
        "parts": [
            {
                "part": proposal.part.number,
                "reorder_point": plain_number(proposal.proposed.reorder_point),
                "order_up_to": plain_number(proposal.proposed.order_up_to),
            }
            for proposal in week.proposals or ()
            if proposal.proposed is not None
        ],
    }


def unit_of(result: JobResult, week: Week) -> str:
    frame = week.frames.get(fold(result.job.frame))
    return "mm" if frame is None else frame.unit  # only a done job may have a frame that is gone


def job_object(result: JobResult, unit: str) -> dict[str, object]:
    return {
        "job": result.job.number,
        "date": result.job.day.isoformat(),
        "priority": result.job.priority,
        "kit": result.kit,
        "steps": {side: [before, after] for side, before, after in result.steps.sides},
        "lines": [line_object(line, unit) for line in result.lines],
        "missing": [lack_object(lack) for lack in result.missing],
        "order_by": iso(result.order_by),
        "awaits": [
            {
                "part": arrival.part,
                "quantity": plain_number(arrival.quantity),
                "date": arrival.day.isoformat(),
                "from": source_text(arrival.source),
            }
            for arrival in result.awaited
        ],
        "earliest": iso(result.earliest),
        "standing": result.job.standing,
        "held": result.job.held,
        "look_first": result.look_first,
        "asset": result.job.asset or None,
        "after": [asked.check for asked in result.after],
        "notices": list(result.notices),
    }


def other_object(result: JobResult) -> dict[str, object]:
    """A job that counts beside those of the period: why, its kit, and all that it takes."""
    return {
        "job": result.job.number,
        "date": result.job.day.isoformat(),
        "priority": result.job.priority,
        "kit": result.kit,
        "why": result.job.beside,
        "standing": result.job.standing,
        "held": result.job.held,
        "parts": {part: plain_number(quantity) for part, quantity in result.takes.items()},
        "missing": [lack_object(lack) for lack in result.missing],
        "order_by": iso(result.order_by),
        "earliest": iso(result.earliest),
    }


def line_object(served: ServedLine, unit: str) -> dict[str, object]:
    line = served.line
    return {
        "do": line.do,
        "what": line.what,
        "name": line.name,
        "side": line.side,
        "quantity": plain_number(served.quantity),
        "unit": line.unit,
        "length": None if line.length is None else length_text(line.length, unit),
        "parts": {part: plain_number(quantity) for part, quantity in served.parts},
        "substitute": served.substitute,
    }


def part_object(result: PartResult) -> dict[str, object]:
    part = result.part
    numbers: dict[str, Fraction] = {
        "on_hand": part.on_hand,
        "allocated": part.allocated,
        "on_order": result.on_order,
        "needed": result.needed,
        "needed_later": result.needed_later,
        "recovered": result.recovered,
        "shortfall": result.shortfall,
        "beyond": result.beyond,
    }
    return {
        "part": part.number,
        "new": part.new and not part.aside,
        "unit": part.unit,
        **{name: plain_number(value) for name, value in numbers.items()},
        "to_come": [
            {"week_from": need.monday.isoformat(), "quantity": plain_number(need.quantity)}
            for need in result.to_come
        ],
        "first_short": iso(result.first_short),
        "end": plain_number(result.end),
        "position": plain_number(result.position),
        "reach": result.reach.isoformat(),
        "order": plain_number(result.order),
        "packs": result.packs,
        "required_by": iso(result.required_by),
        "order_by": iso(result.order_by),
        "late": result.late,
        "jobs": list(result.jobs),
        "at_risk": [
            {"job": risk.job, "date": risk.day.isoformat(), "quantity": plain_number(risk.quantity)}
            for risk in result.at_risk
        ],
        **({"set_aside": [str(row.place) for row in part.aside]} if part.aside else {}),
    }


def tally_object(sheet: str, week: Week) -> dict[str, int]:
    tally = week.rows[sheet]
    if sheet != "jobs":
        return {"read": tally.read, "used": tally.used, "set_aside": tally.set_aside}
    return {
        "read": tally.read,
        "used": tally.used,
        "beside": tally.beside,
        "done": tally.done,
        "set_aside": tally.set_aside,
        "outside_period": tally.outside_period,
    }


def account_object(account: SheetAccount) -> dict[str, object]:
    """What became of a sheet's filled cells; ``uncounted`` only where they could not be counted."""
    told = {
        "file": account.file,
        "sheet": account.sheet,
        "filled": account.filled,
        "used": account.used,
        "in_error": account.in_error,
        "ignored": [
            {"reason": ignored_cell.reason, "where": ignored_cell.where, "cells": ignored_cell.cells}
            for ignored_cell in account.ignored
        ],
    }
    return {**told, "uncounted": account.uncounted} if account.uncounted else told
