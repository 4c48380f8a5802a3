"""What the bench sheets of one week share, so that nothing of a large week is worked out or rendered twice.

Jobs of a kind, served alike from the same bins, have the same joints on their cards, and only a few kinds
make up a large week. So the joints of a kind are rendered once, and each card gets them with its own anchor.
"""

import secrets
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from reconcile.reports.bench.batches import Batch
from reconcile.reports.bench.cards import CAME_OFF, BenchCard, JointCard, Maker, bench_cards
from reconcile.reports.bench.shown_joints import ShownJoints, shown_joints
from reconcile.reports.drawings.bodies import Bodies
from reconcile.values.week.results import Week

if TYPE_CHECKING:
    from jinja2 import Environment, Template
    from markupsafe import Markup

PAGE, JOINTS = "page.html", "joints.html"
MOST_KEPT = 2_000
"""Kinds of jobs whose joints are kept rendered: each takes some thirty kilobytes."""


@dataclass(frozen=True, slots=True)
class _Shared:
    of: tuple[tuple[JointCard, ...], JointCard | None]
    """Kept, for they are known by where they are in memory."""
    joints: ShownJoints
    html: str


class BenchDesk:
    """The cards of a week, and their joints as a page shows them."""

    def __init__(self, week: Week) -> None:
        self._week, self._maker, self.bodies = week, Maker(week), Bodies()
        self._last: tuple[Batch | None, list[BenchCard]] | None = None
        self._shared: dict[tuple[int, int, str], _Shared] = {}
        self._anchor = f"anchor-{secrets.token_hex(16)}"
        """Where a card's anchor goes; no text of a sheet can have it by chance or on purpose."""

    def cards(self, batch: Batch | None) -> list[BenchCard]:
        """Of all jobs, or of a batch. The last ones are kept, for a page and a workbook show the same."""
        if self._last is None or self._last[0] is not batch:
            self._last = batch, bench_cards(self._week, batch.jobs if batch else None, self._maker)
        return self._last[1]

    def shown(self, card: BenchCard) -> ShownJoints:
        return self._of(card).joints

    def joints(self, card: BenchCard) -> "Markup":
        """The card's joints as HTML."""
        from markupsafe import Markup

        return Markup(self._of(card).html.replace(self._anchor, card.anchor))

    def _of(self, card: BenchCard) -> _Shared:
        key = (id(card.joints), id(card.rest), card.unit)
        shared = self._shared.get(key)
        if shared is None:
            if len(self._shared) >= MOST_KEPT:
                self._shared.clear()
            joints = shown_joints(card, self.bodies)
            html = bench_template(JOINTS).render(blocks=joints.blocks, anchor=self._anchor, came_off=CAME_OFF)
            shared = self._shared[key] = _Shared((card.joints, card.rest), joints, html)
        return shared


@cache
def bench_template(name: str) -> "Template":
    """A template, read and compiled once a run: a large week has many pages."""
    return _templates().get_template(name)


@cache
def _templates() -> "Environment":
    from importlib.resources import files

    from jinja2 import Environment, FunctionLoader, StrictUndefined

    folder = files("reconcile.reports.bench")
    return Environment(
        loader=FunctionLoader(lambda name: folder.joinpath(name).read_text("utf-8")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
