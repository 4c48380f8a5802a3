"""Shortcuts that a person can double-click: a text file for each system, which starts the page."""

import shlex
import sys
from pathlib import Path

NAME = "Open the workshop"


def shortcuts(folder: Path) -> dict[str, str]:
    """By the name of its file the text for Windows, macOS and Linux.

    Each names this very program and this very folder. A folder whose name holds a line break, or for Windows
    a quotation mark or percent sign that it would read as its own, has none: see ``refused``.
    """
    program, place = sys.executable, str(folder.resolve())
    words = [program, "-m", "reconcile.cli", "open", place]
    return {
        f"{NAME}.bat": _windows(words),
        f"{NAME}.command": _posix(words),
        f"{NAME}.desktop": _linux(words),
    }


def refused(folder: Path) -> str:
    """Why no shortcut can be written for a folder; "" where one can."""
    place = f"{sys.executable} {folder.resolve()}"
    if any(ord(letter) < 32 for letter in place):
        return "The folder's name holds a line break or another sign that cannot be seen."
    if '"' in place:
        return "The folder's name holds a quotation mark."
    return ""


def _windows(words: list[str]) -> str:
    """``%`` is doubled: a batch file would take what stands between two for a variable."""
    quoted = " ".join('"{}"'.format(word.replace("%", "%%")) for word in words)
    return f"@echo off\r\nchcp 65001 >nul\r\n{quoted}\r\nif errorlevel 1 pause\r\n"


def _posix(words: list[str]) -> str:
    return f"#!/bin/sh\nexec {shlex.join(words)}\n"


def _linux(words: list[str]) -> str:
    """By the Desktop Entry Specification 1.5: a value is quoted, then escaped as a string."""
    line = " ".join(map(_desktop_word, words))
    return (
        "[Desktop Entry]\nType=Application\nVersion=1.5\n"
        f"Name={NAME}\nComment=Jobs, parts and orders of this workshop\nExec={line}\nTerminal=true\n"
    )


def _desktop_word(word: str) -> str:
    inner = "".join(f"\\{letter}" if letter in '"`$\\' else letter for letter in word)
    return '"{}"'.format(inner.replace("\\", "\\\\").replace("%", "%%"))
