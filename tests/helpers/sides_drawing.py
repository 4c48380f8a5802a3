"""The README's drawing of what a side is: four measures of a chair, before and after two steps more.

Drawn by hand in code; spacers are dark, so that a black and white print is enough.
"""

PANEL_WIDE, PANEL_HIGH, GAP = 380, 236, 12
TUBE, EDGE, SPACER = "#e6e6e6", "#404040", "#0072b2"
STYLE = """
text { font: 14px sans-serif; fill: #1a1a1a }
.title { font-weight: bold; font-size: 16px }
.key { font-family: monospace; font-size: 13px }
"""


def sides_drawing() -> str:
    """The whole drawing as SVG."""
    panels = (width_panel(), depth_panel(), back_panel(), holes_panel())
    wide, high = 2 * PANEL_WIDE + 3 * GAP, 2 * PANEL_HIGH + 3 * GAP
    placed = "".join(
        f'<g transform="translate({GAP + (n % 2) * (PANEL_WIDE + GAP)},'
        f'{GAP + (n // 2) * (PANEL_HIGH + GAP)})">'
        f'<rect width="{PANEL_WIDE}" height="{PANEL_HIGH}" fill="#ffffff" stroke="#b0b0b0"/>{panel}</g>\n'
        for n, panel in enumerate(panels)
    )
    title = "A width is changed left and right, a depth and a back height once for the chair"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" width="{wide}"'
        f' height="{high}" role="img"><title>{title}</title><style>{STYLE}</style>\n'
        f'<rect width="{wide}" height="{high}" fill="#ffffff"/>\n{placed}</svg>\n'
    )


def box(x: float, y: float, wide: float, high: float, fill: str = TUBE) -> str:
    return f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" fill="{fill}" stroke="{EDGE}"/>'


def stack(x: float, y: float, wide: float, high: float, count: int, along: str) -> str:  # noqa: PLR0917
    """So many spacers side by side (``along`` x) or one on the other (y)."""
    return "".join(
        box(x + (n * wide if along == "x" else 0), y + (n * high if along == "y" else 0), wide, high, SPACER)
        for n in range(count)
    )


def words(x: float, y: float, text: str, kind: str = "") -> str:
    named = f' class="{kind}"' if kind else ""
    return f'<text x="{x}" y="{y}"{named}>{text}</text>'


def panel_words(title: str, says: str, keys: str) -> str:
    return words(12, 24, title, "title") + words(12, 196, says) + words(12, 220, keys, "key")


def width_panel() -> str:
    """From the front: side frames, the crossbar between them, two spacers at each of its ends."""
    left, right, bar = 60, 300, 90
    drawn = box(left, 50, 20, 110) + box(right, 50, 20, 110)
    drawn += stack(left + 20, bar, 12, 24, 2, "x") + box(left + 44, bar + 2, right - left - 68, 20)
    drawn += stack(right - 24, bar, 12, 24, 2, "x")
    drawn += words(left - 8, 178, "left") + words(right - 8, 178, "right")
    says = "Each side takes its part of the change: 4 steps, 2 and 2."
    return panel_words("Width, from the front", says, "sides = 2; bolts, stacks: of one side") + drawn


def depth_panel() -> str:
    """From above: two rails; the same block of spacers in both."""
    drawn = ""
    for y, name in ((64, "left rail"), (126, "right rail")):
        drawn += box(40, y, 140, 20) + stack(180, y - 4, 14, 28, 4, "x") + box(236, y, 90, 20)
        drawn += words(40, y - 8, name)
    drawn += words(288, 178, "front")
    says = "Both rails take all of it: 4 steps, 4 in each rail."
    return panel_words("Depth, from above", says, "sides = 1; bolts, stacks: of both rails") + drawn


def back_panel() -> str:
    """From behind: two posts, each standing on the same stack."""
    drawn = ""
    for x in (110, 250):
        drawn += box(x, 40, 20, 62) + stack(x - 4, 102, 28, 12, 4, "y") + box(x, 150, 20, 22)
    drawn += box(130, 44, 120, 12)
    says = "Both posts take all of it, like a depth."
    return panel_words("Back height, from behind", says, "sides = 1; bolts, stacks: of both posts") + drawn


def holes_panel() -> str:
    """A tube in a tube; the bolt goes into another hole of the row."""
    drawn = box(40, 84, 170, 36) + box(150, 90, 190, 24, "#f6f6f6")
    drawn += "".join(f'<circle cx="{x}" cy="102" r="5" fill="#ffffff" stroke="{EDGE}"/>'
                     for x in range(230, 340, 24))  # fmt: skip
    drawn += f'<circle cx="190" cy="102" r="8" fill="{SPACER}" stroke="{EDGE}"/>'
    drawn += words(166, 76, "bolt") + words(236, 140, "holes, a step apart")
    says = "No spacers. Sides by what it changes: width 2, else 1."
    return panel_words("Hole row", says, 'per_step = "0 in"') + drawn


if __name__ == "__main__":
    print(sides_drawing())
