"""The job cards as one page that needs nothing else: no script, no other file, no address."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING
from xml.etree import ElementTree as Xml

from reconcile.reports.bench.batches import Batch
from reconcile.reports.bench.cards import (
    BEFORE_USE,
    CAME_OFF,
    DO_NOT_OPEN,
    LOCAL_RULES,
    LOOK_FIRST,
    SIGNED,
    WAIT_FIRST,
    BenchCard,
    Item,
    JointCard,
    View,
    bench_cards,
)
from reconcile.reports.bench.pick_list import (
    MAY_BE_NEEDED,
    PickRemarks,
    awaited_text,
    bins_text,
    later_text,
    may_be_needed,
)
from reconcile.reports.drawings.bodies import Bodies, Drawn
from reconcile.reports.drawings.joint import (
    BESIDE,
    HATCHES,
    NEARLY,
    TAPPED,
    drawing_defs,
    drawing_style,
)
from reconcile.reports.week.pictures import PagePictures, page_pictures
from reconcile.reports.writing.style import mark, mark_defs, mark_of_its_own, page_style
from reconcile.reports.writing.text import unbroken
from reconcile.reports.writing.wording import (
    PROGRAM,
    amount_text,
    day_text,
    period_name,
    period_text,
    verdict,
)
from reconcile.values.frames.sections import COMES_OUT, FRAME_PARTS, GOES_IN, KEPT, OPTION, WASHER
from reconcile.values.measure import length_text
from reconcile.values.week.picks import PartPick
from reconcile.values.week.results import Week

if TYPE_CHECKING:
    from jinja2 import Template
    from markupsafe import Markup

TEMPLATE = "page.html"
NO_PICTURES = PagePictures("", (), 0, ())
"""Of a page that is not the first of its week."""

FEW_JOINTS = 2
"""So many joints have room to describe each part where it goes in."""

ROWS_BESIDE = 6
"""So many rows of what comes out and goes in are no higher than the drawing that they stand beside."""

ROWS_OF_TWO = 3
"""So many rows of what goes in, torque counted, stand in two lists side by side."""

KEY = (
    (FRAME_PARTS, "frame parts"),
    (OPTION, "what an option adds"),
    (KEPT, "spacer stays"),
    (COMES_OUT, "spacer comes out"),
    (GOES_IN, "spacer goes in"),
    (WASHER, "washers"),
    (TAPPED, "tapped member"),
)
"""The layers that the key explains, and how."""


def page_name(week: Week, ending: str = "") -> str:
    """``bench-2026-W49.html``."""
    return f"bench-{period_name(week)}{ending}.html"


def write_page(week: Week, path: Path, batch: Batch | None = None, drawn: "Drawn | None" = None) -> None:
    """Write the page to ``path``, in UTF-8: of all jobs, or of a ``batch``.

    ``drawn``: what pages of one week share, so that each joint is drawn once.
    """
    path.write_text(page_text(week, batch, drawn), "utf-8", errors="replace", newline="\n")


def page_text(week: Week, batch: Batch | None = None, drawn: "Drawn | None" = None) -> str:
    """The page as HTML. Every text from a sheet is escaped."""
    from markupsafe import Markup

    bodies = Bodies({} if drawn is None else drawn)
    cards = [shown(bench_card, bodies) for bench_card in bench_cards(week, batch.jobs if batch else None)]
    once = batch is None or batch.first
    remarks = PickRemarks(week.jobs if once else ())
    return page_template().render(
        once=once,
        alone=batch is not None and batch.alone,
        period=period_text(week),
        verdict=verdict(week),
        as_of=f"{day_text(week.as_of.date())} {week.as_of:%H:%M}",
        program=PROGRAM,
        style=Markup(page_style()),
        mark_defs=Markup(mark_defs(*dict.fromkeys(str(card["kit"]) for card in cards))),
        key=any(card["drawn"] for card in cards),
        drawing_style=Markup(drawing_style()),
        drawing_defs=Markup(drawing_defs() + bodies.defs()),
        days=[(day, list(group)) for day, group in groupby(cards, key=lambda card: card["day_words"])],
        cards=cards,
        picks=[shown_pick(place, pick, remarks) for place, pick in enumerate(week.picks if once else (), 1)],
        may_be_needed=list(may_be_needed(week)) if once else [],
        may_be_needed_words=MAY_BE_NEEDED,
        pictures=page_pictures(week) if once else NO_PICTURES,
        do_not_open=DO_NOT_OPEN,
        wait_first=WAIT_FIRST,
        look_first=LOOK_FIRST,
        before_use=BEFORE_USE,
        local_rules=LOCAL_RULES,
        signed=SIGNED,
        came_off=CAME_OFF,
    )


@cache
def page_template() -> "Template":
    """The page's template, read and compiled once a run: a large week has many pages."""
    from importlib.resources import files

    from jinja2 import Environment, StrictUndefined

    source = files("reconcile.reports.bench").joinpath(TEMPLATE).read_text("utf-8")
    page = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return page.from_string(source)


