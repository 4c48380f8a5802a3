"""The shop's own names of sheets and columns, and the unit that its parts are counted in."""

import pytest

from reconcile.sheets.settings.file import read_settings
from reconcile.values.problem import Unusable


def settings_of(folder, text):
    path = folder / "reconcile.toml"
    path.write_text(text, "utf-8")
    return read_settings(path)


def faults(folder, text):
    with pytest.raises(Unusable) as refused:
        settings_of(folder, text)
    return [(each.code, each.place.cell, each.says) for each in refused.value.problems]


def test_sheets_and_unit_are_read(tmp_path):
    read = settings_of(tmp_path, 'unit = "pcs"\n[sheets]\nStock = "Inventory 2026"\n"On order" = "Open"\n')
    assert (read.unit, read.sheets) == ("each", {"stock": "Inventory 2026", "on order": "Open"})


@pytest.mark.parametrize(
    ("text", "key", "says"),
    [
        ('unit = "blips"', "unit", '"blips" is not a unit that is known.'),
        ("unit = 3", "unit", "3 is not text."),
        ('sheets = "Stock"', "sheets", '"Stock" is not a table of sheets.'),
        ('[sheets]\nstok = "A"', "sheets.stok", '"stok" is no sheet that is read; the nearest is "stock".'),
        ("[sheets]\nstock = 7", "sheets.stock", "7 is not text."),
    ],
)
def test_what_cannot_be_used_is_named(tmp_path, text, key, says):
    assert faults(tmp_path, text) == [("settings-key", key, says)]


def test_a_word_under_two_headings_of_numbers_is_refused(tmp_path):
    text = '[headings]\n"on hand" = ["Anzahl"]\nallocated = ["anzahl"]\n'
    ((code, key, says),) = faults(tmp_path, text)
    assert (code, key) == ("settings-key", "headings.allocated")
    assert says == '"Anzahl" is named under "on hand" and under "allocated"; no column can be both.'


def test_a_word_under_two_headings_of_words_or_of_two_sheets_is_fine(tmp_path):
    text = '[headings]\npart = ["X"]\ndescription = ["X"]\n"on hand" = ["N"]\n"from quantity" = ["N"]\n'
    assert settings_of(tmp_path, text).headings["description"] == ("X",)
