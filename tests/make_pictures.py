"""The README's pictures, made anew from the demonstration's week: `python tests/make_pictures.py`.

Needs LibreOffice (`soffice`), `pdftoppm`, `pdftotext` and Pillow. The job card is printed by Chromium, with
the extra `browser`. Pages are cropped to what is on them and kept in few colours.
"""

import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from PIL import Image, ImageChops

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(Path(__file__).parent / "helpers")]

from bench_week import planned_demo  # noqa: E402
from sides_drawing import sides_drawing  # noqa: E402

from reconcile.reports.bench.book import write_bench  # noqa: E402
from reconcile.reports.bench.page import write_page  # noqa: E402
from reconcile.reports.week.book import write_report  # noqa: E402
from reconcile.values.week.results import Week  # noqa: E402

PICTURES = ROOT / ".pictures"
CARD = "J-4101"
EDGE = 8
"""Pixels left around what is on a page."""


def main() -> None:
    (PICTURES / "sides.svg").write_text(sides_drawing(), "utf-8")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        report = printed(folder, "report", write_report)
        glance = page_that_says(report, "At a glance, week")
        sheets = printed(folder, "bench", write_bench)
        kit = page_that_says(sheets, f"{CARD}, ")
        keep(shot(report, glance, 100), "report-first-page.png")
        keep(top_of(shot(sheets, kit, 110), 0.42), "kit-lines.png")
        cards = printed_cards(folder)
        keep(top_of(shot(cards, page_that_says(cards, f"Job {CARD}"), 120), 0.83), "job-card.png")
        keep(first_page(folder), "today-page.png")


def printed(folder: Path, name: str, write: Callable[[Week, Path], None]) -> Path:
    book = folder / f"{name}.xlsx"
    write(planned_demo(), book)
    subprocess.run(
        ["soffice", "--headless", "--convert-to", "pdf", "--outdir", folder, book],
        check=True,
        capture_output=True,
    )
    return book.with_suffix(".pdf")


def printed_cards(folder: Path) -> Path:
    from playwright.sync_api import sync_playwright

    page, paper = folder / "cards.html", folder / "cards.pdf"
    write_page(planned_demo(), page)
    with sync_playwright() as running:
        browser = running.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        shown = browser.new_page()
        shown.goto(page.as_uri())
        shown.pdf(path=str(paper), format="A4")
        browser.close()
    return paper


def first_page(folder: Path) -> Image.Image:
    """What a window shows when the demo is opened."""
    import re

    from playwright.sync_api import sync_playwright

    shop, seen = shutil.copytree(ROOT / "data_demo", folder / "workshop"), folder / "today.png"
    call = "from reconcile.cli import main; main()"
    words = (sys.executable, "-c", call, "open", str(shop), "--no-browser", "--today", "2026-11-27")
    running = subprocess.Popen(words, stdout=subprocess.PIPE, text=True)
    try:
        found = re.search(r"http://\S+", running.stdout.readline() if running.stdout else "")
        with sync_playwright() as browsers:
            browser = browsers.chromium.launch(
                executable_path=shutil.which("chromium"), args=["--no-sandbox"]
            )
            window = browser.new_page(viewport={"width": 1180, "height": 860})
            window.goto(found[0] if found else "")
            window.get_by_text("kits complete").first.wait_for()
            window.screenshot(path=str(seen))
            browser.close()
    finally:
        running.terminate()
        running.wait()
    return Image.open(seen).convert("RGB")


def page_that_says(paper: Path, words: str) -> int:
    """The first page with these words, counted from 1."""
    told = subprocess.run(["pdftotext", "-layout", paper, "-"], capture_output=True, text=True, check=True)
    return next(number for number, text in enumerate(told.stdout.split("\f"), 1) if words in text)


def shot(paper: Path, page: int, resolution: int) -> Image.Image:
    at = paper.with_name(f"{paper.stem}-{page}")
    where = ["-f", str(page), "-l", str(page), "-r", str(resolution), "-singlefile", "-png"]
    subprocess.run(["pdftoppm", *where, paper, at], check=True)
    return cropped(Image.open(at.with_suffix(".png")).convert("RGB"))


def cropped(picture: Image.Image) -> Image.Image:
    box = ImageChops.difference(picture, Image.new("RGB", picture.size, "white")).getbbox()
    if box is None:
        return picture
    left, top, right, bottom = box
    return picture.crop(
        (
            max(left - EDGE, 0), max(top - EDGE, 0),
            min(right + EDGE, picture.width), min(bottom + EDGE, picture.height),
        )
    )  # fmt: skip


def top_of(picture: Image.Image, share: float) -> Image.Image:
    return picture.crop((0, 0, picture.width, round(picture.height * share)))


def keep(picture: Image.Image, name: str) -> None:
    picture.quantize(255, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(
        PICTURES / name, optimize=True
    )


if __name__ == "__main__":
    main()