@dataclass(frozen=True, slots=True)
class ShownView:
    sides: str
    svg: "Markup | str"
    scale: str
    """``1:2``; "" where nothing is drawn."""
    remarks: tuple[str, ...]
    look: str = ""
    """The body it shows: equal drawings have the same."""
    width: Fraction = Fraction(0)
    """Of the drawing, in millimetres of paper."""


@dataclass(frozen=True, slots=True)
class ShownItem:
    """An item as it is read: how much for each of its boxes, of what, and what to look for."""

    item: Item
    amount: str
    told: str
    """``2 bolts 3 in``."""
    look_for: str


@dataclass(frozen=True, slots=True)
class ShownJoint:
    """A joint, or the rest of the chair, with its drawings and the columns of its boxes."""

    ident: str
    title: str
    card: JointCard
    columns: tuple[str, ...]
    views: tuple[ShownView, ...]
    comes_out: tuple[ShownItem, ...]
    goes_in: tuple[ShownItem, ...]
    drawn_as: int = 0
    """The number of the earlier joint of the job whose drawing is the same."""

    @property
    def scales(self) -> str:
        return ", ".join(dict.fromkeys(view.scale for view in self.views if view.svg))

    @property
    def layout(self) -> str:
        """``beside``: both lists right of the drawing; ``partly``: what goes in alone; ``under``: neither."""
        if not 0 < self.width <= NEARLY:
            return "under"
        rows = len(self.comes_out) + len(self.goes_in) + bool(self.card.torque)
        return "beside" if self.width <= BESIDE and rows <= ROWS_BESIDE else "partly"

    @property
    def goes_in_lists(self) -> tuple[tuple[ShownItem, ...], ...]:
        """What goes in, and last how tight: a list, or two side by side where a joint has room for them."""
        rows = len(self.goes_in) + bool(self.card.torque)
        if not rows:
            return ()
        if self.layout != "under" or rows < ROWS_OF_TWO or not self.card.torque:
            return (self.goes_in,)
        half = (rows + 1) // 2
        return (self.goes_in[:half], self.goes_in[half:])

    @property
    def width(self) -> Fraction:
        """Of its drawings, in millimetres of paper; 0 where nothing is drawn."""
        return max((view.width for view in self.views if view.svg), default=Fraction(0))


def shown(card: BenchCard, bodies: Bodies) -> dict[str, object]:
    """What the template asks of a card: its fields, with QR code and drawings as markup."""
    described = described_below(card)
    blocks = list(drawn_once(blocks_of(card, bodies, described)))
    fields = {name: getattr(card, name) for name in BenchCard.__slots__}
    key = list(key_of(layers_of(card)))
    drawn = any(view.svg for block in blocks for view in block.views)
    return {
        **fields,
        "blocks": blocks,
        "mark": markup(mark(card.kit)),
        "mark_of_its_own": markup(mark_of_its_own(card.kit)),
        "qr": qr_code(card.number),
        "drawn": drawn,
        "key": key,
        "described": by_text(described),
        "turned_by": "; ".join(turned_by(card)),
    }


