"""A joint before and after as one inline drawing to scale: one user unit is one millimetre of the chair.

Views, lines and hatching follow ISO 128 (thick and thin 2 to 1, hatching at 45 degrees, fasteners not
hatched), threads ISO 6410-1 (crest thick, root thin, end of useful thread thick), dimensions ISO 129-1 and
ASME Y14.5 (extension lines with a gap, text above the line), scales ISO 5455; all from memory. The fills are
light tints of the colours of Okabe and Ito (Color Universal Design, 2008); hatching and words say the same.

Only what is measured is to scale: layers, bolt, engagement, depth, height of a nut and diameter. Heads are
symbols, and so are the widths of nuts and washers.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import takewhile
from xml.etree import ElementTree as Xml

from reconcile.reports.writing.wording import in_diameters
from reconcile.values.frames.sections import (
    BOTTOMS,
    COMES_OUT,
    FRAME_PARTS,
    GOES_IN,
    HOLDS,
    KEPT,
    NEAR,
    OPTION,
    PAST_BOTTOM,
    SUNK_HEADS,
    TOO_FAR_OUT,
    TOO_LONG,
    VERDICTS,
    WASHER,
    WELL,
    JointCut,
    Section,
    Slice,
)
from reconcile.values.measure import decimal_text, length_text

Point = tuple[Fraction, Fraction]
Panel = tuple[Section, str]
"""A section and its caption."""

PAGE = Fraction(186)
"""Millimetres of paper that a drawing may be wide: it fits A4 and Letter, both upright."""

BESIDE, NEARLY = Fraction(134), Fraction(149)
"""Millimetres of paper that a drawing may be wide and still leave room at its right for what comes out and
goes in, and for what goes in alone.
"""

SCALES = (1, 2, 5, 10, 20, 50)
"""One millimetre on paper for so many of the chair: the reductions of ISO 5455."""

TEXT_HEIGHT, LETTER, THIN_LETTER = Fraction("2.85"), Fraction("1.62"), Fraction("0.87")
"""Of the lettering, just over 8 points, and the widths of its letters, broad and narrow, in mm of paper."""

BOLD, CAPITAL = Fraction(11, 10), Fraction("0.4")
"""How much wider bold lettering runs, and what a capital adds, in millimetres of paper."""

THIN_LETTERS = frozenset(" /.,:;!'()-fijlrtI")

ARROW, GAP = Fraction(2), Fraction("0.8")
"""Length of an arrow head; the gap between an outline and an extension line. Millimetres of paper."""

LIFT, OVER = Fraction("0.7"), Fraction("0.6")
"""Millimetres of paper between a dimension line and the figure over it, and of an extension line past it."""

ROW = Fraction("3.5")
"""Millimetres of paper between dimension lines."""

CAPTION, BASELINE = Fraction("3.6"), Fraction("2.1")
"""Millimetres of paper for what stands over a section, and where in that height its letters stand."""

MARGIN = Fraction(2)
PAST = Fraction(4)
"""Millimetres of paper that the tapped member goes on past what is dimensioned in it."""

EDGE = Fraction(1)
"""Millimetres of paper left free at the edges of a section."""

TAPPED = "tapped member"

FASTENER = Fraction(9, 10)
WASHER_HALF = Fraction(11, 10)
"""Half the drawn width of a nut and of a washer, in diameters: symbols, for frame files give neither."""

HEAD_SHAPES = {
    "socket cap": (Fraction(1), Fraction(3, 4)),
    "button": (Fraction(11, 20), Fraction(17, 20)),
    "hex": (Fraction(2, 3), Fraction(9, 10)),
    "pan": (Fraction(3, 5), Fraction(9, 10)),
}
"""Height and half width of a head's symbol, in diameters: only to tell heads apart."""

PLAIN_HEAD = (Fraction(3, 5), Fraction(4, 5))
HALF_BODY = Fraction(5, 4)
"""Half the drawn height of the clamped parts, in diameters; the frame file gives none."""

