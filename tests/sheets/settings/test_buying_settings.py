"""The table [buying] of the settings: exact amounts, and what means nothing alone."""

from datetime import date
from fractions import Fraction

import pytest

from reconcile.sheets.settings.file import read_settings
from reconcile.values.problem import Unusable
from reconcile.values.rules import ALL_UNITS, INCREMENTAL, Buying
from reconcile.values.week.buying import Holding, weekly_holding


def read(folder, text):
    path = folder / "reconcile.toml"
    path.write_text(f"[buying]\n{text}", encoding="utf-8")
    return read_settings(path, date(2026, 11, 27)).buying


def test_left_out_nothing_is_asked(tmp_path):
    assert read(tmp_path, "") == Buying() == Buying(None, None, Fraction(0), ALL_UNITS)
    assert not Buying().seeks_cheapest


def test_all_keys_exactly(tmp_path):
    text = 'horizon_weeks = 8\nholding_cost = 0.2\norder_cost = 4.35\nprice_breaks = "Incremental"'
    buying = read(tmp_path, text)
    assert buying == Buying(8, Fraction(1, 5), Fraction("4.35"), INCREMENTAL)
    assert (buying.seeks_cheapest, weekly_holding(buying)) == (True, Holding(share=Fraction(1, 260)))


def test_a_share_is_read_as_everywhere(tmp_path):
    assert read(tmp_path, 'horizon_weeks = 8\nholding_cost = "20 %"').holding_cost == Fraction(1, 5)


def test_no_holding_cost_is_an_answer(tmp_path):
    assert read(tmp_path, "horizon_weeks = 1\nholding_cost = 0").seeks_cheapest


@pytest.mark.parametrize(
    ("text", "key", "says"),
    [
        ("horizon_weeks = 8", "horizon_weeks", "without holding_cost"),
        ("holding_cost = 0.2", "holding_cost", "without horizon_weeks"),
        ("horizon_weeks = 0\nholding_cost = 0", "horizon_weeks", "0 is not a whole number of at least 1"),
        ("horizon_weeks = 8\nholding_cost = 20", "holding_cost", "20 is no share from 0 to 100 %"),
        ("order_cost = -4", "order_cost", "-4 is no amount"),
        ("order_cost = nan", "order_cost", "nan is no amount"),
        ("order_cost = true", "order_cost", "true is no amount"),
        ('order_cost = "4.50"', "order_cost", '"4.50" is no amount'),
        ('price_breaks = "some"', "price_breaks", '"some"'),
        ("horizon = 8", "horizon", "horizon"),
    ],
)
def test_what_cannot_be_used_is_named_by_its_key(tmp_path, text, key, says):
    with pytest.raises(Unusable) as stopped:
        read(tmp_path, text)
    (problem,) = stopped.value.problems
    assert (problem.code, problem.place.cell) == ("settings-key", f"buying.{key}")
    assert says in problem.says
