"""A folder looked at, a question, and what beginning came to, for a terminal 80 columns wide."""

from collections.abc import Iterator

from reconcile.reports.writing.text import problem_lines, wrapped
from reconcile.reports.writing.wording import count_text
from reconcile.values.beginning import Begun, ColumnSeen, DryRun, Looked, Match, OpenQuestion, SheetSeen
from reconcile.values.week.results import Tally

MOST_FAULTS = 3
MOST_COLUMNS = 12
CELLS = " | "


def looked_screen(looked: Looked) -> str:
    """Every sheet that was found: what it looks like, our columns and theirs, and what has no match."""
    lines: list[str] = []
    for sheet in looked.sheets:
        lines += _sheet(sheet)
    for fault in looked.unread:
        lines += problem_lines(fault)
    if not looked.sheets:
        lines.append(wrapped(f"{looked.folder} holds no workbook and no csv file that can be read."))
    return "\n".join(lines)


def _sheet(sheet: SheetSeen) -> Iterator[str]:
    named = sheet.file if sheet.single_csv else f"{sheet.file}, sheet {sheet.sheet}"
    if not sheet.kind:
        yield wrapped(f"{named}: none of the sheets that are read.")
        return
    yield wrapped(f"{named}: looks like {sheet.kind.lower()}, {count_text(sheet.rows, 'row')}.")
    for match in sheet.matches:
        yield _match(match)
    for missing in sheet.missing:
        yield f"  {missing:<16} no column found"
    if sheet.unmatched:
        more = len(sheet.unmatched) - MOST_COLUMNS
        names = ", ".join(_named(column) for column in sheet.unmatched[:MOST_COLUMNS])
        yield wrapped(f"Not matched: {names}{f', and {more} more' if more > 0 else ''}.", "  ", "    ")


def _match(match: Match) -> str:
    cells = CELLS.join(match.column.cells)
    doubt = "" if match.sure else ", not sure"
    by = f" (by {match.why}{doubt})"
    return wrapped(f"{match.ours:<16} {_named(match.column)}{by}: {cells}", "  ", " " * 19)


def _named(column: ColumnSeen) -> str:
    return f'"{column.theirs}"' if column.theirs else f"column {column.letters}"


def question_text(question: OpenQuestion) -> str:
    """A question with its choices, and what Enter takes."""
    choices = [f"  {answer:<6} {means}".rstrip() for answer, means in question.choices]
    enter = f"Enter takes {question.offered}." if question.offered else "Enter leaves it open."
    return "\n".join([wrapped(question.asks), *choices, enter])


def begun_screen(begun: Begun) -> str:
    """What was written, what stays open, and what a run would do."""
    lines = [f"Written: {path}" for path in begun.written]
    if begun.difference:
        there = begun.looked.folder / "reconcile.toml"
        lines += [wrapped(f"{there} is there already and was left as it is. It differs from what was found:")]
        lines += [f"  {line}" for line in begun.difference]
    lines += [wrapped(f"Open: {each}", "", "  ") for each in begun.settled.open]
    if begun.dry is not None:
        lines += ["", *_dry(begun.dry)]
    return "\n".join(lines)


def _dry(dry: DryRun) -> Iterator[str]:
    if dry.refused:
        yield "The week cannot be planned yet. What stands in the way:"
        for fault in dry.refused[: MOST_FAULTS + 1]:
            yield from problem_lines(fault)
        return
    for sheet, tally in dry.rows.items():
        yield wrapped(f"{sheet}: {_rows(tally)}.")
    if dry.faults:
        yield "What stands in the way first:"
    for fault, count in dry.faults[:MOST_FAULTS]:
        yield wrapped(
            f"{count} x {fault.code}, first at {fault.place}: {fault.says} {fault.do}", "  ", "    "
        )


def _rows(tally: Tally) -> str:
    aside = f", {tally.set_aside} set aside" if tally.set_aside else ""
    elsewhere = tally.read - tally.used - tally.set_aside
    beside = f", {elsewhere} on other days" if elsewhere else ""
    return f"{count_text(tally.read, 'row')} read, {tally.used} used{aside}{beside}"