HATCHES = {
    FRAME_PARTS: ("frame", 45, Fraction(2), "#ececec"),
    OPTION: ("option", 135, Fraction(2), "#f6e3ef"),
    KEPT: ("kept", 135, Fraction("1.3"), "#dceefa"),
    COMES_OUT: ("out", 45, Fraction(1), "#fbe0cf"),
    GOES_IN: ("in", 45, Fraction(1), "#d3efe4"),
    WASHER: ("washer", 135, Fraction("0.8"), "#e4e1f2"),
    TAPPED: ("tapped", 45, Fraction("2.8"), "#f7f3d6"),
}
"""What a layer is to its class, the angle and spacing of its hatching (mm of paper), and its tint."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """A drawing in two parts, so that a page may hold equal ones once: what it says, and what it shows."""

    frame: Xml.Element
    body: str

    @property
    def svg(self) -> str:
        """The whole drawing, for a page that also holds ``drawing_defs`` and ``drawing_style``."""
        return self._around(self.body)

    def using(self, ident: str) -> str:
        """The drawing with its body taken from elsewhere on the page, by its id."""
        return self._around(f'<use href="#{ident}"/>')

    def named(self, cut: JointCut, unit: str, sides: str) -> "Drawing":
        """The same drawing for another joint that looks alike."""
        width, height = (Fraction(text) for text in self.frame.get("viewBox", "0 0 1 1").split()[2:])
        scale = int(self.frame.get("data-scale", "1"))
        return Drawing(frame_of(cut, unit, sides, (width, height), scale), self.body)

    def _around(self, inner: str) -> str:
        text = Xml.tostring(self.frame, encoding="unicode")
        return text.removesuffix("</svg>") + inner + "</svg>"


@dataclass(frozen=True, slots=True)
class DrawingSheet:
    """The group that is drawn into, and how many millimetres of the chair one of paper stands for."""

    group: Xml.Element
    scale: int
    unit: str

    def paper(self, mm: Fraction | int) -> Fraction:
        """Millimetres of paper in user units."""
        return Fraction(mm) * self.scale

    def length(self, mm: Fraction) -> str:
        return length_text(mm, self.unit)

    def add(self, tag: str, kind: str, **given: Fraction | str) -> Xml.Element:
        return Xml.SubElement(self.group, tag, attributes(kind, given))

    def line(self, kind: str, start: Point, end: Point) -> None:
        self.add("line", kind, x1=start[0], y1=start[1], x2=end[0], y2=end[1])

    def lines(self, kind: str, *strokes: tuple[Point, ...]) -> None:
        """Several strokes of one kind as one element."""
        self.add("path", kind, d="".join(map(stroke, strokes)))

    def block(self, kind: str, start: Fraction, width: Fraction, half: Fraction) -> Xml.Element:
        """A rectangle about the axis, ``width`` long and twice ``half`` high; its exact length beside it."""
        box = {"x": start, "y": -half, "width": width, "height": 2 * half}
        return self.add("rect", kind, **box, data_mm=exact(width))

    def text(self, kind: str, x: Fraction, y: Fraction, words: str) -> None:
        self.add("text", kind, x=x, y=y).text = words


def joint_drawing(cut: JointCut, unit: str, sides: str = "") -> Drawing | None:
    """The drawing of a joint; None where its grip is not known and nothing can be drawn.

    ``unit`` prints its lengths, ``sides`` says of which sides it is true.
    """
    if cut.before is None:
        return None
    own = cut.own_bolt
    before = (cut.before, caption(cut.before, "before", unit, own=own))
    after = [(section, caption(section, "after", unit, own=own)) for section in cut.after]
    scale = scale_of(before, after)
    split, width = width_of(*before, scale), narrowest(before, after, scale)
    height = max(height_of(section, scale) for section in (cut.before, *cut.after))
    frame = frame_of(cut, unit, sides, (width, max(1, len(after)) * height), scale)
    body = [placed(before, "before", (Fraction(0), Fraction(0), split), (scale, unit))]
    for row, panel in enumerate(after):
        body.append(placed(panel, "after", (split, row * height, width - split), (scale, unit)))
    return Drawing(frame, "".join(body))


def placed(panel: Panel, when: str, place: tuple[Fraction, Fraction, Fraction], how: tuple[int, str]) -> str:
    """One section with its caption. ``place`` is its corner and its width; ``how`` the scale and the unit."""
    (section, said), (across, down, width), (scale, unit) = panel, place, how
    group = Xml.Element("g", {"class": f"section {when}", "data-verdict": section.verdict})
    group.set("transform", f"translate({number(across)} {number(down + above(section, scale))})")
    draw(section, DrawingSheet(group, scale, unit), said, width)
    return Xml.tostring(group, encoding="unicode")


def scale_of(before: Panel, after: Sequence[Panel]) -> int:
    """The largest scale at which a list has room beside the drawing; half size may fill the page instead."""
    for scale in SCALES:
        wide = narrowest(before, after, scale)
        if wide <= NEARLY * scale or (scale > 1 and wide <= PAGE * scale):
            return scale
    return SCALES[-1]


def narrowest(before: Panel, after: Sequence[Panel], scale: int) -> Fraction:
    """The width of the drawing: its two columns side by side."""
    return width_of(*before, scale) + max((width_of(*panel, scale) for panel in after), default=Fraction(0))


def scale_text(scale: int) -> str:
    return f"Scale 1:{scale} where the page is printed at 100 %."


def frame_of(
    cut: JointCut, unit: str, sides: str, size: tuple[Fraction, Fraction], scale: int
) -> Xml.Element:
    """The svg element with its title and description in words."""
    width, height = size
    title = ", ".join(filter(None, (cut.joint.name, sides)))
    svg = Xml.Element(
        "svg",
        {
            "class": f"joint s{scale}",
            "role": "img",
            "aria-label": f"Drawing of {title}",
            "viewBox": f"0 0 {number(width)} {number(height)}",
            "width": f"{number(width / scale)}mm",
            "height": f"{number(height / scale)}mm",
            "data-scale": str(scale),
        },
    )
    Xml.SubElement(svg, "title").text = title
    Xml.SubElement(svg, "desc").text = words_of(cut, unit)
    return svg


def words_of(cut: JointCut, unit: str) -> str:
    """What the drawing shows, for who cannot see it."""
    sections = [("Before", cut.before), *(("After", section) for section in cut.after)]
    return " ".join(section_words(when, section, unit) for when, section in sections if section is not None)


def section_words(when: str, section: Section, unit: str) -> str:
    def told(words: str, mm: Fraction | None) -> str:
        return "" if mm is None else f"{words} {length_text(mm, unit)}"

    said = [told("bolt", section.length), told("grip", section.grip)]
    if section.nut is not None:
        said += [told("nut", section.nut), told("past the nut", section.past_nut)]
        bounds = [None if bound is None else bound - section.nut for bound in (section.least, section.most)]
        said += [told("at least", bounds[0]), told("at most", bounds[1])]
    else:
        said += [told("engagement", section.engagement), told("at least", section.least)]
        said += [told("at most", section.most), told("thread depth", section.depth)]
    return f"{when}: {', '.join(filter(None, said))}. {VERDICTS[section.verdict]}"


def caption(section: Section, when: str, unit: str, *, own: bool) -> str:
    length = length_text(section.length, unit)
    if when == "before":
        return f"BEFORE: {length} bolt (check it)"
    if own:
        return f"AFTER: its own {length} bolt again"
    if section.wanted_length not in (None, section.length):
        return f"AFTER: {length} bolt, a substitute"
    return f"AFTER: {length} bolt"


def verdict_text(section: Section, unit: str) -> str:
    """``thread in: 1/2 in (2 × d)``; what is not well is marked before it is read."""
    if section.verdict == HOLDS:
        return f"thread in: {length_text(section.engagement, unit)} ({in_diameters(section.diameters)})"
    return section.verdict if section.verdict in WELL else f"! {section.verdict}"


# --- where things stand: x from the left of the column, y from the bolt's axis ---------------------------


def head_of(section: Section) -> tuple[Fraction, Fraction]:
    """Height over the bearing face and half width, in mm; a sunk head lies within the grip."""
    diameter = section.thread.diameter
    if section.head in SUNK_HEADS:
        return Fraction(0), diameter * Fraction(19, 20)
    height, half = HEAD_SHAPES.get(section.head, PLAIN_HEAD)
    return height * diameter, half * diameter


def face(section: Section, scale: int) -> Fraction:
    """Where the head bears: the same for every head, further in where a short grip has its figure outside."""
    figure = length_text(section.grip, section.thread.unit)
    outside = Fraction(0) if fitting(section.grip, scale, figure) else text_width(figure, scale) + 2 * scale
    return max(section.thread.diameter + EDGE * scale, outside)


def half_body(section: Section, scale: int) -> Fraction:
    """Half the drawn height of the clamped parts: room for a word beside the bolt."""
    diameter = section.thread.diameter
    return max(HALF_BODY * diameter, diameter / 2 + Fraction(7, 2) * scale)


def above(section: Section, scale: int) -> Fraction:
    """Room over the axis: caption, two rows of dimensions, half the body."""
    return half_body(section, scale) + (CAPTION + 2 * ROW + 1) * scale


def height_of(section: Section, scale: int) -> Fraction:
    return above(section, scale) + half_body(section, scale) + (2 * ROW + Fraction(5, 4)) * scale


def reach(section: Section) -> Fraction:
    """From the bearing face to the farthest of bolt end, bottom of the thread, nut, least and most."""
    marks = (section.most, section.depth, section.nut, section.least, section.engagement)
    return max(section.length, section.grip + max(mark for mark in marks if mark is not None))


def width_of(section: Section, said: str, scale: int) -> Fraction:
    """What a section needs, its caption, its verdict and the figures to its right included."""
    start = face(section, scale)
    figures = (clear + text_width(words, scale) for words, clear in right_words(section))
    right = max(figures, default=Fraction(0)) + (ARROW + 1 + EDGE) * scale
    drawn = start + max(reach(section) + PAST * scale, section.grip + right)
    heading = caption_width(said, scale) + 2 * EDGE * scale
    beside = min(heading, start + section.length) + verdict_width(section, scale)
    return max(drawn, heading, beside)


def caption_width(said: str, scale: int) -> Fraction:
    """Bold, and wider for its capitals."""
    return BOLD * text_width(said, scale) + CAPITAL * sum(map(str.isupper, said)) * scale


def verdict_width(section: Section, scale: int) -> Fraction:
    """With a gap before it; one that is not well is bold."""
    bold = Fraction(1) if section.verdict in WELL else BOLD
    told = verdict_text(section, section.thread.unit)
    return bold * text_width(told, scale) + (MARGIN + EDGE) * scale


def right_words(section: Section) -> Iterator[tuple[str, Fraction]]:
    """The figures that stand to the right, in the unit that takes more room, and how far past the grip each
    must be clear.
    """
    for beyond in beyonds(section):
        yield beyond_words(beyond, section.thread.unit), beyond.clear


@dataclass(frozen=True, slots=True)
class Beyond:
    """A dimension past the grip: its name, words, where it begins past the grip and how long it is."""

    name: str
    words: str
    start: Fraction
    width: Fraction
    row: int
    """Above the section, -1; below it, 1 and 2."""
    clear: Fraction
    """How far past the grip its figure must be clear: of the end of the bolt too, and of the least."""
    star: str = ""


def beyonds(section: Section) -> Iterator[Beyond]:
    """Depth or most or nut above; what engages or stands past the nut below, and the least of it."""
    least, engaged = section.least or Fraction(0), section.engagement
    nut = section.nut or Fraction(0)
    if section.nut is not None:
        yield Beyond("nut", "nut", Fraction(0), nut, -1, max(nut, engaged))
    elif section.depth is not None:
        yield Beyond("depth", "depth", Fraction(0), section.depth, -1, max(section.depth, engaged))
    elif section.most is not None:
        yield Beyond("most", "most", Fraction(0), section.most, -1, max(section.most, engaged))
    if engaged > nut:
        name, words = ("engagement", "engaged") if section.nut is None else ("past", "past nut")
        yield Beyond(name, words, nut, engaged - nut, 1, max(engaged, least))
    if section.least is not None and least > nut:
        star = " (rule of thumb)" if section.rule_of_thumb else ""
        yield Beyond("least", "least", nut, least - nut, 2, least, star)


def beyond_words(beyond: Beyond, unit: str) -> str:
    return f"{beyond.words} {length_text(beyond.width, unit)}{beyond.star}"


@lru_cache(maxsize=4096)
def text_width(words: str, scale: int) -> Fraction:
    thin = sum(map(THIN_LETTERS.__contains__, words))
    return (thin * THIN_LETTER + (len(words) - thin) * LETTER) * scale


def fitting(span: Fraction, scale: int, *texts: str) -> str:
    """The first of some texts that has room between two arrows' ends; "" where none has."""
    return next((text for text in texts if span >= text_width(text, scale) + scale), "")


