"""The files that a person double-clicks: each starts this very program on this very folder."""

import shlex
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.page.shortcut import refused, shortcuts

NAMES = ("plain", "with a blank", "with 'quotes'", "100 % & more; $HOME `x` (1)", "Werkstatt Ä")


@pytest.mark.parametrize("name", NAMES)
def test_each_names_the_program_and_the_folder(tmp_path, name):
    folder = tmp_path / name
    folder.mkdir()
    made = shortcuts(folder)
    assert list(made) == ["Open the workshop.bat", "Open the workshop.command", "Open the workshop.desktop"]
    words = [sys.executable, "-m", "reconcile.cli", "open", str(folder)]
    batch = made["Open the workshop.bat"]
    assert batch == (
        "@echo off\r\nchcp 65001 >nul\r\n" + " ".join(f'"{word}"' for word in words).replace("%", "%%")
        + "\r\nif errorlevel 1 pause\r\n"
    )  # fmt: skip
    assert shlex.split(made["Open the workshop.command"].splitlines()[1]) == ["exec", *words]
    line = next(each for each in made["Open the workshop.desktop"].splitlines() if each.startswith("Exec="))
    assert desktop_words(line.removeprefix("Exec=")) == words


def desktop_words(line: str) -> list[str]:
    """As the Desktop Entry Specification reads a line: as a string, then word by word."""
    text = line.replace("\\\\", "\x00").replace("\\s", " ").replace("\x00", "\\")
    words, at = [], 0
    while at < len(text):
        assert text[at] == '"'
        word, at = "", at + 1
        while text[at] != '"':
            at += text[at] == "\\"
            word, at = word + text[at], at + 1
        words.append(word.replace("%%", "%"))
        at += 2
    return words


@pytest.mark.skipif(sys.platform == "win32", reason="a shell script")
@pytest.mark.parametrize("name", NAMES)
def test_the_shell_script_starts_what_it_names(tmp_path, name):
    """The program's help stands for the page, which would not end."""
    folder = tmp_path / name
    folder.mkdir()
    text = shortcuts(folder)["Open the workshop.command"].replace(" open ", " frames --help ", 1)
    script = tmp_path / "try.command"
    script.write_text(text, "utf-8")
    done = subprocess.run(["/bin/sh", str(script)], capture_output=True, text=True, check=False)
    assert "frames" in done.stdout, done.stderr


def test_they_are_written_beside_the_sheets_and_none_is_written_over(tmp_path):
    call = ["open", str(tmp_path), "--shortcut"]
    first = CliRunner().invoke(app, call)
    assert first.exit_code == 0, first.output
    names = sorted(path.name for path in tmp_path.iterdir())
    assert names == ["Open the workshop.bat", "Open the workshop.command", "Open the workshop.desktop"]
    assert (tmp_path / "Open the workshop.command").stat().st_mode & 0o100
    (tmp_path / "Open the workshop.bat").write_text("mine", "utf-8")
    again = CliRunner().invoke(app, call)
    assert again.exit_code == 2
    assert (tmp_path / "Open the workshop.bat").read_text("utf-8") == "mine"


@pytest.mark.parametrize("name", ['a"b', "a\nb"])
def test_a_folder_that_no_shortcut_can_name_is_refused(name):
    assert refused(Path(name)) != ""


def test_no_folder_no_page(tmp_path):
    said = CliRunner().invoke(app, ["open", str(tmp_path / "nowhere")])
    assert said.exit_code == 2
    assert "is no folder" in " ".join(said.output.split())
