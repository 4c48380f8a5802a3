"""A count on the screen: what is to be counted and why, or what was counted and what becomes of it.

80 columns, plain ASCII of our own; a part number is never shortened. The verdict comes first.
"""

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction

from reconcile.reports.writing.text import problem_lines, wrapped
from reconcile.reports.writing.wording import count_text, money_text
from reconcile.values.measure import quantity_text
from reconcile.values.rules import CLASSES, Counting
from reconcile.values.stock.counting import (
    MOVED,
    POSTED,
    VERDICTS,
    Accuracy,
    Counted,
    CountResult,
    CountSheet,
    PartClass,
)
from reconcile.values.trade_codes import rounded

MOST_TOLD = 20
"""Lines of a kind that are told one by one; the sheets have the others."""


def sheet_screen(
    sheet: CountSheet,
    by_class: Mapping[str, PartClass],
    rules: Counting,
    *,
    set_aside: int = 0,
    unplanned: str = "",
) -> str:
    """What a sheet holds, what comes first and why, and how the classes came about.

    ``set_aside``: rows of the stock sheet that are not on it; ``unplanned``: why no job was looked at.
    """
    opening = (*sheet_opening(sheet), *sheet_notes(set_aside, unplanned))
    sections = (opening, first_lines(sheet), class_lines(by_class, rules))
    return "\n\n".join("\n".join(section) for lines in sections if (section := list(lines)))


def sheet_opening(sheet: CountSheet) -> Iterator[str]:
    if not sheet.lines:
        yield wrapped(f"Nothing is to be counted in week {sheet.mark.week}.")
    else:
        first = sum(line.first for line in sheet.lines)
        parts = len({line.part.number for line in sheet.lines})
        ahead = f", {first} of them first" if first else ""
        lines = count_text(len(sheet.lines), "bin")
        yield wrapped(f"To count in week {sheet.mark.week}: {lines} of {count_text(parts, 'part')}{ahead}.")


def sheet_notes(set_aside: int, unplanned: str) -> Iterator[str]:
    """What a sheet lacks, and why."""
    if set_aside:
        rows = count_text(set_aside, "row")
        yield wrapped(f"{rows} of the stock sheet set aside, and not on this sheet; reconcile week says why.")
    if unplanned:
        yield wrapped(f"No part of a short job is put first, for the week could not be planned: {unplanned}")


def first_lines(sheet: CountSheet) -> Iterator[str]:
    """Parts that cannot wait, each once, with every reason."""
    first = list({line.part.number: line for line in sheet.lines if line.first}.values())
    if first:
        yield "Count first"
    for line in first[:MOST_TOLD]:
        says = "; ".join(reason.says for reason in line.reasons)
        yield wrapped(f"{line.part.number}  {says}", "  ", " " * 6)
    if len(first) > MOST_TOLD:
        yield f"  and {len(first) - MOST_TOLD} more, marked on the sheet"


def class_lines(by_class: Mapping[str, PartClass], rules: Counting) -> Iterator[str]:
    yield "Classes by yearly value (usage of 365 days times price)"
    for name in CLASSES:
        members = [part_class for part_class in by_class.values() if part_class.name == name]
        times = rules.times[name]
        often = {0: "never in turn", 1: "once a year"}.get(times, f"{times} times a year")
        allowed = quantity_text(100 * rules.tolerance[name])
        yield wrapped(
            f"{name}  {count_text(len(members), 'part')}, counted {often}, tolerance {allowed} %", "  "
        )
    remarks: dict[str, int] = {}
    for part_class in by_class.values():
        if part_class.remark:
            remarks[part_class.remark] = remarks.get(part_class.remark, 0) + 1
    for remark, count in remarks.items():
        yield wrapped(f"{count_text(count, 'part')} in C: {remark}.", "  ")


# --- a count read back ----------------------------------------------------------------------------


def result_screen(result: CountResult, right: Iterable[Accuracy], *, posted: bool) -> str:
    """The verdict, the differences, the accuracy, then what could not be used."""
    sections = (
        result_opening(result, posted=posted),
        difference_lines(result),
        accuracy_lines(right),
        open_lines(result),
    )
    return "\n\n".join("\n".join(section) for lines in sections if (section := list(lines)))


