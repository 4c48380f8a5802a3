"""What every JSON result shares: its schema's number, days and problems."""

import json
from datetime import date

from reconcile.values.problem import Problem

SCHEMA = 1
"""Raised by one whenever a key changes its meaning or goes."""


def problems_json(problems: tuple[Problem, ...]) -> str:
    """What forbids any result."""
    return json.dumps(
        {"schema": SCHEMA, "problems": [problem_object(fault) for fault in problems]}, ensure_ascii=False
    )


def problem_object(found: Problem) -> dict[str, str]:
    told = {
        "code": found.code,
        "severity": found.severity,
        "where": str(found.place),
        "says": found.says,
        "did": found.did,
        "do": found.do,
    }
    return {**told, "found": found.found} if found.found else told


def iso(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
