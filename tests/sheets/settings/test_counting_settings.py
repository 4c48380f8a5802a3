"""The table [counting] of the settings: shares written as people write them, and what is refused."""

from fractions import Fraction

import pytest

from reconcile.sheets.settings.file import read_settings
from reconcile.values.problem import Unusable
from reconcile.values.rules import Counting


def read(tmp_path, text):
    path = tmp_path / "reconcile.toml"
    path.write_text(f"[counting]\n{text}\n", encoding="utf-8")
    return read_settings(path).counting


def refused(tmp_path, text):
    with pytest.raises(Unusable) as fault:
        read(tmp_path, text)
    return [(each.code, each.place.cell, each.says) for each in fault.value.problems]


def test_nothing_said_leaves_the_usual_figures(tmp_path):
    usual = Counting()
    assert read(tmp_path, "") == usual
    assert usual.times == {"A": 12, "B": 4, "C": 1}
    assert usual.tolerance == {"A": 0, "B": Fraction(1, 50), "C": Fraction(1, 20)}
    assert sum(usual.shares.values()) == 1


@pytest.mark.parametrize(
    ("written", "share"),
    [('"2 %"', "1/50"), ('"2.5%"', "1/40"), ('"0"', "0"), ("0.02", "1/50"), ("0", "0"), ('"100 %"', "1")],
)
def test_shares_are_exact(tmp_path, written, share):
    assert read(tmp_path, f"tolerance = {{ B = {written} }}").tolerance["B"] == Fraction(share)


def test_a_class_that_is_not_given_keeps_its_figure(tmp_path):
    assert read(tmp_path, "times = { A = 6 }").times == {"A": 6, "B": 4, "C": 1}


@pytest.mark.parametrize("written", ['"2"', '"-1 %"', "2", "-0.1", "true", '"101 %"', "nan", "inf", '"much"'])
def test_what_is_no_share_is_refused(tmp_path, written):
    says = refused(tmp_path, f"tolerance = {{ C = {written} }}")
    assert [(code, key) for code, key, _ in says] == [("settings-key", "counting.tolerance.C")]
    assert says[0][2].endswith("is no share from 0 to 100 %.")


@pytest.mark.parametrize("written", ["-1", "1.5", '"12"', "true"])
def test_times_are_whole_numbers(tmp_path, written):
    assert refused(tmp_path, f"times = {{ A = {written} }}")[0][:2] == ("settings-key", "counting.times.A")


def test_shares_must_make_up_the_whole(tmp_path):
    ((code, key, says),) = refused(tmp_path, 'shares = { A = "70 %" }')
    assert (code, key) == ("settings-key", "counting.shares")
    assert says == "The shares of the classes add up to 90 %, not to 100 %."


def test_another_class_is_none(tmp_path):
    assert refused(tmp_path, "times = { D = 1 }")[0][:2] == ("settings-key", "counting.times.D")