# --- the parts of a section -----------------------------------------------------------------------------


def draw(section: Section, sheet: DrawingSheet, said: str, width: Fraction) -> None:
    """Captions, tapped member or nut, layers, bolt, then dimensions over them."""
    top = above(section, sheet.scale) - sheet.paper(BASELINE)
    sheet.text("caption", sheet.paper(EDGE), -top, said)
    good = "said" if section.verdict in WELL else "said bad"
    told = caption_width(said, sheet.scale) + sheet.paper(2 * EDGE) + verdict_width(section, sheet.scale)
    # Without room beside the caption the verdict stands under it, where the length ends.
    high = top if told <= width else half_body(section, sheet.scale) + sheet.paper(2 * ROW - 1 + LIFT)
    sheet.text(f"{good} end", width - sheet.paper(EDGE), -high, verdict_text(section, sheet.unit))
    if section.nut is None:
        draw_tapped(section, sheet)
    else:
        draw_nut(section, section.nut, sheet)
    draw_slices(section, sheet)
    draw_bolt(section, sheet)
    if section.verdict in (TOO_LONG, NEAR, BOTTOMS, PAST_BOTTOM, TOO_FAR_OUT):
        draw_too_far(section, sheet)
    dimension_all(section, sheet)


def draw_slices(section: Section, sheet: DrawingSheet) -> None:
    start = face(section, sheet.scale)
    turned = False
    last = ""
    for layer in section.slices:
        turned = layer.kind == last and not turned  # adjacent parts differ by the direction of their hatching
        last = layer.kind
        half = half_body(section, sheet.scale)
        if layer.kind == WASHER:
            half = min(half, WASHER_HALF * section.thread.diameter)
        hatched(sheet, layer, start, half, turned=turned)
        label_slice(layer, start, section, sheet)
        start += layer.thickness


