"""The ledger as text for a terminal 80 columns wide, and as JSON."""

import json
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path

from reconcile.reports.writing.text import wrapped
from reconcile.reports.writing.wording import count_text, place_text
from reconcile.values.measure import plain_number, quantity_text
from reconcile.values.stock.movements import Closing, Entry, Movement
from reconcile.values.stock.overuse import Overuse


def card_screen(part: str, entries: Sequence[Entry]) -> str:
    """A part's card: a line for each movement, with what it had after it, and below it where it came from."""
    unit = entries[-1].movement.unit
    lines = [f"{part}: {quantity_text(entries[-1].balance)} {unit} by the ledger", ""]
    lines.append(f"{'day':<10}  {'what':<8}  {'quantity':>9}  {'left':>9}  {'bin':<8}  for")
    for entry in entries:
        move = entry.movement
        lines.append(
            f"{move.day}  {move.kind:<8}  {signed(move.quantity):>9}  {quantity_text(entry.balance):>9}  "
            f"{move.bin or '-':<8}  {move.job or '-'}".rstrip()
        )
        told = (f"number {entry.number}", entry.closing, f"by {move.who}", place_text(move.source), move.note)
        lines.append(wrapped("; ".join(filter(None, told)), " " * 12))
    return "\n".join(lines)


def card_json(part: str, entries: Sequence[Entry]) -> str:
    """The same as one JSON object; quantities are numbers, exact where whole."""
    rows = [
        {
            "number": entry.number, "closing": entry.closing, "day": entry.movement.day.isoformat(),
            "kind": entry.movement.kind, "quantity": plain_number(entry.movement.quantity),
            "left": plain_number(entry.balance), "unit": entry.movement.unit, "bin": entry.movement.bin,
            "job": entry.movement.job, "who": entry.movement.who, "source": place_text(entry.movement.source),
            "note": entry.movement.note, "reverses": entry.reverses,
        }
        for entry in entries
    ]  # fmt: skip
    left = plain_number(entries[-1].balance) if entries else 0
    return json.dumps({"part": part, "left": left, "movements": rows}, ensure_ascii=False, indent=1)


def closings_screen(closings: Sequence[Closing]) -> str:
    """Every closing in the order of posting; one that was written back says so.

    A week may be closed again after it was written back: then the last closing of it says that it stands.
    """
    if not closings:
        return "The ledger has no closing yet."
    back = written_back(closings)
    again = {closings[place].name for place in back}
    lines = [f"{'closed':<10}  {'what':<30}  {'workbook':<26}  by"]
    for place, closing in enumerate(closings):
        stands = "stands" if closing.name in again else ""
        told = ", ".join(filter(None, (closing.name, "written back" if place in back else stands)))
        lines.append(f"{closing.day}  {told:<30}  {closing.target or '-':<26}  {closing.who}")
    return "\n".join(lines)


def written_back(closings: Sequence[Closing]) -> set[int]:
    """The places of closings that were written back: an undo takes the last one of its name before it."""
    last: dict[str, int] = {}
    back = set()
    for place, closing in enumerate(closings):
        if closing.undoes in last:
            back.add(last[closing.undoes])
        last[closing.name] = place
    return back


def posted_screen(
    closing: Closing, movements: Sequence[Movement], workbook: Path | None, kept: Path | None, taken: int
) -> str:
    """What was booked, and where the new workbook is."""
    lines = [wrapped(f"{closing.name} is booked: {_by_kind(movements)}.")]
    if taken:
        differences = count_text(taken, "difference")
        lines.append(wrapped(f"Before it, {differences} between sheet and ledger taken over as counted."))
    if workbook is None:
        lines.append("The stock workbook stays as it is.")
        return "\n".join(lines)
    lines.append(f"Written: {workbook}")
    if kept is None:
        lines.append(
            wrapped("Look it over, then put it in the place of the old one: the next run plans by that.")
        )
    else:
        lines.append(f"The old workbook is kept: {kept}")
    return "\n".join(lines)


def to_book_screen(closing: Closing, movements: Iterable[Movement]) -> str:
    """What would be booked, a line for each movement."""
    lines = [f"{closing.name} would be booked; nothing is written:"]
    for movement in movements:
        place = movement.bin or "no bin"
        lines.append(
            f"  {signed(movement.quantity):>9} {movement.unit} {movement.part}, {place},"
            f" {movement.kind}, {movement.job}"
        )
    return "\n".join(lines)


def _by_kind(movements: Iterable[Movement]) -> str:
    counts: dict[str, int] = {}
    for movement in movements:
        counts[movement.kind] = counts.get(movement.kind, 0) + 1
    told = [f"{count} {kind}" for kind, count in counts.items()]
    return f"{count_text(sum(counts.values()), 'movement')} ({', '.join(told)})" if told else "no movement"


def overuse_screen(found: Sequence[Overuse]) -> str:
    """The frame keys to look at, each with its weeks; "" where there are none."""
    return "\n".join(_overuse_lines(found))


def _overuse_lines(found: Sequence[Overuse]) -> Iterator[str]:
    if not found:
        return
    yield wrapped("Used more than planned week after week. Look at these keys of the frame files:")
    for overuse in found:
        yield wrapped(
            f"{overuse.frame} {overuse.key} ({overuse.name}): {', '.join(overuse.parts)}", "  ", "    "
        )
        weeks = "; ".join(
            f"{one.week}: {quantity_text(one.used)} used, {quantity_text(one.planned)} planned"
            for one in overuse.weeks
        )
        yield wrapped(weeks, "    ")
        if overuse.reasons:
            yield wrapped(f"said: {'; '.join(overuse.reasons)}", "    ")


def signed(quantity: Fraction) -> str:
    """``+4`` or ``-4``: on or off the shelf; 0 where it was never there."""
    return quantity_text(quantity) if quantity <= 0 else f"+{quantity_text(quantity)}"
