"""Plain files alone are opened: no pipe, no device, no folder; and never more than a bound."""

import os
import stat
from pathlib import Path

PIECE = 1 << 20


class NotPlain(OSError):
    """What is there is no plain file."""


class TooLong(OSError):
    """The file holds more than the bound."""


def read_plain(path: Path, most: int) -> bytes:
    """The bytes of a plain file, or of one that a link leads to.

    Raises NotPlain, TooLong (``most``: bytes), FileNotFoundError, and OSError as opening does.
    """
    # A pipe without a writer would hold up whoever opens it; Windows has neither the flag nor such pipes.
    flags = (
        os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_CLOEXEC", 0)
    )
    refuse_other(path)
    handle = os.open(path, flags)
    with os.fdopen(handle, "rb") as file:
        found = os.fstat(file.fileno())
        if not stat.S_ISREG(found.st_mode):
            raise NotPlain(0, "it is no plain file", str(path))
        if found.st_size > most:
            raise TooLong(0, "it is too large", str(path))
        data = file.read(min(most, max(found.st_size, PIECE)) + 1)
    if len(data) > most:
        raise TooLong(0, "it is too large", str(path))
    return data


def refuse_other(path: Path) -> None:
    """Raises NotPlain for what is there and is no plain file, without opening it."""
    mode = path.stat().st_mode
    if not stat.S_ISREG(mode):
        what = "a folder" if stat.S_ISDIR(mode) else "no plain file"
        raise NotPlain(0, f"it is {what}", str(path))