def hatched(sheet: DrawingSheet, layer: Slice, start: Fraction, half: Fraction, *, turned: bool) -> None:
    """A block in its tint with its hatching over it. The tint carries the measure; the hatching is looks."""
    name = HATCHES[layer.kind][0]
    sheet.block(f"slice {name}", start, layer.thickness, half)
    pattern = f"url(#hatch-{name}{'-turned' if turned else ''}-{sheet.scale})"
    box = {"x": start, "y": -half, "width": layer.thickness, "height": 2 * half}
    sheet.add("rect", "hatching", **box, fill=pattern)


def label_slice(layer: Slice, start: Fraction, section: Section, sheet: DrawingSheet) -> None:
    """Whether a spacer stays, leaves or comes, where there is room to write it."""
    words = {KEPT: "stays", COMES_OUT: "out", GOES_IN: "in", OPTION: "option"}.get(layer.kind, "")
    width = text_width(words, sheet.scale)
    if not words or layer.thickness < width:
        return
    middle, high = start + layer.thickness / 2, sheet.paper(Fraction("3.2"))
    y = section.thread.diameter / 2 + (half_body(section, sheet.scale) - section.thread.diameter / 2) / 2
    box = {"x": middle - width / 2, "y": y - high / 2, "width": width, "height": high}
    sheet.add("rect", "clear", **box)
    sheet.text("mid", middle, y + sheet.paper(Fraction(1)), words)


