"""Outputs appear whole or not at all."""

from pathlib import Path

import pytest

from reconcile.reports.files import write_all, write_whole
from reconcile.values.problem import Unusable


def saying(text: str):
    return lambda path: path.write_text(text)


def codes(refused) -> list[tuple[str, str]]:
    return [(each.code, each.place.file) for each in refused.value.problems]


def refuse_to_replace(monkeypatch, name: str) -> None:
    real = Path.replace

    def replace(self, target):
        if Path(target).name == name:
            raise PermissionError(13, "Permission denied")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", replace)


def test_a_new_file_is_written_into_a_new_folder(tmp_path):
    path = tmp_path / "out" / "report.xlsx"
    write_whole(path, saying("new"))
    assert path.read_text() == "new"
    assert list(path.parent.iterdir()) == [path]


def test_an_existing_file_is_kept_without_force(tmp_path):
    path = tmp_path / "report.xlsx"
    path.write_text("old")
    with pytest.raises(Unusable) as refused:
        write_whole(path, saying("new"))
    assert codes(refused) == [("output-exists", "report.xlsx")]
    assert path.read_text() == "old"
    write_whole(path, saying("new"), force=True)
    assert path.read_text() == "new"


def test_all_targets_are_checked_before_anything_is_written(tmp_path):
    old, other = tmp_path / "a.xlsx", tmp_path / "b.xlsx"
    other.write_text("old")
    with pytest.raises(Unusable) as refused:
        write_all([(old, saying("new")), (other, saying("new"))])
    assert codes(refused) == [("output-exists", "b.xlsx")]
    assert list(tmp_path.iterdir()) == [other]


def test_a_writer_that_fails_leaves_no_file_and_no_scrap(tmp_path):
    def fails(path):
        path.write_text("half")
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        write_all([(tmp_path / "a.xlsx", saying("new")), (tmp_path / "b.xlsx", fails)])
    assert list(tmp_path.iterdir()) == []


def test_a_full_disk_is_explained(tmp_path):
    def fails(path):
        raise OSError(28, "No space left on device")

    with pytest.raises(Unusable) as refused:
        write_whole(tmp_path / "a.xlsx", fails)
    assert codes(refused) == [("output-locked", "a.xlsx")]
    assert refused.value.problems[0].says == "a.xlsx cannot be written: No space left on device."
    assert list(tmp_path.iterdir()) == []


def test_a_locked_file_is_explained_and_stays_whole(tmp_path, monkeypatch):
    path = tmp_path / "report.xlsx"
    path.write_text("old")
    refuse_to_replace(monkeypatch, "report.xlsx")
    with pytest.raises(Unusable) as refused:
        write_whole(path, saying("new"), force=True)
    assert codes(refused) == [("output-locked", "report.xlsx")]
    assert path.read_text() == "old"
    assert list(tmp_path.iterdir()) == [path]


def test_a_later_lock_says_what_was_already_written(tmp_path, monkeypatch):
    refuse_to_replace(monkeypatch, "b.xlsx")
    with pytest.raises(Unusable) as refused:
        write_all([(tmp_path / "a.xlsx", saying("a")), (tmp_path / "b.xlsx", saying("b"))])
    assert refused.value.problems[0].did == "The old file is as it was. Already written: a.xlsx."
    assert [path.name for path in tmp_path.iterdir()] == ["a.xlsx"]


def test_a_folder_that_cannot_be_made_is_explained(tmp_path):
    (tmp_path / "out").write_text("a file, not a folder")
    with pytest.raises(Unusable) as refused:
        write_whole(tmp_path / "out" / "report.xlsx", saying("new"))
    assert codes(refused) == [("output-locked", "report.xlsx")]


def test_a_replaced_file_keeps_its_rights(tmp_path):
    path = tmp_path / "report.xlsx"
    path.write_text("old")
    path.chmod(0o640)
    write_whole(path, saying("new"), force=True)
    assert path.stat().st_mode & 0o777 == 0o640
