"""Outputs appear whole or not at all."""

import os
from pathlib import Path

import pytest

from reconcile.reports.writing.files import write_all, write_whole
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


OLD_AND_NEW = [{}, {"a.xlsx": "old a"}, {"a.xlsx": "old a", "b.xlsx": "old b"}]


@pytest.mark.parametrize("old", OLD_AND_NEW, ids=" ".join)
@pytest.mark.parametrize("links", [True, False], ids=["links", "no links"])
def test_a_later_lock_puts_every_old_file_back(tmp_path, monkeypatch, old, links):
    for name, text in old.items():
        (tmp_path / name).write_text(text)
    refuse_to_replace(monkeypatch, "b.xlsx")
    if not links:
        monkeypatch.setattr(Path, "hardlink_to", refused_link)
    with pytest.raises(Unusable) as refused:
        write_all([(tmp_path / "a.xlsx", saying("a")), (tmp_path / "b.xlsx", saying("b"))], force=True)
    assert codes(refused) == [("output-locked", "b.xlsx")]
    assert refused.value.problems[0].did == "Nothing was written; old files are as they were."
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == old


def refused_link(self, target):
    raise PermissionError(1, "Operation not permitted")


def test_what_cannot_be_put_back_is_said_to_be_new(tmp_path, monkeypatch):
    (tmp_path / "a.xlsx").write_text("old a")
    real, done = Path.replace, []

    def replace(self, target):
        done.append(Path(target).name)
        if len(done) > 1:
            raise PermissionError(13, "Permission denied")
        return real(self, target)

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(Unusable) as refused:
        write_all([(tmp_path / "a.xlsx", saying("a")), (tmp_path / "b.xlsx", saying("b"))], force=True)
    assert refused.value.problems[0].did == "The old files could not be put back; new are a.xlsx."
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"a.xlsx": "a"}


@pytest.mark.parametrize("at", ["a.xlsx", "b.xlsx"])
def test_a_run_that_is_stopped_while_it_renames_leaves_all_as_it_was(tmp_path, monkeypatch, at):
    (tmp_path / "a.xlsx").write_text("old a")
    real = Path.replace

    def replace(self, target):
        real(self, target)
        if Path(target).name == at and self.suffix == ".new":
            raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", replace)
    with pytest.raises(KeyboardInterrupt):
        write_all([(tmp_path / "a.xlsx", saying("a")), (tmp_path / "b.xlsx", saying("b"))], force=True)
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"a.xlsx": "old a"}


def test_folders_made_in_vain_are_removed_again(tmp_path):
    def fails(path):
        raise OSError(28, "No space left on device")

    (tmp_path / "there").mkdir()
    with pytest.raises(Unusable):
        write_all([(tmp_path / "new" / "a", saying("a")), (tmp_path / "there" / "deep" / "b", fails)])
    assert [path.name for path in tmp_path.rglob("*")] == ["there"]


@pytest.mark.parametrize("name", ["x" * 300 + ".xlsx", "x" * 300 + "/a.xlsx"], ids=["file", "folder"])
def test_a_name_too_long_is_explained(tmp_path, name):
    with pytest.raises(Unusable) as refused:
        write_whole(tmp_path / name, saying("new"))
    assert [each.code for each in refused.value.problems] == ["output-locked"]
    assert "too long" in refused.value.problems[0].says
    assert list(tmp_path.iterdir()) == []


def test_a_link_that_leads_to_itself_is_explained(tmp_path):
    (tmp_path / "a.xlsx").symlink_to(tmp_path / "a.xlsx")
    with pytest.raises(Unusable) as refused:
        write_whole(tmp_path / "a.xlsx", saying("new"), force=True)
    assert codes(refused) == [("output-locked", "a.xlsx")]


def test_what_a_killed_run_left_is_cleared_after_a_day_and_nothing_else(tmp_path):
    names = [".reconcile-0123456789abcdef.new", ".reconcile-fedcba9876543210.old"]
    others = [".reconcile-notes.new", "reconcile-0123456789abcdef.new", "x.tmp"]
    for name in names + others:
        (tmp_path / name).write_text("")
        os.utime(tmp_path / name, (0, 0))
    fresh = tmp_path / ".reconcile-00000000000000ff.new"
    fresh.write_text("")
    write_whole(tmp_path / "a.xlsx", saying("new"))
    assert {path.name for path in tmp_path.iterdir()} == {*others, fresh.name, "a.xlsx"}


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
