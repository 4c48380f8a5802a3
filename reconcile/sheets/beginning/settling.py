"""What looking left open, asked; and what comes of it as settings.

Who answers may be a person or nobody: the same questions are put, and a run that asks nothing takes what is
offered only where it is beyond doubt.
"""

import json
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from reconcile.sheets.beginning import nature
from reconcile.sheets.beginning.evidence import (
    currency_shown,
    date_order_shown,
    decimal_shown,
    length_unit_shown,
)
from reconcile.sheets.beginning.looking import SPARE, is_named
from reconcile.sheets.beginning.words import OURS
from reconcile.sheets.finding import BOOK_SUFFIXES
from reconcile.sheets.jobs.headings import JOBS
from reconcile.sheets.stock.headings import ON_ORDER, PRICE_BREAKS, STOCK, SUPPLIERS, USAGE
from reconcile.sheets.tables.headings import headings_in, key_of, spellings_of
from reconcile.values.beginning import (
    BY_NAME,
    BY_NATURE,
    TOLD,
    ColumnSeen,
    Looked,
    Match,
    OpenQuestion,
    SettledSheets,
    SheetSeen,
)  # fmt: skip
from reconcile.values.settings import Settings
from reconcile.values.words import fold

Ask = Callable[[OpenQuestion], str]
"""Puts a question; its answer is one of the choices, or "" to leave it open."""
NONE = "-"
BESIDE_STOCK = (ON_ORDER, SUPPLIERS, PRICE_BREAKS, USAGE)


def take_what_is_sure(question: OpenQuestion) -> str:
    """Answers for nobody: what is offered where it is beyond doubt."""
    return question.offered if question.sure else ""


@dataclass(slots=True)
class _Settling:
    """What is settled so far."""

    ask: Ask
    plain: dict[str, str] = field(default_factory=dict)
    sheets: dict[str, str] = field(default_factory=dict)
    headings: dict[str, list[str]] = field(default_factory=dict)
    used: list[SheetSeen] = field(default_factory=list)
    open: list[str] = field(default_factory=list)


def settle(looked: Looked, ask: Ask = take_what_is_sure) -> SettledSheets:
    """Settings for the sheets of a folder; ``ask`` is put whatever is open, in order."""
    done = _Settling(ask)
    jobs = _choose(looked, JOBS.name, done)
    stock = _choose(looked, STOCK.name, done)
    for sheet in filter(None, (jobs, stock)):
        _name_file(sheet, done)
        _name_sheet(sheet, done)
        done.used.append(_settle_columns(sheet, done))
    if stock is not None:
        for kind in BESIDE_STOCK:
            for sheet in [
                each for each in looked.sheets if (each.file, each.kind) == (stock.file, kind.name)
            ][:1]:
                _name_sheet(sheet, done)
                done.used.append(_settle_columns(sheet, done))
    _settle_figures(done)
    return SettledSheets(
        done.plain, done.sheets, {name: tuple(words) for name, words in done.headings.items()},
        tuple(done.used), tuple(done.open),
    )  # fmt: skip


# sheets


def _choose(looked: Looked, kind: str, done: _Settling) -> SheetSeen | None:
    """The sheet of a kind; asked about where several may be it."""
    found = sorted((each for each in looked.sheets if each.kind == kind), key=_fit, reverse=True)
    if not found:
        done.open.append(f"No sheet looks like {kind.lower()}.")
        return None
    if len(found) == 1:
        return found[0]
    choices = tuple((str(n), f"{each.file}, sheet {each.sheet}") for n, each in enumerate(found, 1))
    sure = _fit(found[0])[:2] > _fit(found[1])[:2]
    answer = done.ask(OpenQuestion(f"Which sheet holds {kind.lower()}?", choices, "1", sure))
    if answer.isdecimal() and 1 <= int(answer) <= len(found):
        return found[int(answer) - 1]
    named = " and ".join(f"{each.sheet} of {each.file}" for each in found)
    line = f"{fold(kind)} = {json.dumps(found[0].sheet, ensure_ascii=False)}"
    where = f"Name one in reconcile.toml, under [sheets]: {line}"
    done.open.append(f"Several sheets look like {kind.lower()}: {named}. {where}")
    return None


def _fit(sheet: SheetSeen) -> tuple[bool, bool, int]:
    lacks = [each for each in sheet.missing if each not in SPARE]
    named = is_named(sheet.sheet, sheet.kind) or is_named(sheet.file, sheet.kind)
    return not lacks, named, len(sheet.matches)


def _name_file(sheet: SheetSeen, done: _Settling) -> None:
    key = fold(sheet.kind)
    if sheet.file not in [f"{key}{suffix}" for suffix in BOOK_SUFFIXES]:
        done.plain[key] = sheet.file


def _name_sheet(sheet: SheetSeen, done: _Settling) -> None:
    if not sheet.single_csv and key_of(sheet.sheet) != key_of(sheet.kind):
        done.sheets[fold(sheet.kind)] = sheet.sheet


# columns


