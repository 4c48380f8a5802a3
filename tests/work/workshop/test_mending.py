"""What a choice mends: lengths into the accept file, headings and sheets into the settings; nothing else."""

import shutil
import tomllib

import pytest
from books import workbook
from hypothesis import given
from hypothesis import strategies as st
from open_page import DEMO, TODAY
from page_week import foreign_shop

from reconcile.sheets.request import Request
from reconcile.sheets.settings.file import read_settings
from reconcile.values.problem import Unusable
from reconcile.values.settings import Settings
from reconcile.work.planning import plan
from reconcile.work.workshop.mending import (
    accept_length,
    columns_to_name,
    name_heading,
    name_sheet,
    plain_sheets,
    turned_lengths,
    with_word,
)

PLAIN = '# ours\ncurrency = "EUR"  # of all\n\n[headings]\nbin = ["drawer"]\n\n[sheets]\nstock = "Lager"\n'


@pytest.fixture
def asked(tmp_path) -> Request:
    return Request(shutil.copytree(DEMO, tmp_path / "workshop"), today=TODAY)


def test_a_length_that_is_said_is_read_so_by_every_plan(asked):
    first, second = turned_lengths(plan(asked).problems)
    assert (first.choices, second.choices) == (("3/8 in",), ("1 1/2 in",))
    accept_length(first, "3/8 in", asked)
    path = accept_length(second, "1 1/2 in", asked)
    assert path.read_text("utf-8") == (
        "where,found,use\nstock.xlsx!Stock!E329,2026-03-08,3/8 in\n"
        "stock.xlsx!Stock!E356,2002-01-01,1 1/2 in\n"
    )
    after = plan(Request(asked.folder, today=TODAY, accept=path))
    assert turned_lengths(after.problems) == []


def test_a_cell_that_is_said_again_has_one_line(asked):
    first, _ = turned_lengths(plan(asked).problems)
    accept_length(first, "3/8 in", asked)
    path = accept_length(first, "3/8 in", asked)
    assert len(path.read_text("utf-8").splitlines()) == 2


def test_what_it_cannot_have_been_is_refused(asked):
    first, _ = turned_lengths(plan(asked).problems)
    with pytest.raises(Unusable):
        accept_length(first, "5/8 in", asked)
    assert not (asked.folder / "accept.csv").exists()


def test_a_line_that_somebody_wrote_stays(asked):
    path = asked.folder / "accept.csv"
    path.write_text("where;found;use\nstock.xlsx!Stock!E356;2002-01-01;1 1/2\n", "utf-8")
    first, *_ = turned_lengths(plan(asked).problems)
    accept_length(first, "3/8 in", asked)
    assert path.read_text("utf-8").splitlines()[1:] == [
        "stock.xlsx!Stock!E356,2002-01-01,1 1/2",
        "stock.xlsx!Stock!E329,2026-03-08,3/8 in",
    ]


# --- headings and sheets ----------------------------------------------------------------------------


def test_a_column_that_nothing_reads_is_offered_and_named(tmp_path):
    folder = foreign_shop(tmp_path / "shop")
    workbook(folder / "stock.xlsx", Stock=[("part", "Ablage", "on hand", "unit"), ("A", "x", 1, "each")])
    (found,) = [
        each for each in columns_to_name(Request(folder), Settings()) if each.column.theirs == "Ablage"
    ]
    assert "bin" in found.free and "part" not in found.free
    path = name_heading("Ablage", "bin", Request(folder))
    assert read_settings(path).headings["bin"] == ("Ablage",)
    named = columns_to_name(Request(folder), read_settings(path))
    assert "Ablage" not in [each.column.theirs for each in named]


def test_settings_that_are_there_keep_every_line_and_the_old_file_is_kept(tmp_path):
    path = tmp_path / "reconcile.toml"
    path.write_text(PLAIN, "utf-8")
    name_heading("Fach", "bin", Request(tmp_path, today=TODAY))
    assert path.read_text("utf-8") == PLAIN.replace('bin = ["drawer"]', 'bin = ["drawer", "Fach"]')
    name_heading("Stk", "on hand", Request(tmp_path, today=TODAY))
    assert tomllib.loads(path.read_text("utf-8"))["headings"] == {
        "bin": ["drawer", "Fach"],
        "on hand": ["Stk"],
    }
    name_sheet("Aufträge", "Jobs", Request(tmp_path, today=TODAY))
    assert tomllib.loads(path.read_text("utf-8"))["sheets"] == {"jobs": "Aufträge", "stock": "Lager"}
    assert (tmp_path / "reconcile-before.toml").read_text("utf-8") == PLAIN
    assert [each.name for each in tmp_path.iterdir() if each.name.startswith(".")] == []


@pytest.mark.parametrize(
    ("text", "table", "key", "word", "listed"),
    [
        (PLAIN, "sheets", "stock", "Other", False),  # it says something already
        (PLAIN, "headings", "bin", "drawer", True),  # it is there
        ('headings = { bin = ["drawer"] }\n', "headings", "bin", "Fach", True),  # not by itself
        ('[headings]\nbin = [\n  "drawer",\n]\n', "headings", "bin", "Fach", True),
        ("this is = no [toml", "headings", "bin", "Fach", True),
        ("headings = 3\n", "headings", "bin", "Fach", True),
    ],
)
def test_what_cannot_be_put_in_by_itself_is_left_to_a_person(text, table, key, word, listed):
    assert with_word(text, table, key, word, listed=listed) is None


@given(
    st.text(max_size=20),
    st.sampled_from([PLAIN, "", "a = 1", "[headings]", "[headings]\n", "[x]\ny=1\n[headings]#c\n"]),
)
def test_whatever_a_word_holds_the_settings_say_it_and_nothing_else_new(word, text):
    made = with_word(text, "headings", "on hand", word, listed=True)
    meant = tomllib.loads(text)
    meant.setdefault("headings", {})["on hand"] = [word]
    assert made is not None
    assert tomllib.loads(made) == meant


@pytest.mark.parametrize(("ours", "call"), [("nothing of ours", name_heading), ("Nothing", name_sheet)])
def test_what_is_none_of_ours_is_refused(tmp_path, ours, call):
    with pytest.raises(Unusable):
        call("x", ours, Request(tmp_path))
    assert list(tmp_path.iterdir()) == []


def test_settings_that_would_be_refused_are_not_put_in_place(tmp_path):
    path = tmp_path / "reconcile.toml"
    path.write_text('[headings]\nbin = ["x"]\n', "utf-8")
    before = path.read_bytes()
    try:
        name_heading("", "on hand", Request(tmp_path, today=TODAY))
    except Unusable:
        assert path.read_bytes() == before
    assert read_settings(path).headings["bin"] == ("x",)


def test_every_sheet_of_every_workbook_is_named(tmp_path):
    folder = foreign_shop(tmp_path / "shop")
    assert plain_sheets(Request(folder)) == {"Lagerliste.xlsx": ("Aufträge", "Bestand", "Bestellungen")}
