"""A sheet of which no row can be used: said first, and in few words, instead of planned by."""

from collections.abc import Iterable
from dataclasses import replace

from reconcile.values.catalogue import ERROR
from reconcile.values.problem import Place, Problem, problem
from reconcile.values.week.results import Tally

COMMONEST = 3
"""Faults that are named."""


def wholly_faulty(name: str, place: Place, tally: Tally, problems: Iterable[Problem]) -> list[Problem]:
    """The problem of a sheet whose rows were all set aside, and the first of each of its commonest faults.

    ``name``: what the rows are of, *jobs* or *stock*; ``problems``: those that may be why. Nothing where a
    row can be used, was done, or lies on another day.
    """
    if not tally.read or tally.set_aside < tally.read:
        return []
    faults: dict[str, list[Problem]] = {}
    for fault in problems:
        if fault.severity == ERROR:
            faults.setdefault(fault.code, []).append(fault)
    commonest = sorted(faults.values(), key=len, reverse=True)[:COMMONEST]
    counts = ", ".join(f"{alike[0].code} {len(alike)}" for alike in commonest)
    rows = "The only row" if tally.read == 1 else f"None of the {tally.read} rows"
    can = "cannot" if tally.read == 1 else "can"
    says = f"{rows} of {name} {can} be used. The commonest faults: {counts}."
    return [problem("sheet-unusable", place, says), *(_first_of(alike) for alike in commonest)]


def _first_of(alike: list[Problem]) -> Problem:
    first = alike[0]
    return replace(first, says=f"{first.says} Likewise {len(alike) - 1} more.") if len(alike) > 1 else first
