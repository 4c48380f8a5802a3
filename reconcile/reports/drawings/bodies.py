"""Drawings of a page by what they show: equal ones are written once and used wherever they stand.

Each stands there twice, whole and in halves: on a narrow screen before and after stand one under the other.
"""

from reconcile.reports.drawings.joint import Drawing, joint_drawing
from reconcile.values.frames.sections import JointCut

Drawn = dict[tuple[object, ...], Drawing | None]
"""Drawings by what they show."""


class Bodies:
    """The drawings of one page."""

    def __init__(self, made: Drawn) -> None:
        self._idents: dict[str, str] = {}
        self._looks: dict[str, str] = {}
        self._made = made

    def drawing(self, cut: JointCut, unit: str, sides: str) -> Drawing | None:
        """The drawing of a cut; what it shows is made once for joints that look alike."""
        key = (cut.before, cut.after, cut.own_bolt, unit)
        if key not in self._made:
            self._made[key] = joint_drawing(cut, unit, sides)
        made = self._made[key]
        return None if made is None else made.named(cut, unit, sides)

    def svg(self, drawing: Drawing) -> str:
        """The drawing, whole and in halves."""
        ident = self._idents.setdefault(drawing.body, f"drawing-{len(self._idents) + 1}")
        self._looks[ident] = drawing.frame.get("class", "")
        whole, halves = drawing.using(ident), drawing.halves(ident)
        return f'<div class="whole">{whole}</div><div class="halves">{halves}</div>'

    def defs(self) -> str:
        """Every body, for the head of the page."""
        held = "".join(
            f'<g id="{ident}" class="{self._looks[ident]}">{body}</g>' for body, ident in self._idents.items()
        )
        return f'<svg class="defs" width="0" height="0" aria-hidden="true"><defs>{held}</defs></svg>'
