"""The job cards as one page that needs nothing else: no script, no other file, no address."""

from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from reconcile.reports.bench.batches import Batch
from reconcile.reports.bench.cards import (
    BEFORE_USE,
    DO_NOT_OPEN,
    LOCAL_RULES,
    LOOK_FIRST,
    SIGNED,
    WAIT_FIRST,
    BenchCard,
)
from reconcile.reports.bench.desk import PAGE, BenchDesk, bench_template
from reconcile.reports.bench.pick_list import (
    MAY_BE_NEEDED,
    PickRemarks,
    awaited_text,
    bins_text,
    later_text,
    may_be_needed,
)
from reconcile.reports.bench.shown_joints import ShownJoints
from reconcile.reports.drawings.joint import drawing_defs, drawing_style
from reconcile.reports.week.pictures import PagePictures, page_pictures
from reconcile.reports.writing.style import mark, mark_defs, mark_of_its_own, page_style
from reconcile.reports.writing.wording import (
    PROGRAM,
    amount_text,
    day_text,
    period_name,
    period_text,
    verdict,
)
from reconcile.values.week.picks import PartPick
from reconcile.values.week.results import Week

if TYPE_CHECKING:
    from markupsafe import Markup

NO_PICTURES = PagePictures("", (), 0, ())
"""Of a page that is not the first of its week."""


ONE_MASK = 3
"""The mask pattern of all QR codes of a week that is more than one page."""


def page_name(week: Week, ending: str = "") -> str:
    """``bench-2026-W49.html``."""
    return f"bench-{period_name(week)}{ending}.html"


def write_page(week: Week, path: Path, batch: Batch | None = None, desk: BenchDesk | None = None) -> None:
    """Write the page to ``path``, in UTF-8: of all jobs, or of a ``batch``. ``desk``: that of the week."""
    path.write_text(page_text(week, batch, desk), "utf-8", errors="replace", newline="\n")


def page_text(week: Week, batch: Batch | None = None, desk: BenchDesk | None = None) -> str:
    """The page as HTML. Every text from a sheet is escaped."""
    from markupsafe import Markup

    desk = desk or BenchDesk(week)
    mask = ONE_MASK if batch is not None and batch.several else None
    cards = [
        {**shown(card, desk.shown(card), mask), "joints_shown": desk.joints(card)}
        for card in desk.cards(batch)
    ]
    drawings = [ident for card in desk.cards(batch) for ident in desk.shown(card).drawings]
    once = batch is None or batch.first
    remarks = PickRemarks(week.jobs if once else ())
    return bench_template(PAGE).render(
        once=once,
        alone=batch is not None and batch.alone,
        period=period_text(week),
        verdict=verdict(week),
        as_of=f"{day_text(week.as_of.date())} {week.as_of:%H:%M}",
        program=PROGRAM,
        style=Markup(page_style()),
        mark_defs=Markup(mark_defs(*dict.fromkeys(str(card["kit"]) for card in cards))),
        key=bool(drawings),
        drawing_style=Markup(drawing_style()),
        drawing_defs=Markup(drawing_defs() + desk.bodies.defs(drawings)),
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
    )


def shown(card: BenchCard, joints: ShownJoints, mask: int | None = None) -> dict[str, object]:
    """What a template asks of a card: its fields, what stands between, QR code and marks as markup.

    ``mask``: see ``qr_code``.
    """
    fields = {name: getattr(card, name) for name in BenchCard.__slots__}
    return {
        **fields,
        "blocks": joints.blocks,
        "mark": markup(mark(card.kit)),
        "mark_of_its_own": markup(mark_of_its_own(card.kit)),
        "qr": qr_code(card.number, mask),
        "drawn": joints.drawn,
        "key": joints.key,
        "described": joints.described,
        "turned_by": joints.turned_by,
    }


def markup(text: str) -> "Markup":
    from markupsafe import Markup

    return Markup(text)


def qr_code(text: str, mask: int | None = None) -> "Markup | str":
    """A QR code (ISO/IEC 18004) as inline SVG; "" for a text longer than a code can hold.

    ``mask``: the number of its mask pattern. With None all eight are tried for the most even one, as the
    standard has it, which is most of the work. A reader finds in the code which one it is.
    """
    import segno
    from markupsafe import Markup

    try:
        if text.isascii():
            code = segno.make(text, micro=False, error="m", mask=mask)
        else:
            # Readers guess which letters bytes stand for unless the code says so (ECI). In bytes whatever the
            # letters are: the library takes some UTF-8 for the standard's kanji.
            code = segno.make(
                text, micro=False, error="m", mask=mask, mode="byte", encoding="utf-8", eci=True
            )
    except (segno.DataOverflowError, UnicodeError):
        return ""
    return Markup(code.svg_inline(border=4, omitsize=True, svgclass=None, lineclass=None))


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
