"""Settings are read once a run, and every file is found by what was read."""

from pathlib import Path

import pytest
from closing_shop import shop

from reconcile.sheets import finding
from reconcile.sheets.finding import input_files, located, located_by, stock_path
from reconcile.sheets.request import Request
from reconcile.values.problem import Unusable


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return shop(tmp_path / "shop")


def test_places_are_those_that_the_finding_of_files_gives(folder: Path) -> None:
    request = Request(folder)
    places = located(request)
    assert places.jobs == finding.jobs_path(request) == folder / "jobs.xlsx"
    assert stock_path(places) == finding.stock_path(request) == folder / "stock.xlsx"
    assert input_files(places) == finding.input_files(request)
    assert located_by(places.settings, request) == places


def test_a_link_to_the_stock_workbook_is_followed(folder: Path, tmp_path: Path) -> None:
    real = tmp_path / "kept.xlsx"
    (folder / "stock.xlsx").rename(real)
    (folder / "stock.xlsx").symlink_to(real)
    assert stock_path(Request(folder)) == real.resolve()


def test_a_path_in_the_settings_is_seen_from_their_folder(folder: Path) -> None:
    (folder / "reconcile.toml").write_text('stock = "store/stock.xlsx"\n', "utf-8")
    assert stock_path(Request(folder)) == folder / "store" / "stock.xlsx"


def test_finding_a_file_reads_no_settings_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    places = located(Request(folder))
    monkeypatch.setattr(finding, "read_settings", lambda *_words: pytest.fail("settings were read again"))
    assert stock_path(places).parent == places.jobs.parent == folder
    assert len(input_files(places)) == 4  # settings, jobs, stock and one frame


def test_a_workbook_that_is_not_there_is_named(folder: Path) -> None:
    (folder / "stock.xlsx").unlink()
    with pytest.raises(Unusable) as refused:
        stock_path(Request(folder))
    assert [fault.code for fault in refused.value.problems] == ["file-missing"]
