"""Columns are known by the nature of their cells, or by words of other tongues; and what the cells show."""

from datetime import date

import pytest
from books import csv_file, workbook

from reconcile.sheets.beginning import nature
from reconcile.sheets.beginning.evidence import (
    currency_shown,
    date_order_shown,
    decimal_shown,
    length_unit_shown,
)
from reconcile.sheets.beginning.looking import look, seen
from reconcile.sheets.beginning.settling import settle
from reconcile.sheets.beginning.text import difference, settings_text
from reconcile.sheets.beginning.words import KINDS, OURS
from reconcile.sheets.files.books import open_book
from reconcile.sheets.settings.file import read_settings
from reconcile.sheets.tables.headings import key_of
from reconcile.values.beginning import ColumnSeen, OpenQuestion, SettledSheets


@pytest.mark.parametrize(
    ("cells", "expected"),
    [
        ([], nature.NOTHING),
        ([None, "  "], nature.NOTHING),
        ([date(2026, 12, 1), None, date(2026, 12, 2)], nature.DAYS),
        (["3/12/2026", "2026-12-03"], nature.DAYS),
        ([1, 2.0, 40], nature.WHOLE_NUMBERS),
        (["1.200", "7"], nature.WHOLE_NUMBERS),
        ([1, 2.5], nature.NUMBERS),
        (["M6", "1/4-20 UNC", "M8"], nature.THREADS),
        (["1/2 in", "12,7 mm", '2"'], nature.LENGTHS),
        (["ea", "pack of 50", "Stk"], nature.UNITS),
        (["£5", "n/a", "6 EUR"], nature.PRICES),
        (["A1", "B-12", "C3-2"], nature.BINS),
        (["SHCS M6 x 30", "lock nut M6", "left over"], nature.DESCRIPTIONS),
        (["Smith", "Kern", "Voss"], nature.WORDS),
        (["M6", "M8"], nature.WORDS),  # too few to say so
        ([True, False, True], nature.WORDS),
    ],
)
def test_the_nature_of_a_column(cells, expected):
    assert nature.nature_of(cells) == expected


@pytest.mark.parametrize("kind", KINDS, ids=[kind.name for kind in KINDS])
def test_no_word_means_two_things_in_one_sheet_and_none_of_ours_is_lost(kind):
    meanings: dict[str, set[str]] = {}
    for heading, words in kind.headings.items():
        for word in (heading, *words):
            meanings.setdefault(key_of(word), set()).add(heading)
    assert {word: found for word, found in meanings.items() if len(found) > 1} == {}
    ours = OURS[kind.name]
    assert all(set(ours.headings[heading]) <= set(kind.headings[heading]) for heading in ours.headings)
    assert "" not in meanings


@pytest.mark.parametrize(
    ("headings", "kind"),
    [
        (["Teilenummer", "Bestand"], "Stock"),
        (["Référence", "Désignation", "En stock"], "Stock"),
        (["Auftrag", "Datum", "Rahmen", "bis"], "Jobs"),
        (["order", "part", "quantity", "due"], "On order"),
        (["who", "what", "why"], ""),
        (["part"], ""),
    ],
)
def test_a_sheet_is_known_by_its_headings(tmp_path, headings, kind):
    path = workbook(tmp_path / "a.xlsx", Anything=[headings, ["x", 1, "y", "z"][: len(headings)]])
    assert seen(open_book(path), "Anything").kind == kind


def test_a_column_is_matched_by_its_cells_only_where_it_is_the_only_one(tmp_path):
    one = [["part", "on hand", "gauge"], *[[f"B-{n}", n, "M6"] for n in range(4)]]
    two = [["part", "on hand", "gauge", "other"], *[[f"B-{n}", n, "M6", "M8"] for n in range(4)]]
    book = open_book(workbook(tmp_path / "a.xlsx", One=one, Two=two))
    assert [match.ours for match in seen(book, "One").matches if match.why == "its cells"] == ["thread"]
    assert [match.ours for match in seen(book, "Two").matches if match.why == "its cells"] == []


def test_columns_are_shown_with_three_cells(tmp_path):
    path = csv_file(tmp_path / "stock.csv", "part,on hand\n" + "".join(f"B-{n},{n}\n" for n in range(9)))
    column = seen(open_book(path), "stock").column("part")
    assert column is not None
    assert (column.letters, column.theirs, column.cells) == ("A", "part", ("B-0", "B-1", "B-2"))