def _settle_columns(sheet: SheetSeen, done: _Settling) -> SheetSeen:
    """The sheet with the columns that are taken for ours; what is needed and lacks is asked for."""
    matches = [each for each in sheet.matches if each.sure or _agreed(each, sheet, done)]
    free = list(sheet.unmatched)
    for heading in OURS[sheet.kind].needed:
        if heading in SPARE or any(each.ours == heading for each in matches):
            continue
        if (column := _double(heading, matches) or _picked(heading, sheet, free, done)) is not None:
            matches.append(Match(heading, column, TOLD if column in free else BY_NATURE))
    if sheet.kind == STOCK.name and (column := _describing(matches)) is not None:
        matches.append(Match("description", column, BY_NATURE))
    for match in matches:
        _name_heading(match, sheet, done)
    lacks = [each for each in OURS[sheet.kind].needed if each not in {match.ours for match in matches}]
    done.open += [f"No column of {sheet.sheet} was taken for {each}." for each in lacks if each not in SPARE]
    if sheet.kind == STOCK.name and "unit" in lacks:
        _settle_unit(sheet, matches, done)
    return replace(sheet, matches=tuple(matches), missing=tuple(lacks))


def _agreed(match: Match, sheet: SheetSeen, done: _Settling) -> bool:
    """Whether a column that is one of ours by its cells is taken for it."""
    cells = ", ".join(match.column.cells)
    asks = f'Is the column "{match.column.theirs}" of {sheet.sheet} ({cells}) our {match.ours}?'
    answer = done.ask(OpenQuestion(asks, (("yes", "it is"), ("no", "it is not")), "yes"))
    return answer == "yes"


def _double(heading: str, matches: Sequence[Match]) -> ColumnSeen | None:
    """The column of descriptions, for a part that has no number: what is said there names it."""
    described = next((each.column for each in matches if each.ours == "description"), None)
    return described if heading == "part" else None


def _describing(matches: Sequence[Match]) -> ColumnSeen | None:
    """The column of part numbers where there is no description and its cells read as fasteners."""
    if any(each.ours in ("description", "thread") for each in matches):
        return None
    part = next((each.column for each in matches if each.ours == "part"), None)
    return part if part is not None and part.nature == nature.DESCRIPTIONS else None


def _picked(heading: str, sheet: SheetSeen, free: Sequence[ColumnSeen], done: _Settling) -> ColumnSeen | None:
    named = [column for column in free if column.theirs]
    if not named:
        return None
    choices = tuple((column.letters, f'"{column.theirs}": {", ".join(column.cells)}') for column in named)
    asks = f"Which column of {sheet.sheet} is our {heading}? {NONE} for none."
    answer = done.ask(OpenQuestion(asks, (*choices, (NONE, "none")))).upper()
    return next((column for column in named if column.letters == answer), None)


def _name_heading(match: Match, sheet: SheetSeen, done: _Settling) -> None:
    """Names the word in the settings unless the sheet is read so without."""
    if match.why == BY_NAME or not match.column.theirs:
        return
    read = headings_in([match.column.theirs], spellings_of(OURS[sheet.kind], Settings()))
    word = _bare_word(match.column.theirs)
    if match.ours in read and set(read) == {match.ours}:
        return
    words = done.headings.setdefault(match.ours, [])
    if key_of(word) not in map(key_of, words):
        words.append(word)
    for other in read:
        # Named under one heading, a synonym would be lost under the other.
        if any(each.ours == other and each.column == match.column for each in sheet.matches):
            more = done.headings.setdefault(other, [])
            if key_of(word) not in map(key_of, more):
                more.append(word)


def _bare_word(theirs: str) -> str:
    """A heading without the unit or sign in brackets behind it."""
    return re.sub(r"\s*[(\[{][^()\[\]{}]*[)\]}]\s*$", "", theirs) or theirs


def _settle_unit(sheet: SheetSeen, matches: Sequence[Match], done: _Settling) -> None:
    """Without a column of units: each, beyond doubt where only whole numbers are on hand."""
    counted = next((each.column for each in matches if each.ours == "on hand"), None)
    sure = counted is not None and counted.nature == nature.WHOLE_NUMBERS
    asks = f"No column of {sheet.sheet} says what is counted. What does every row count?"
    choices = (("each", "single pieces"), ("pack", "packs"))
    if answer := done.ask(OpenQuestion(asks, choices, "each" if sure else "", sure)):
        done.plain["unit"] = answer
    else:
        done.open.append(f"No column of {sheet.sheet} says what is counted.")


# figures


def _settle_figures(done: _Settling) -> None:
    """How dates, decimals, lengths and prices are written, where the cells show it or somebody says so."""
    for key, question in _questions(done.used):
        if answer := done.ask(question):
            done.plain[key] = answer
        else:
            done.open.append(f"{question.asks} {key} was left out.")


def _questions(used: Sequence[SheetSeen]) -> Iterator[tuple[str, OpenQuestion]]:
    cells = [(match.ours, match.column) for sheet in used for match in sheet.matches]
    for key, found in (
        ("date_order", date_order_shown(cells)),
        ("decimal", decimal_shown(cells)),
        ("length_unit", length_unit_shown(cells)),
        ("currency", currency_shown(cells)),
    ):
        if found is not None:
            yield key, found
