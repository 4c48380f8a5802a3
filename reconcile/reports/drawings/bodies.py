"""Drawings of pages by what they show: equal ones are written once and used wherever they stand.

Each stands there twice, whole and in halves: on a narrow screen before and after stand one under the other.
"""

from collections.abc import Iterable
from itertools import count

from reconcile.reports.drawings.joint import Drawing, joint_drawing
from reconcile.values.frames.sections import JointCut


class Bodies:
    """The drawings of one page, or of several that have many in common."""

    def __init__(self) -> None:
        self._made: dict[tuple[object, ...], Drawing | None] = {}
        self._idents: dict[str, str] = {}
        self._numbers = count(1)
        self._bodies: dict[str, tuple[str, str]] = {}

    def __len__(self) -> int:
        return len(self._made)

    def drawing(self, cut: JointCut, unit: str, sides: str) -> Drawing | None:
        """The drawing of a cut; what it shows is made once for joints that look alike."""
        key = (cut.before, cut.after, cut.own_bolt, unit)
        if key not in self._made:
            self._made[key] = joint_drawing(cut, unit, sides)
        made = self._made[key]
        return None if made is None else made.named(cut, unit, sides)

    def ident(self, drawing: Drawing) -> str:
        """The id that what a drawing shows has on every page."""
        ident = self._idents.get(drawing.body)
        if ident is None:
            # No number is given twice, even where several pages are made at once.
            ident = self._idents.setdefault(drawing.body, f"drawing-{next(self._numbers)}")
        self._bodies[ident] = (drawing.frame.get("class", ""), drawing.body)
        return ident

    def svg(self, drawing: Drawing) -> str:
        """The drawing, whole and in halves."""
        ident = self.ident(drawing)
        whole, halves = drawing.using(ident), drawing.halves(ident)
        return f'<div class="whole">{whole}</div><div class="halves">{halves}</div>'

    def defs(self, idents: Iterable[str] | None = None) -> str:
        """Every body, or those of a page by their ids, for the head of the page."""
        wanted = self._bodies if idents is None else dict.fromkeys(idents)
        held = "".join(
            f'<g id="{ident}" class="{look}">{body}</g>'
            for ident, (look, body) in ((ident, self._bodies[ident]) for ident in wanted)
        )
        return f'<svg class="defs" width="0" height="0" aria-hidden="true"><defs>{held}</defs></svg>'
