"""The ledger as text for a terminal 80 columns wide, and as JSON."""

import json
from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path

from reconcile.reports.writing.text import wrapped
from reconcile.reports.writing.wording import count_text, place_text
from reconcile.values.ledger.lost import Lost
from reconcile.values.measure import plain_number, quantity_text
from reconcile.values.stock.movements import ORDERS, Closing, Entry, Movement
from reconcile.values.stock.overuse import UsedMore


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


def posted_screen(  # noqa: PLR0913  (what became of a closing, each by its name)
    closing: Closing,
    movements: Sequence[Movement],
    workbook: Path | None,
    kept: Path | None,
    taken: int,
    *,
    finished: bool = True,
) -> str:
    """What was booked, and where the new workbook is; not ``finished``: where it will be."""
    told = f": {_by_kind(movements)}" if movements or closing.kind != ORDERS else ""
    lines = [wrapped(f"{closing.name} is booked{told}.")]
    if taken:
        differences = count_text(taken, "difference")
        lines.append(wrapped(f"Before it, {differences} between sheet and ledger taken over as counted."))
    if workbook is None:
        lines.append("The stock workbook stays as it is.")
        return "\n".join(lines)
    if not finished:
        lines.append(wrapped(f"What is left is finished by the next run: {workbook.name} is put in place."))
        return "\n".join(lines)
    lines.append(f"Written: {workbook}")
    if kept is None:
        lines.append(
            wrapped("Look it over, then put it in the place of the old one: the next run plans by that.")
        )
    else:
        lines.append(f"The old workbook is kept: {kept}")
    return "\n".join(lines)


def begun_screen(begun: Lost, workbook: Path | None, kept: Path | None, old: Path | None) -> str:
    """What is lost with the ledger that a new one was begun for, what is taken as closed, and the files."""
    week = f", up to {begun.week}" if begun.week else ""
    lines = [
        wrapped(f"A new ledger is begun from what the sheet says: {count_text(begun.bins, 'bin')} opened.")
    ]
    if begun.closings:
        told = f"Lost: {count_text(begun.closings, 'closing')}{week}, with their movements"
        lines.append(wrapped(f"{told}, the chairs' records, checks, holds and what happened to orders."))
    if begun.week:
        lines.append(wrapped(f"{begun.week} stays closed, as the workbook's mark says."))
    if begun.jobs:
        done = f"Taken as done, since Usage has them: {count_text(len(begun.jobs), 'job')}"
        lines.append(
            wrapped(f"{done} ({', '.join(begun.jobs[-12:])}{'' if len(begun.jobs) <= 12 else ' the last'}).")
        )
    if old is not None:
        lines.append(f"What lay in its place is kept: {old}")
    if workbook is not None:
        lines.append(f"Written: {workbook}")
    if kept is None:
        lines.append(wrapped("Put it in the place of the stock workbook: until then nothing can be booked."))
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


def used_screen(found: Sequence[UsedMore]) -> str:
    """The frame keys to look at, each with its weeks; "" where there are none."""
    return "\n".join(_used_lines(found))


def _used_lines(found: Sequence[UsedMore]) -> Iterator[str]:
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