def draw_tapped(section: Section, sheet: DrawingSheet) -> None:
    """The tapped member, broken off; the thread that no bolt fills drawn empty, to its depth where known."""
    start = face(section, sheet.scale) + section.grip
    half, end = (
        half_body(section, sheet.scale),
        face(section, sheet.scale) + reach(section) + sheet.paper(PAST),
    )
    box = {"x": start, "y": -half, "width": end - start, "height": 2 * half}
    sheet.add("rect", "slice tapped open", **box)
    sheet.add("rect", "hatching", **box, fill=f"url(#hatch-tapped-{sheet.scale})")
    draw_thread(section, sheet, start, end - start)
    break_line(sheet, end, half)  # over a hole that goes on
    draw_limits(section, sheet, start)


def draw_thread(section: Section, sheet: DrawingSheet, start: Fraction, open_to: Fraction) -> None:
    """The empty thread; at the bottom of a hole of known depth the pitch that stays clear, dotted."""
    depth = section.depth if section.depth is not None else open_to
    crest, root = root_radius(section), section.thread.diameter / 2
    hole = sheet.block("hole", start, depth, crest)
    hole.set("data-known", "yes" if section.depth is not None else "no")
    over = start + depth
    sheet.lines("thick", ((start, crest), (over, crest)), ((start, -crest), (over, -crest)))
    sheet.lines("thin", ((start, root), (over, root)), ((start, -root), (over, -root)))
    if section.depth is not None:
        if section.most is not None:
            sheet.block("keep-clear", start + section.most, section.depth - section.most, root)
        sheet.line("thick bottom", (over, -root), (over, root))


def draw_limits(section: Section, sheet: DrawingSheet, start: Fraction) -> None:
    """Dashed lines where the bolt must at least end, and where it must end at most."""
    half = half_body(section, sheet.scale)
    for name, mark in (("least", section.least), ("most", section.most)):
        if mark is not None and (name == "least" or section.depth is None):
            sheet.line(name, (start + mark, -half), (start + mark, half))


