"""The table [levels] of the settings: an exact service, its measure, and what is refused."""

from fractions import Fraction

import pytest

from reconcile.sheets.settings.file import read_settings
from reconcile.values.problem import Unusable
from reconcile.values.rules import CYCLE, FILL, LevelRules


def levels(folder, text):
    path = folder / "reconcile.toml"
    path.write_text(f"[levels]\n{text}\n", encoding="utf-8")
    return read_settings(path).levels


def test_nothing_said_is_95_percent_of_cycles(tmp_path):
    assert levels(tmp_path, "") == LevelRules() == LevelRules(Fraction(19, 20), CYCLE)
    assert read_settings(None).levels == LevelRules()


@pytest.mark.parametrize("written", ["0.98", '"98 %"', '"98.0%"'])
def test_a_service_is_exact_however_it_is_written(tmp_path, written):
    assert levels(tmp_path, f"service = {written}").service == Fraction(49, 50)


def test_the_measure_alone_leaves_the_service_as_usual(tmp_path):
    assert levels(tmp_path, 'measure = "fill"') == LevelRules(Fraction(19, 20), FILL)


@pytest.mark.parametrize(
    ("text", "key", "said"),
    [
        ("service = 95", "levels.service", "95 is no share from 0 to 100 %."),
        ("service = 1.0", "levels.service", "1.0 is no service from 50 to 99.9 %."),
        ("service = 0.49", "levels.service", "0.49 is no service from 50 to 99.9 %."),
        ("service = nan", "levels.service", "nan is no share from 0 to 100 %."),
        ("service = true", "levels.service", "true is no share from 0 to 100 %."),
        ('measure = "stock"', "levels.measure", '"stock" is not "cycle", "fill" or "kits".'),
        ("cover = 4", "levels.cover", 'The key "cover" means nothing here'),
    ],
)
def test_what_cannot_be_meant_is_refused(tmp_path, text, key, said):
    with pytest.raises(Unusable) as refused:
        levels(tmp_path, text)
    (found,) = refused.value.problems
    assert (found.code, found.place.cell) == ("settings-key", key)
    assert found.says.startswith(said)