# --- what the cells show ------------------------------------------------------------------------------


def texts(ours, *cells, unit=""):
    return [(ours, ColumnSeen("A", ours, cells[:3], "", tuple(cells), (), unit))]


def figures(ours, *cells, unit=""):
    return [(ours, ColumnSeen("A", ours, (), "", (), tuple(cells), unit))]


@pytest.mark.parametrize(
    ("days", "offered"),
    [
        (("03/12/2026", "30/11/2026"), "dmy"),
        (("12/03/2026", "11/30/2026"), "mdy"),
        (("03/12/2026",), ""),
        (("30/11/2026", "11/30/2026"), ""),
        (("2026-12-03",), None),
    ],
)
def test_the_order_of_dates(days, offered):
    found = date_order_shown(texts("date", *days))
    assert (found and (found.offered, found.sure)) == (None if offered is None else (offered, bool(offered)))


@pytest.mark.parametrize(
    ("numbers", "offered"),
    [
        (("1.200", "0,40 €"), ","),
        (("1,200", "0.40"), "."),
        (("1.234,50",), ","),
        (("1,200",), ""),
        (("1,200", "0,4", "0.4"), ""),
        (("12,5", "3"), None),
        (("12",), None),
    ],
)
def test_the_decimal_mark(numbers, offered):
    found = decimal_shown(texts("price", *numbers))
    assert (found and (found.offered, found.sure)) == (None if offered is None else (offered, bool(offered)))


@pytest.mark.parametrize(
    ("sizes", "unit", "offered"),
    [((400.0, 412.5), "", "mm"), ((14.0, 15.0), "", ""), ((40.0,), "", ""), ((400.0,), "mm", None)],
)
def test_the_unit_of_sizes(sizes, unit, offered):
    found = length_unit_shown(figures("from", *sizes, unit=unit))
    assert (found and (found.offered, found.sure)) == (None if offered is None else (offered, bool(offered)))


def test_the_currency_of_a_sign_is_never_taken_unasked():
    found = currency_shown(texts("price", "$5", "$6"))
    assert found is not None
    assert (found.offered, found.sure, ("USD", "") in found.choices) == ("", False, True)
    assert currency_shown(texts("price", "£5")) is None
    assert currency_shown([*texts("price", "$5"), *texts("currency", "USD")]) is None


# --- what comes of it ---------------------------------------------------------------------------------


def test_settings_are_read_back_as_they_were_meant(tmp_path):
    settled = SettledSheets(
        {"stock": 'a "b".xlsx', "unit": "each"}, {"on order": "Größe\\1"}, {"on hand": ("Zähl'er",)}
    )
    path = tmp_path / "reconcile.toml"
    path.write_text(settings_text(settled), "utf-8")
    read = read_settings(path)
    assert (read.stock, read.unit, read.sheets, read.headings) == (
        'a "b".xlsx', "each", {"on order": "Größe\\1"}, {"on hand": ("Zähl'er",)},
    )  # fmt: skip


def test_the_difference_is_line_by_line():
    assert difference("a = 1\nb = 2\n", "a = 1\nb = 3\n") == ("-b = 2", "+b = 3")
    assert difference("a = 1\n", "a = 1\n") == ()


def test_every_question_can_be_answered(tmp_path):
    """Whoever answers with the first choice, the last or not at all gets settings that can be read."""
    rows = [[f"B-{n}", "$1", n, f"A-{n}"] for n in range(1, 5)]
    workbook(
        tmp_path / "one.xlsx", A=[["part", "price", "zahl", "gauge"], *rows], B=[["part", "qty"], ["B", 1]]
    )
    workbook(tmp_path / "two.xlsx", Plan=[["job", "date", "frame", "to"], ["J-1", "3/12/2026", "F", "15"]])
    looked = look(tmp_path)
    asked: list[OpenQuestion] = []

    def answering(choose):
        def ask(question: OpenQuestion) -> str:
            asked.append(question)
            return choose(question)

        return ask

    for choose in (lambda q: q.choices[0][0], lambda q: q.choices[-1][0], lambda q: ""):
        path = tmp_path / "reconcile.toml"
        path.write_text(settings_text(settle(looked, answering(choose))), "utf-8")
        read_settings(path)
    assert asked
    assert all(question.asks.endswith(("?", "none.")) and question.choices for question in asked)
    assert all(q.offered in ("", *(answer for answer, _ in q.choices)) for q in asked)