def draw_nut(section: Section, height: Fraction, sheet: DrawingSheet) -> None:
    """The nut, its height to scale; the bolt passes through it."""
    start, half = face(section, sheet.scale) + section.grip, FASTENER * section.thread.diameter
    sheet.block("nut", start, height, half)
    edges = (((start, edge), (start + height, edge)) for edge in (half * 3 / 5, -half * 3 / 5))
    sheet.lines("thin", *edges)
    draw_limits(section, sheet, start)


def break_line(sheet: DrawingSheet, x: Fraction, half: Fraction) -> None:
    """A thin line with a zigzag: the member goes on (ISO 128, type of line 01.1)."""
    step = sheet.paper(1)
    zigzag = ((x, -step), (x + step, -step / 2), (x - step, step / 2), (x, step))
    sheet.lines("thin", ((x, -half - step), *zigzag, (x, half + step)))


def draw_bolt(section: Section, sheet: DrawingSheet) -> None:
    start, radius, root = face(section, sheet.scale), section.thread.diameter / 2, root_radius(section)
    end = start + section.length
    draw_head(section, sheet, start)
    sheet.block("bolt", start, section.length, radius)
    if section.engagement > 0:
        engaged = section.engagement if section.nut is None else min(section.engagement, section.nut)
        sheet.block("engaged", start + section.grip, engaged, radius)
    thread_from = start + section.plain
    threaded = sheet.block("threaded", thread_from, end - thread_from, root)
    threaded.set("data-known", "yes" if section.threaded is not None else "no")
    sheet.lines("thin", ((thread_from, root), (end, root)), ((thread_from, -root), (end, -root)))
    sheet.block("outline", start, section.length, radius)
    if section.plain:
        sheet.line("thick thread-end", (thread_from, -radius), (thread_from, radius))
    left = start - section.thread.diameter - sheet.paper(EDGE)
    sheet.line("axis", (left, Fraction(0)), (end + sheet.paper(2 * MARGIN), Fraction(0)))


def draw_head(section: Section, sheet: DrawingSheet, start: Fraction) -> None:
    """The symbol of the head; not to scale, and the legend says so."""
    (height, half), radius = head_of(section), section.thread.diameter / 2
    if section.head in SUNK_HEADS:
        deep = start + half - radius
        sheet.lines("head", ((start, -half), (deep, -radius), (deep, radius), (start, half), (start, -half)))
        return
    rounded = {"rx": height / 2} if section.head in ("button", "pan") else {}
    sheet.add("rect", "head", x=start - height, y=-half, width=height, height=2 * half, **rounded)
    if section.head == "hex":
        edges = (((start - height, across), (start, across)) for across in (half / 2, -half / 2))
        sheet.lines("thin", *edges)
    elif section.head in ("socket cap", "button"):
        wide = half / 2
        sheet.add("rect", "socket", x=start - height, y=-wide, width=height / 2, height=2 * wide)


def draw_too_far(section: Section, sheet: DrawingSheet) -> None:
    """What stands past the bottom, or past the most, thick and crossed; a bolt that just reaches the bottom
    has a thick end.
    """
    at_bottom = section.depth is not None and section.verdict in (BOTTOMS, PAST_BOTTOM)
    limit = (section.depth if at_bottom else section.most) or Fraction(0)
    start = face(section, sheet.scale) + section.grip + limit
    past, radius = section.engagement - limit, section.thread.diameter / 2
    if not past:
        sheet.line("past", (start, -radius), (start, radius))
        return
    sheet.block("past", start, past, radius)
    sheet.line("past", (start, -radius), (start + past, radius))
    sheet.line("past", (start, radius), (start + past, -radius))


def root_radius(section: Section) -> Fraction:
    """Half the basic minor diameter: d less 1.0825 pitches (ISO 68-1, ASME B1.1)."""
    return (section.thread.diameter - Fraction("1.0825") * section.thread.pitch) / 2


# --- dimensions -----------------------------------------------------------------------------------------


def dimension_all(section: Section, sheet: DrawingSheet) -> None:
    """Above: depth, most or nut, then bolt length. Below: spacers and engagement, then grip and the least.

    Figures of the thread stand to the right, where no extension line crosses them.
    """
    start, half = face(section, sheet.scale), half_body(section, sheet.scale)
    inner, row = start + section.grip, sheet.paper(ROW)
    up = [-half, -half - row + sheet.paper(1), -half - 2 * row + sheet.paper(1)]
    down = [half, half + sheet.paper(Fraction("3.9")), half + sheet.paper(Fraction("3.9")) + row]
    heights = {-1: (up[0], up[1]), 1: (down[0], down[1]), 2: (down[0], down[2])}
    for beyond in beyonds(section):
        told = beyond_words(beyond, sheet.unit), inner + beyond.clear
        beside(sheet, beyond.name, (inner + beyond.start, beyond.width), heights[beyond.row], told)
    between(sheet, "length", (start, section.length), (up[0], up[2]), sheet.length(section.length))
    dimension_layers(section, sheet, down)


