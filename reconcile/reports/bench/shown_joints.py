"""The joints of a card as pages show them: drawings, and what comes out and goes in, ready for a template."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING
from xml.etree import ElementTree as Xml

from reconcile.reports.bench.cards import BenchCard, Item, JointCard, View
from reconcile.reports.drawings.bodies import Bodies
from reconcile.reports.drawings.joint import BESIDE, HATCHES, NEARLY, TAPPED
from reconcile.reports.writing.text import unbroken
from reconcile.values.frames.sections import COMES_OUT, FRAME_PARTS, GOES_IN, KEPT, OPTION, WASHER
from reconcile.values.measure import length_text

if TYPE_CHECKING:
    from markupsafe import Markup

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


@dataclass(frozen=True, slots=True)
class ShownView:
    sides: str
    svg: "Markup | str"
    scale: str
    """``1:2``; "" where nothing is drawn."""
    remarks: tuple[str, ...]
    ident: str = ""
    """Of what it shows: equal drawings have the same."""
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

    title: str
    card: JointCard
    columns: tuple[str, ...]
    """The sides that have a box: ``("left", "right")``."""
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


@dataclass(frozen=True, slots=True)
class ShownJoints:
    """What a card shows between its head and its foot: nothing of it has the job's number."""

    blocks: tuple[ShownJoint, ...]
    described: tuple[tuple[str, tuple[str, ...]], ...]
    """What to look for, and the parts that it is true of."""
    key: tuple[tuple[str, "Markup"], ...]
    """Of the drawings: words, and a swatch of each layer that they show."""
    turned_by: str

    @property
    def drawings(self) -> Iterator[str]:
        """The ids of what is drawn."""
        return (view.ident for block in self.blocks for view in block.views if view.ident)

    @property
    def drawn(self) -> bool:
        return any(True for _ in self.drawings)


def shown_joints(card: BenchCard, bodies: Bodies) -> ShownJoints:
    described = described_below(card)
    return ShownJoints(
        tuple(drawn_once(blocks_of(card, bodies, described))),
        tuple((text, tuple(parts)) for text, parts in by_text(described)),
        tuple(key_of(layers_of(card))),
        "; ".join(turned_by(card)),
    )


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
        looks = tuple((view.ident, view.sides) for view in block.views)
        if not any(ident for ident, _ in looks):
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
    return ShownView(view.sides, svg, f"1:{scale}", view.remarks, bodies.ident(drawing), width)


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