def turned_by(card: BenchCard) -> Iterator[str]:
    """``key 3/16 in for 1/4-20 UNC, 1/4 in for 5/16-18 UNC (ASME B18.3, not measured)``."""
    found: dict[tuple[str, str], dict[str, None]] = {}
    for joint in card.joints:
        if joint.turned is not None:
            width = length_text(joint.turned.width, joint.turned.unit)
            sizes = found.setdefault((joint.turned.kind, joint.turned.source), {})
            sizes[f"{width} for {joint.thread}"] = None
    for (kind, source), told in found.items():
        yield f"{kind} {', '.join(told)} ({source}, not measured)"


def markup(text: str) -> "Markup":
    from markupsafe import Markup

    return Markup(text)


def parts_of_chair(card: BenchCard) -> tuple[JointCard, ...]:
    """The joints in working order, then the rest."""
    return (*card.joints, *((card.rest,) if card.rest else ()))


def described_below(card: BenchCard) -> dict[str, str]:
    """What to look for of parts that several joints ask for, or that belong to many joints: it stands once,
    under them all, and each joint keeps to its page.
    """
    found = [(place, item) for place, joint in enumerate(parts_of_chair(card)) for item in joint.items]
    places: dict[str, set[int]] = {}
    texts: dict[str, set[str]] = {}
    for place, item in found:
        places.setdefault(item.part, set()).add(place)
        texts.setdefault(item.part, set()).add(item.designation)
    many = len(card.joints) > FEW_JOINTS
    return {
        item.part: item.designation
        for place, item in found
        if item.part and item.designation and texts[item.part] == {item.designation}
        if len(places[item.part]) > 1 or (many and place < len(card.joints))
    }


def by_text(described: dict[str, str]) -> list[tuple[str, list[str]]]:
    """Parts that are described alike, together."""
    found: dict[str, list[str]] = {}
    for part, text in described.items():
        found.setdefault(text, []).append(part)
    return list(found.items())


def layers_of(card: BenchCard) -> set[str]:
    """The kinds of layers that the drawings of a card show."""
    cuts = [view.cut for joint in card.joints for view in joint.views]
    sections = [section for cut in cuts for section in (cut.before, *cut.after) if section is not None]
    tapped = {TAPPED for section in sections if section.nut is None}
    return tapped | {layer.kind for section in sections for layer in section.slices}


def blocks_of(card: BenchCard, bodies: Bodies, described: dict[str, str]) -> Iterator[ShownJoint]:
    for joint in parts_of_chair(card):
        sides = tuple(dict.fromkeys(tick.side for item in joint.items for tick in item.ticks))
        title = f"{joint.number}. {joint.name}" if joint.number else joint.name.capitalize()
        yield ShownJoint(
            f"{card.anchor}.part-{joint.number}",
            title,
            joint,
            sides,
            tuple(shown_view(view, card.unit, bodies) for view in joint.views),
            tuple(shown_item(item, described) for item in joint.comes_out),
            tuple(shown_item(item, described) for item in joint.goes_in),
        )


def drawn_once(blocks: Iterator[ShownJoint]) -> Iterator[ShownJoint]:
    """Joints of a job that look alike share the drawing of the first."""
    firsts: dict[tuple[tuple[str, str], ...], int] = {}
    for block in blocks:
        looks = tuple((view.look, view.sides) for view in block.views)
        if not any(look for look, _ in looks):
            yield block
        elif looks in firsts:
            views = tuple(replace(view, svg="") for view in block.views)
            yield replace(block, views=views, drawn_as=firsts[looks])
        else:
            firsts[looks] = block.card.number
            yield block