def dimension_layers(section: Section, sheet: DrawingSheet, down: list[Fraction]) -> None:
    """The grip, and over it the spacers where their figure has room."""
    inner = face(section, sheet.scale) + section.grip
    figure = sheet.length(section.spacers)
    words = fitting(section.spacers, sheet.scale, f"spacers {figure}", figure)
    if section.spacers and words:
        far = sum((layer.thickness for layer in washers_beyond(section)), Fraction(0))
        first = inner - far - section.spacers
        between(sheet, "spacers", (first, section.spacers), (down[0], down[1]), words)
    if section.slices:
        figure = sheet.length(section.grip)
        words = fitting(section.grip, sheet.scale, f"grip {figure}", figure)
        span, at = (inner - section.grip, section.grip), (down[0], down[2])
        if words:
            between(sheet, "grip", span, at, words)
        else:
            before(sheet, "grip", span, at, figure)


def washers_beyond(section: Section) -> Iterator[Slice]:
    """The washers that lie past all spacers."""
    return takewhile(lambda layer: layer.kind == WASHER, reversed(section.slices))


def between(sheet: DrawingSheet, name: str, span: Point, heights: Point, words: str) -> None:
    """A dimension with its figure between the arrows. ``span``: where it begins and how long it is;
    ``heights``: of the outline and of the dimension line.
    """
    own = bare(sheet, name, span, heights, inside=True)
    own.text("mid", span[0] + span[1] / 2, heights[1] - sheet.paper(LIFT), words)


def beside(sheet: DrawingSheet, name: str, span: Point, heights: Point, told: tuple[str, Fraction]) -> None:
    """A dimension with its figure to the right over its line drawn on. ``told``: the figure, and the place
    that it must be clear of.
    """
    (start, width), (_, y), (words, clear) = span, heights, told
    own = bare(sheet, name, span, heights, inside=width >= sheet.paper(2 * ARROW - Fraction(1, 2)))
    at = clear + sheet.paper(ARROW + 1)
    own.lines("thin", ((start + width, y), (at + text_width(words, sheet.scale), y)))
    own.text("begin", at, y - sheet.paper(LIFT), words)


def before(sheet: DrawingSheet, name: str, span: Point, heights: Point, words: str) -> None:
    """A dimension too short for its figure, which stands to the left over its line drawn on."""
    (start, _), (_, y) = span, heights
    own = bare(sheet, name, span, heights, inside=span[1] >= sheet.paper(2 * ARROW))
    at = start - sheet.paper(1)
    own.lines("thin", ((start, y), (at - text_width(words, sheet.scale), y)))
    own.text("end", at, y - sheet.paper(LIFT), words)


def bare(sheet: DrawingSheet, name: str, span: Point, heights: Point, *, inside: bool) -> DrawingSheet:
    """A dimension without its figure: extension lines with a gap, the line, two arrow heads."""
    (start, width), (outline, y) = span, heights
    down = 1 if y > outline else -1
    own = DrawingSheet(Xml.SubElement(sheet.group, "g", {"class": "dim"}), sheet.scale, sheet.unit)
    own.group.set("data-name", name)
    own.group.set("data-mm", exact(width))
    gap, over = outline + down * sheet.paper(GAP), y + down * sheet.paper(OVER)
    own.lines("thin", *(((x, gap), (x, over)) for x in (start, start + width)))
    own.line("thin measure", (start, y), (start + width, y))
    own.lines("arrow", *arrows(sheet, start, start + width, y, inside=inside))
    return own


def arrows(
    sheet: DrawingSheet, start: Fraction, end: Fraction, y: Fraction, *, inside: bool
) -> Iterator[tuple[Point, ...]]:
    """Two arrow heads: within the extension lines, or from outside where there is no room."""
    long, wide = sheet.paper(ARROW), sheet.paper(Fraction("0.45"))
    for tip, way in ((start, 1), (end, -1)):
        back = tip + (way if inside else -way) * long
        yield ((tip, y), (back, y - wide), (back, y + wide))


# --- text of numbers, patterns, style -------------------------------------------------------------------


def attributes(kind: str, given: dict[str, Fraction | str]) -> dict[str, str]:
    texts = {
        name.replace("_", "-"): value if isinstance(value, str) else number(value)
        for name, value in given.items()
    }
    return {"class": kind, **texts}


