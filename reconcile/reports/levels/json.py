"""Shelf levels as one JSON object: exact levels as numbers, estimates as they are, money as text."""

import json
from decimal import Decimal
from fractions import Fraction

from reconcile.reports.writing.json_text import SCHEMA, iso, problem_object
from reconcile.values.measure import plain_number
from reconcile.values.stock.parts import Part
from reconcile.values.week.levels import (
    PartLevels,
    ReplayResult,
    ServicePoint,
    Spread,
    Survey,
    Trade,
    TradePoint,
)


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
        "measure": found.rules.aim,
        "budget": number(found.rules.budget),
        "trade": None if found.trade is None else trade_object(found.trade),
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
        "look": levels.look,
        "greatest_need": plain_number(levels.greatest_need),
        "fewer": None if levels.fewer is None else point_object(levels.fewer),
        "more": None if levels.more is None else point_object(levels.more),
        "kin": levels.kin or None,
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


def trade_object(trade: Trade) -> dict[str, object]:
    """Service against money: shares from 0 to 1, money as text."""
    return {
        "measure": trade.measure,
        "currency": trade.currency,
        "parts": trade.parts,
        "given_parts": trade.given_parts,
        "jobs": trade.jobs,
        "curve": [trade_point_object(point) for point in trade.curve],
        **{point.name: trade_point_object(point) for point in trade.marks},
    }


def trade_point_object(point: TradePoint) -> dict[str, object]:
    return {"value": money(point.value), "share": point.share}


def replay_json(result: ReplayResult) -> str:
    """A replay: each spread as its mean, standard error and the ends of nineteen draws of twenty."""
    told = {
        "schema": SCHEMA,
        "weeks": result.weeks,
        "draws": len(result.seeds),
        "drawn_from": result.drawn_from,
        "parts": list(result.parts),
        "left_out": result.left_out,
        "currency": result.currency,
        "policies": [
            {
                "policy": one.policy,
                "fill": spread_object(one.fill),
                "kits": None if one.kits is None else spread_object(one.kits),
                "value": spread_object(one.value),
                "orders": spread_object(one.orders),
            }
            for one in result.policies
        ],
        "gains": [
            {
                "against": one.against,
                "measure": one.measure,
                "service_at_equal_value": spread_object(one.fill_at_equal_value),
                "value_at_equal_service": spread_object(one.value_at_equal_fill),
                "beyond_curve": one.beyond_curve,
                "loses": one.fill_at_equal_value.high < 0,
            }
            for one in result.gains
        ],
    }
    return json.dumps(told, ensure_ascii=False)


def spread_object(spread: Spread) -> dict[str, object]:
    return {"mean": spread.mean, "error": spread.error, "low": spread.low, "high": spread.high}


def number(value: Fraction | None) -> int | float | None:
    return None if value is None else plain_number(value)


def money(value: Decimal | None) -> str | None:
    """Money as text, so that no decimal is lost."""
    return None if value is None else f"{value:f}"