def result_opening(result: CountResult, *, posted: bool) -> Iterator[str]:
    counted, differ = len(result.lines), sum(line.difference != 0 for line in result.lines)
    agrees = "the book is right in all" if not differ else f"{differ} differ from the book"
    yield wrapped(
        f"Week {result.mark.week}: {count_text(counted, 'bin')} counted, {agrees}{_to_do(result, posted)}."
    )


def _to_do(result: CountResult, posted: bool) -> str:
    post, again = len(result.to_post), len(result.again)
    parts = [f"{post} {'posted' if posted else 'to post'}"] if post else []
    parts += [f"{again} to count again"] if again else []
    return f"; {', '.join(parts)}" if parts else ""


def difference_lines(result: CountResult) -> Iterator[str]:
    """Every line that differs or stays open, in the order of the sheet."""
    told = [line for line in result.lines if line.difference != 0 or line.verdict == MOVED]
    if not told:
        return
    yield figures("book", "counted", "differ", "value", "class")
    for line in told:
        yield wrapped(where_text(line), "  ", " " * 6)
        amounts = (quantity_text(line.book), quantity_text(line.counted), signed(line.difference))
        yield figures(*amounts, value_text(line), f"{line.name}  {line.verdict}")
    for verdict in VERDICTS:
        if any(line.verdict == verdict for line in told):
            yield wrapped(f"{verdict}: {VERDICTS[verdict]}", "", "  ")


def figures(book: str, counted: str, differ: str, value: str, rest: str) -> str:
    return f"    {book:>9} {counted:>9} {differ:>9} {value:>13}  {rest}"


def where_text(line: Counted) -> str:
    """``B-14-300 in A2, each``, with what the counter remarked."""
    where = f" in {line.bin}" if line.bin else ", no bin"
    remark = f" ({line.remark})" if line.remark else ""
    return f"{line.part.number}{where}, {line.part.unit}{remark}"


def signed(value: Fraction) -> str:
    return f"+{quantity_text(value)}" if value > 0 else quantity_text(value)


def value_text(line: Counted) -> str:
    """What the difference is worth, to the currency's smallest unit; a word where no price is known."""
    if line.value is None:
        return "no price"
    worth = rounded(abs(line.value), line.part.currency)
    sign = "-" if line.value < 0 and worth else ""
    return f"{sign}{money_text(worth)} {line.part.currency}".strip()


def accuracy_lines(right: Iterable[Accuracy]) -> Iterator[str]:
    known = [accuracy for accuracy in right if accuracy.counted]
    if known:
        yield "Accuracy of the book: lines within tolerance of those counted"
    for accuracy in known:
        share = quantity_text(round(100 * (accuracy.share or Fraction(0)), 1))
        yield f"  {accuracy.name}  {accuracy.right} of {accuracy.counted}  ({share} %)"


def open_lines(result: CountResult) -> Iterator[str]:
    """What was not counted, and what was set aside with the reason."""
    if result.not_counted:
        yield f"Not counted: {count_text(len(result.not_counted), 'line')}; the book stays as it is there."
        for row in result.not_counted[:MOST_TOLD]:
            yield wrapped(f"{row.part}{f' in {row.bin}' if row.bin else ''}", "  ", " " * 6)
        if len(result.not_counted) > MOST_TOLD:
            yield f"  and {len(result.not_counted) - MOST_TOLD} more"
    for found in result.problems:
        if found.code != "count-blank":
            yield from problem_lines(found)


def next_steps(result: CountResult, *, posted: bool, written: bool) -> str:
    """What the clerk may do now, in words; ``written``: a sheet for the next count."""
    steps = []
    if not posted and any(line.verdict in POSTED for line in result.lines):
        steps.append("Nothing was written. To post what is accepted: the same again with --post --who NAME.")
    if result.again:
        sheet = "that was written" if written else "that --recount writes"
        steps.append(
            f"To count again: fill in the sheet {sheet}, then read all of this count in order:"
            " --read FIRST --read SECOND."
        )
    return "\n".join(wrapped(step) for step in steps)