@lru_cache(maxsize=4096)
def number(value: Fraction) -> str:
    """Exact where its decimals end soon; else to a ten-thousandth of a millimetre."""
    text = decimal_text(Fraction(value))
    return text if text is not None and len(text) <= 14 else f"{float(value):.4f}"


def stroke(points: tuple[Point, ...]) -> str:
    """Points as a stroke of a path."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def exact(value: Fraction) -> str:
    return str(Fraction(value))


def drawing_defs() -> str:
    """The hatchings of every scale, once for a page."""
    svg = Xml.Element("svg", {"class": "defs", "width": "0", "height": "0", "aria-hidden": "true"})
    defs = Xml.SubElement(svg, "defs")
    for scale in SCALES:
        for name, angle, spacing, _ in HATCHES.values():
            hatch(defs, f"hatch-{name}-{scale}", angle, spacing * scale)
            hatch(defs, f"hatch-{name}-turned-{scale}", 180 - angle, spacing * scale)
    return Xml.tostring(svg, encoding="unicode")


def hatch(defs: Xml.Element, ident: str, angle: int, spacing: Fraction) -> None:
    size = number(spacing)
    pattern = Xml.SubElement(
        defs,
        "pattern",
        {
            "id": ident,
            "width": size,
            "height": size,
            "patternUnits": "userSpaceOnUse",
            "patternTransform": f"rotate({angle})",
        },
    )
    thin = {"x1": "0", "y1": "0", "x2": "0", "y2": size, "class": "hatch-line"}
    Xml.SubElement(pattern, "line", thin).set("stroke-width", number(spacing / 8))


def drawing_style() -> str:
    """The style sheet of all drawings: line widths and lettering in millimetres of paper at each scale."""
    tints = "".join(f".joint .{name}{{fill:var(--d-{name},{tint})}}" for name, _, _, tint in HATCHES.values())
    return PLAIN_STYLE + tints + "".join(map(scaled_style, SCALES))


def scaled_style(scale: int) -> str:
    thick, thin = (number(Fraction(width) * scale / 20) for width in (10, 5))
    text = number(TEXT_HEIGHT * scale)
    return (
        f".s{scale}{{stroke-width:{thin};font-size:{text}px}}"
        f".s{scale} :is(.thick,.outline,.slice,.head,.nut){{stroke-width:{thick}}}"
        f".s{scale} .past{{stroke-width:{number(Fraction(3 * scale, 4))}}}"
        f".s{scale} .axis{{stroke-dasharray:{6 * scale} {scale} {scale} {scale}}}"
        f".s{scale} :is(.least,.most){{stroke-dasharray:{2 * scale} {scale};stroke-width:{thick}}}"
        f".s{scale} .keep-clear{{stroke-dasharray:{scale} {scale};stroke-width:{thin}}}"
        f".s{scale} .slice.out{{stroke-dasharray:{2 * scale} {scale}}}"
    )


PLAIN_STYLE = (
    ".joint{display:block;max-width:100%;height:auto;fill:none;stroke:var(--ink,#000);stroke-linecap:butt;"
    "font-family:Arial,'Liberation Sans',Helvetica,sans-serif}"
    ".joint text{fill:var(--ink,#000);stroke:none;text-anchor:start}"
    ".joint .mid{text-anchor:middle}.joint .end{text-anchor:end}"
    ".joint .caption,.joint .bad{font-weight:bold}"
    ".joint .arrow{fill:var(--ink,#000);stroke:none}.joint .said{font-style:normal}"
    ".joint .hole,.joint .clear{fill:var(--paper,#fff);stroke:none}"
    ".joint .hatching,.joint .threaded{stroke:none}"
    ".joint .bolt,.joint .head,.joint .nut{fill:var(--d-bolt,#fff)}.joint .bolt,.joint .engaged{stroke:none}"
    ".joint .engaged{fill:var(--d-thread,#f3e79b)}.joint .outline{fill:none}"
    ".joint .socket{fill:var(--d-bolt,#fff)}"
    ".joint .open{stroke:none}"
    ".joint .past{stroke:var(--d-most,#b34700);fill:none}"
    ".joint .least{stroke:var(--d-least,#0072b2)}.joint .most{stroke:var(--d-most,#b34700)}"
    ".joint .keep-clear{fill:var(--d-out,#fbe0cf);stroke:var(--d-most,#b34700)}"
    ".hatch-line{stroke:var(--d-hatch,#777)}"
    "svg.defs{position:absolute}"
)