def shown_item(item: Item, described: dict[str, str]) -> ShownItem:
    """``2``, ``0.1 mL``; sides that differ each with their own amount: ``left 1, right 2``."""
    amounts = dict.fromkeys(tick.quantity for tick in item.ticks)
    each_side = ", ".join(f"{tick.side} {tick.quantity}".strip() for tick in item.ticks)
    amount = next(iter(amounts), "") if len(amounts) < 2 else each_side
    told = item.counted(amount)
    if item.kind in ("bolt", "spacer"):
        told = unbroken(told)
    return ShownItem(item, amount, told, "" if item.part in described else item.designation)


def shown_view(view: View, unit: str, bodies: Bodies) -> ShownView:
    from markupsafe import Markup

    drawing = bodies.drawing(view.cut, unit, view.sides)
    if drawing is None:
        return ShownView(view.sides, "", "", view.remarks)
    scale = drawing.frame.get("data-scale", "1")
    width = Fraction(drawing.frame.get("viewBox", "0 0 1 1").split()[2]) / int(scale)
    svg = Markup(bodies.svg(drawing))
    return ShownView(view.sides, svg, f"1:{scale}", view.remarks, drawing.body, width)


def qr_code(text: str) -> "Markup | str":
    """A QR code (ISO/IEC 18004) as inline SVG; "" for a text longer than a code can hold."""
    import segno
    from markupsafe import Markup

    try:
        code = segno.make(text, micro=False, error="m")
    except (segno.DataOverflowError, UnicodeError):
        return ""
    return Markup(code.svg_inline(border=4, omitsize=True, svgclass=None, lineclass=None))


def key_of(layers: set[str] | None = None) -> Iterator[tuple[str, "Markup"]]:
    """The key of the drawings: words, and a swatch of each layer. ``layers``: those shown; None: all."""
    from markupsafe import Markup

    for kind, words in KEY:
        if layers is None or kind in layers:
            yield words, Markup(swatch(HATCHES[kind][0]))
    yield "engaged thread", Markup(swatch("engaged", hatched=False))


def swatch(name: str, *, hatched: bool = True) -> str:
    box = {"width": "5", "height": "3"}
    svg = Xml.Element("svg", {"class": "joint s1", "viewBox": "0 0 5 3", "aria-hidden": "true"})
    svg.set("width", "5mm")
    svg.set("height", "3mm")
    Xml.SubElement(svg, "rect", {"class": f"slice {name}" if hatched else name, **box})
    if hatched:
        Xml.SubElement(svg, "rect", {"class": "hatching", "fill": f"url(#hatch-{name}-1)", **box})
    return Xml.tostring(svg, encoding="unicode")


# --- the pick list ----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ShownPick:
    number: str
    designation: str
    bins: str
    total: str
    rows: tuple[dict[str, object], ...]
    coming: tuple[str, ...]


def shown_pick(place: int, pick: PartPick, remarks: PickRemarks) -> ShownPick:
    unit, several = pick.part.unit, len(pick.bins) > 1
    rows: list[dict[str, object]] = []
    for day in pick.days:
        jobs = [
            {
                "ident": f"pick-{place}-{len(rows)}-{number}",
                "number": job.job,
                "quantity": amount_text(job.quantity, unit),
                "bins": bins_text(job.bins, unit) if several else "",
                "look": remarks.looks(job.job),
                "differs": remarks.differs(job.job, pick.part.number),
            }
            for number, job in enumerate(day.jobs)
        ]
        rows.append({"day": day_text(day.day), "jobs": jobs, "stays": later_text(day, unit)})
    rows = rows or [{"day": "", "jobs": [], "stays": ""}]
    return ShownPick(
        pick.part.number,
        pick.part.designation,
        bins_text(pick.bins, unit) or "not there yet",
        amount_text(pick.quantity, unit),
        tuple(rows),
        tuple(awaited_text(*arrival, unit) for arrival in pick.awaited),
    )
