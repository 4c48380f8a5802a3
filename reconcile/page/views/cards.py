"""A job's card on a page: its joints drawn before and after, what comes out and goes in, checks, cautions."""

from dataclasses import dataclass

from markupsafe import Markup

from reconcile.reports.bench.cards import (
    BEFORE_USE,
    DO_NOT_OPEN,
    LOCAL_RULES,
    LOOK_FIRST,
    SIGNED,
    WAIT_FIRST,
    bench_cards,
)
from reconcile.reports.bench.page import shown as card_fields
from reconcile.reports.bench.shown_joints import shown_joints
from reconcile.reports.drawings.bodies import Bodies
from reconcile.reports.drawings.joint import drawing_defs
from reconcile.values.week.results import DONE, JobResult, Week


@dataclass(frozen=True, slots=True)
class CardShown:
    """A card for a template, with what the drawings of its page share."""

    card: dict[str, object]
    defs: Markup
    words: dict[str, object]


MOST_DRAWN = 400
"""Joints whose drawings are kept: each takes some kilobytes."""
_DRAWN = [Bodies()]
"""The drawings of a run, so that a joint is drawn once for all its pages."""


def card_of(result: JobResult, week: Week) -> CardShown | None:
    """None of a job that is done: nothing is planned of it."""
    if result.kit == DONE:
        return None
    if len(_DRAWN[0]) > MOST_DRAWN:
        _DRAWN[0] = Bodies()
    bodies = _DRAWN[0]
    (card,) = bench_cards(week, [result])
    joints = shown_joints(card, bodies)
    fields = card_fields(card, joints)
    words: dict[str, object] = {
        "do_not_open": DO_NOT_OPEN, "wait_first": WAIT_FIRST, "look_first": LOOK_FIRST,
        "before_use": BEFORE_USE, "local_rules": LOCAL_RULES, "signed": SIGNED,
    }  # fmt: skip
    return CardShown(fields, Markup(drawing_defs() + bodies.defs(joints.drawings)), words)
