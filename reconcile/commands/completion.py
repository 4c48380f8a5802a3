"""What a shell offers after the tab key: names from the workshop's own files. Any fault offers nothing."""

from collections.abc import Callable, Iterable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from reconcile.sheets.request import Request

Offer = Callable[[typer.Context, str], list[str]]
Names = Callable[[typer.Context], Iterable[str]]


def offering(*sources: Names) -> Offer:
    """The names of all sources that begin with what is typed, each once."""

    def offer(ctx: typer.Context, incomplete: str) -> list[str]:
        found: dict[str, None] = {}
        for names in sources:
            try:
                found |= dict.fromkeys(names(ctx))
            except Exception:  # a message would land in the line that is being typed
                continue
        return [name for name in found if name.startswith(incomplete)]

    return offer


def request_so_far(ctx: typer.Context) -> "Request":
    """The files named on the line before the word being completed, or by the environment."""
    from reconcile.sheets.request import Request

    named = {"folder": "folder", "jobs": "jobs", "stock": "stock", "frames": "frames", "settings": "settings"}
    if ctx.command.name == "frames":  # there "frames" would be the command itself
        named["frames"] = "frames_folder"
    paths = {key: path_of(ctx.params.get(name)) for key, name in named.items()}
    paths["folder"] = paths["folder"] or Path()
    return Request(**paths, first=date.min, last=date.max)  # type: ignore[arg-type]


def path_of(word: object) -> Path | None:
    """A word of the command line as a path; None where nothing was typed."""
    return Path(str(word)) if word else None


def frame_codes(ctx: typer.Context) -> Iterable[str]:
    """Codes of the frame files that can be used."""
    from reconcile.sheets.finding import frames_folder
    from reconcile.sheets.frames.files import read_frames

    return [frame.code for frame in read_frames(frames_folder(request_so_far(ctx))).frames.values()]


def job_numbers(ctx: typer.Context) -> Iterable[str]:
    """Every number on the jobs sheet whose row could be read, in its order."""
    from reconcile.sheets.inputs import planned_numbers

    return planned_numbers(request_so_far(ctx))


def part_numbers(ctx: typer.Context) -> Iterable[str]:
    """Every part of the stock sheet, in its order."""
    from reconcile.sheets.inputs import stocked_numbers

    return stocked_numbers(request_so_far(ctx))


def problem_codes(_ctx: typer.Context) -> Iterable[str]:
    """Every code that a problem may have."""
    from reconcile.values.catalogue import CODES

    return CODES
