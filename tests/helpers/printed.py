"""What comes out of the printer: workbooks as LibreOffice turns them into PDF, each text with its points."""

import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

SOFFICE = shutil.which("soffice")
needs_soffice = pytest.mark.skipif(SOFFICE is None, reason="LibreOffice is not at hand")

SAME_LINE = 2.0
"""Points between two texts of one line of print, at most."""


@dataclass(frozen=True, slots=True)
class PrintedText:
    """A run of letters of one size; ``points`` are those on the paper, after every scaling."""

    text: str
    points: float
    top: float
    """Points from the lower edge of the page."""


@dataclass(frozen=True, slots=True)
class PrintedPage:
    texts: tuple[PrintedText, ...]
    width: float
    height: float

    @property
    def words(self) -> str:
        return " ".join(text.text for text in self.texts)

    @property
    def smallest(self) -> PrintedText:
        return min(self.texts, key=lambda text: text.points)

    def lines(self, margin: float = 50) -> int:
        """Lines of print between head and foot, which stand within the ``margin`` (points)."""
        tops = sorted({t.top for t in self.texts if margin < t.top < self.height - margin})
        return sum(here - before > SAME_LINE for before, here in zip([-99.0, *tops], tops, strict=False))


def paper_of(book: Path, folder: Path) -> Path:
    """The workbook as LibreOffice prints it. A profile of its own, so that runs side by side do not wait."""
    profile = (folder / "office-profile").resolve().as_uri()
    subprocess.run(
        [SOFFICE, f"-env:UserInstallation={profile}", "--headless", "--convert-to", "pdf",
         "--outdir", folder, book],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    return folder / f"{book.stem}.pdf"


def printed_pages(paper: Path) -> list[PrintedPage]:
    """The pages of a PDF with their texts. A letter's points are its font's size by the text matrix."""
    from pdfminer.high_level import extract_pages

    return [
        PrintedPage(tuple(_texts(page)), page.width, page.height)
        for page in extract_pages(paper, laparams=None)
    ]


def _texts(within) -> Iterator[PrintedText]:
    """Letters of one size on one line, together."""
    from pdfminer.layout import LTChar, LTContainer

    run: list[LTChar] = []
    for item in within:
        if isinstance(item, LTChar):
            if run and (abs(run[-1].y0 - item.y0) > 0.1 or abs(points(run[-1]) - points(item)) > 0.05):
                yield _text(run)
                run = []
            run.append(item)
        elif isinstance(item, LTContainer):
            yield from _texts(item)
    if run:
        yield _text(run)


def points(letter) -> float:
    """A letter's size. Its box is as high as its font, or as wide where it stands on its side."""
    across, up, *_ = letter.matrix
    return letter.height if abs(across) >= abs(up) else letter.width


def _text(run) -> PrintedText:
    words = "".join(letter.get_text() for letter in run)
    return PrintedText(words, round(points(run[0]), 2), run[0].y0)
