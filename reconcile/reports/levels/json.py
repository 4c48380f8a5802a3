"""Shelf levels as one JSON object: exact levels as numbers, estimates as they are, money as text."""

import json
from decimal import Decimal
from fractions import Fraction

from reconcile.reports.writing.json_text import SCHEMA, iso, problem_object
from reconcile.values.measure import plain_number
from reconcile.values.stock.parts import Part
from reconcile.values.week.levels import PartLevels, ServicePoint, Survey


def levels_json(found: Survey) -> str:
    return json.dumps(survey_object(found), ensure_ascii=False)


def part_json(levels: PartLevels) -> str:
    return json.dumps({"schema": SCHEMA, **part_object(levels)}, ensure_ascii=False)


def survey_object(found: Survey) -> dict[str, object]:
    """Every part, then what is dead and dear; ``idle`` means nothing where ``covered_from`` is null."""
    dead = found.dead
    return {
        "schema": SCHEMA,
        "today": found.today.isoformat(),
        "service": plain_number(found.rules.service),
        "measure": found.rules.measure,
        "parts": [part_object(level) for level in found.levels],
        "idle_since": dead.since.isoformat(),
        "covered_from": iso(dead.covered_from),
        "idle": [
            {**stock_object(idle.part, idle.part.on_hand, idle.value), "last_used": iso(idle.last_used)}
            for idle in dead.idle
        ],
        "above": [stock_object(above.part, above.excess, above.value) for above in dead.above],
        "single_points": [
            {"part": single_point.part.number, "jobs": single_point.jobs, "of_jobs": single_point.of_jobs}
            for single_point in dead.single_points
        ],
        "problems": [problem_object(fault) for fault in found.problems],
    }


def part_object(levels: PartLevels) -> dict[str, object]:
    """A part; ``why_none`` alone says something where nothing is proposed."""
    part, forecast = levels.part, levels.forecast
    told: dict[str, object] = {
        "part": part.number,
        "unit": part.unit,
        "now": {"reorder_point": number(part.reorder_point), "order_up_to": number(part.order_up_to)},
        "proposed": None if levels.proposed is None else point_object(levels.proposed),
        "why_none": levels.why_none or None,
    }
    if levels.pattern is None or forecast is None or levels.proposed is None:
        return told
    return {
        **told,
        "given": None if levels.current is None else point_object(levels.current),
        "kind": levels.pattern.kind,
        "forecast": {"method": forecast.method, "per_week": forecast.per_week, "error": forecast.error},
        "lead_weeks": levels.lead_weeks,
        "currency": part.currency,
        "services": [point_object(row) for row in levels.table],
        "reasons": list(levels.reasons),
    }


def point_object(point: ServicePoint) -> dict[str, object]:
    return {
        "service": number(point.wanted),
        "reorder_point": plain_number(point.reorder_point),
        "order_up_to": plain_number(point.order_up_to),
        "cycle": point.cycle,
        "fill": point.fill,
        "shelf": point.shelf,
        "orders_a_year": point.orders_a_year,
        "value": money(point.value),
        "per_point": money(point.per_point),
    }


def stock_object(part: Part, quantity: Fraction, value: Decimal | None) -> dict[str, object]:
    return {
        "part": part.number,
        "quantity": plain_number(quantity),
        "unit": part.unit,
        "value": money(value),
        "currency": part.currency,
    }


def number(value: Fraction | None) -> int | float | None:
    return None if value is None else plain_number(value)


def money(value: Decimal | None) -> str | None:
    """Money as text, so that no decimal is lost."""
    return None if value is None else f"{value:f}"
