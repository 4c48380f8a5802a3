"""What a very large week costs: 100,000 jobs of 500 kinds, 20,000 rows of stock, five frames.

Everything is invented, by one seed. The workbooks are written once; then each round runs a fresh process that
reads them with the fast reader alone, and one that reads, plans and writes. From the root of the project::

    python tests/bench/scale.py [--folder FOLDER] [--rounds 3] [--year] [--no-write]

*Planning* is all that lies between the last row read and the first row handed to a writer.
"""

import argparse
import gc
import json
import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable, Iterable, Sequence
from datetime import date, datetime, timedelta
from pathlib import Path
from xml.sax.saxutils import escape

ROOT = Path(__file__).resolve().parents[2]
SEED = 20261127
TODAY = date(2026, 11, 27)
MONDAY = date(2026, 11, 30)
WORKING_DAYS_A_YEAR = 260
KINDS, STOCK_ROWS, ORDERS = 500, 20_000, 2_000
DAY_ZERO = date(1899, 12, 30).toordinal()
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"

Cell = str | int | float | date | None


# A workbook, written fast: texts are shared, as spreadsheet programs do.


def write_book(path: Path, sheets: dict[str, Iterable[Sequence[Cell]]]) -> None:
    shared: dict[str, int] = {}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as packed:
        for number, rows in enumerate(sheets.values(), 1):
            with packed.open(f"xl/worksheets/sheet{number}.xml", "w", force_zip64=True) as sheet:
                sheet.write(f'<worksheet xmlns="{MAIN}"><sheetData>'.encode())
                for at, row in enumerate(rows, 1):
                    sheet.write(row_xml(at, row, shared).encode())
                sheet.write(b"</sheetData></worksheet>")
        for name, text in frame_of_book(list(sheets), shared).items():
            packed.writestr(name, text)


def row_xml(at: int, row: Sequence[Cell], shared: dict[str, int]) -> str:
    cells = []
    for column, cell in enumerate(row):
        place = f'r="{chr(65 + column)}{at}"'
        if isinstance(cell, str):
            cells.append(f'<c {place} t="s"><v>{shared.setdefault(cell, len(shared))}</v></c>')
        elif isinstance(cell, date):
            cells.append(f'<c {place} s="1"><v>{cell.toordinal() - DAY_ZERO}</v></c>')
        elif cell is not None:
            cells.append(f"<c {place}><v>{cell}</v></c>")
    return f'<row r="{at}">{"".join(cells)}</row>'


def frame_of_book(names: list[str], shared: dict[str, int]) -> dict[str, str]:
    """Every part of the workbook but its sheets."""
    numbered = list(enumerate(names, 1))
    pages = "".join(f'<sheet name="{name}" sheetId="{n}" r:id="rId{n}"/>' for n, name in numbered)
    targets = [(f"worksheets/sheet{n}.xml", "worksheet") for n, _ in numbered]
    targets += [("styles.xml", "styles"), ("sharedStrings.xml", "sharedStrings")]
    links = "".join(
        f'<Relationship Id="rId{n}" Type="{RELATIONS}/{kind}" Target="{target}"/>'
        for n, (target, kind) in enumerate(targets, 1)
    )
    texts = "".join(f"<si><t>{escape(text)}</t></si>" for text in shared)
    styles = '<cellXfs><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/></cellXfs>'
    types = "application/vnd.openxmlformats-officedocument.spreadsheetml"
    kinds = [("workbook.xml", "sheet.main"), ("styles.xml", "styles"), ("sharedStrings.xml", "sharedStrings")]
    kinds += [(f"worksheets/sheet{n}.xml", "worksheet") for n, _ in numbered]
    overrides = "".join(f'<Override PartName="/xl/{p}" ContentType="{types}.{k}+xml"/>' for p, k in kinds)
    rels = "application/vnd.openxmlformats-package.relationships+xml"
    return {
        "[Content_Types].xml": f'<Types xmlns="{PACKAGE}/content-types">'
        f'<Default Extension="rels" ContentType="{rels}"/>{overrides}</Types>',
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}/relationships"><Relationship Id="rId1" '
        f'Type="{RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{RELATIONS}"><sheets>{pages}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}/relationships">{links}</Relationships>',
        "xl/styles.xml": f'<styleSheet xmlns="{MAIN}">{styles}</styleSheet>',
        "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}" uniqueCount="{len(shared)}">{texts}</sst>',
    }


# Frames.

FRAMES = {
    "KD-10": ("1/4-20 UNC", "socket cap", "SAE 8"),
    "KD-20": ("5/16-18 UNC", "socket cap", "SAE 8"),
    "KD-30": ("3/8-16 UNC", "hex", "SAE 5"),
    "KD-40": ("1/4-28 UNF", "button", "SAE 8"),
    "KD-50": ("10-32 UNF", "socket cap", "SAE 8"),
}
FRAME = """
code = "{code}"
name = "Frame {code}, invented"
source = "invented build sheet {code}"

[[adjustment]]
name = "seat width"
minimum = "14 in"
maximum = "20 in"
step = "1/2 in"
sides = 2
{joints}
[[adjustment.cover]]
name = "cover plate"
reuse = "after inspection"
steps = [{{ from = 0, to = 2, part = "CP-{code}-2" }}, {{ from = 3, to = 6, part = "CP-{code}-6" }}]

[[adjustment.sized]]
name = "seat pan"
when = "solid seat"
sizes = [
    {{ from = "14 in", to = "17 in", part = "PAN-{code}-17" }},
    {{ from = "17 1/2 in", to = "20 in", part = "PAN-{code}-20" }},
]

[[adjustment.disturbed]]
part = "NUT-{code}"
quantity = "4 each"
when = "anti-tippers"
"""
JOINT = """
[[adjustment.joint]]
name = "{name}"
bolts = {bolts}
thread = "{thread}"
head = "{head}"
grades = ["{grade}"]
length = "{length}"
lengthen = [{{ option = "front rigging", by = "1/4 in" }}]
grip = "{grip}"
engagement = {{ minimum = "3/8 in", maximum = "5/8 in" }}
spacers = [
    {{ part = "SP-{code}-050", thickness = "1/2 in" }},
    {{ part = "SP-{code}-100", thickness = "1 in" }},
]
reuse = "after inspection"
spacer_reuse = "after inspection"
extras = [{{ part = "TL-MED", quantity = "0.1 mL" }}]
"""
JOINTS = (
    ("upper front", 1, "1 1/2 in", "1 in"),
    ("upper rear", 1, "2 in", "1 1/2 in"),
    ("lower", 2, "2 1/4 in", "1 3/4 in"),
)


def write_frames(folder: Path) -> None:
    folder.mkdir()
    for code, (thread, head, grade) in FRAMES.items():
        joints = "".join(
            JOINT.format(
                code=code,
                thread=thread,
                head=head,
                grade=grade,
                name=name,
                bolts=bolts,
                length=length,
                grip=grip,
            )
            for name, bolts, length, grip in JOINTS
        )
        (folder / f"{code}.toml").write_text(FRAME.format(code=code, joints=joints))


# Jobs.

JOB_HEADINGS = (
    "Job",
    "Date",
    "Frame",
    "From",
    "To",
    "Options",
    "Side",
    "Chairs",
    "Priority",
    "Technician",
    "Asset",
    "Notes",
)
OPTIONS = (
    None,
    "solid seat",
    "anti-tippers",
    "front rigging",
    "solid seat, front rigging",
    "anti-tippers; front rigging",
)


def job_rows(jobs: int, *, year: bool) -> Iterable[Sequence[Cell]]:
    dice = random.Random(SEED)
    kinds = sorted({kind_of_job(dice) for _ in range(2 * KINDS)}, key=repr)
    kinds = dice.sample(kinds, KINDS)
    days = [MONDAY + timedelta(days=n // 5 * 7 + n % 5) for n in range(WORKING_DAYS_A_YEAR if year else 5)]
    yield JOB_HEADINGS
    for number in range(jobs):
        note = f"see card {number % 997}" if number % 7 == 0 else None
        yield (
            *(f"J-{number:06d}", dice.choice(days), *dice.choice(kinds), dice.randint(1, 3)),
            *(f"Bench {number % 12 + 1}", f"WC-{number:06d}", note),
        )


def kind_of_job(dice: random.Random) -> tuple[Cell, ...]:
    """Frame, size now, size wanted, options, side, chairs; whole inches, so that no split is assumed."""
    now, wanted = dice.sample(range(14, 21), 2)
    return (
        dice.choice(list(FRAMES)),
        f"{now} in",
        f"{wanted} in",
        dice.choice(OPTIONS),
        None,
        dice.choice((None, 2)),
    )


# Stock.

STOCK_HEADINGS = (
    *(
        "Part",
        "Description",
        "Kind",
        "Thread",
        "Length",
        "Head",
        "Grade",
        "Finish",
        "Bin",
        "On hand",
        "Allocated",
    ),
    *("Unit", "Pack", "Minimum order", "Lead time days", "Supplier", "Price", "Currency", "Safety stock"),
)
INCH_THREADS = (
    "1/4-20 UNC",
    "1/4-28 UNF",
    "5/16-18 UNC",
    "5/16-24 UNF",
    "3/8-16 UNC",
    "3/8-24 UNF",
    "10-32 UNF",
    "10-24 UNC",
)
METRIC_THREADS = ("M5", "M6", "M8", "M8x1", "M10", "M12")
INCH_LENGTHS = tuple(
    f"{n // 8 or ''}{' ' if n >= 8 and n % 8 else ''}{f'{n % 8}/8' if n % 8 else ''}" for n in range(4, 48)
)
HEADS = {"socket cap": "SHCS", "button": "BHCS", "countersunk": "FHCS", "hex": "HHCS"}
FINISHES = {"black oxide": "BLK OX", "zinc plated": "ZP", "plain": "plain"}
THINGS = (
    "Castor fork",
    "Wheel rim",
    "Push handle",
    "Brake lever",
    "Axle sleeve",
    "Tube clamp",
    "Footplate",
    "Seat cover",
    "Arm pad",
    "Strap",
)
STUFF = ("aluminium", "steel", "nylon", "polyurethane", "stainless steel", "canvas", "rubber")


def stock_rows() -> Iterable[Sequence[Cell]]:
    """Six rows in ten bolts, one in ten spacers, washers and nuts, the rest anything; nearly all distinct."""
    dice = random.Random(SEED)
    yield STOCK_HEADINGS
    named = [*named_parts()]
    yield from named
    for number in range(STOCK_ROWS - len(named)):
        share = number % 10
        what = (
            bolt(dice, number) if share < 6 else spacer(dice, number) if share == 6 else thing(dice, number)
        )
        yield (*what, *shelf(dice))


def shelf(dice: random.Random, on_hand: int | None = None, unit: str = "each") -> tuple[Cell, ...]:
    """Bin, on hand, allocated, unit, pack, minimum order, lead time, supplier, price, currency, safety stock."""
    place = f"{dice.choice('ABCDEFGH')}-{dice.randint(1, 60):02d}"
    count = dice.randint(0, 400) if on_hand is None else on_hand
    ordering = (
        dice.choice((1, 10, 50, 100)),
        dice.choice((None, 50)),
        dice.randint(2, 20),
        f"S{dice.randint(1, 9)}",
    )
    return (
        place,
        count,
        dice.choice((None, None, 3)),
        unit,
        *ordering,
        dice.randint(5, 900) / 100,
        "EUR",
        dice.choice((None, 20)),
    )


def named_parts() -> Iterable[Sequence[Cell]]:
    """The parts that frames name, and every bolt that they ask for: enough for four jobs in five."""
    dice = random.Random(SEED)
    blank = (None,) * 5
    yield ("TL-MED", "Thread locker, medium", None, *blank, *shelf(dice, 200_000, "mL"))
    for code, (thread, head, grade) in FRAMES.items():
        things = {
            "SP-{}-050": 40_000,
            "SP-{}-100": 300_000,
            "CP-{}-2": 9_000,
            "CP-{}-6": 9_000,
            "NUT-{}": 60_000,
        }
        for name, count in {**things, "PAN-{}-17": 4_000, "PAN-{}-20": 4_000}.items():
            yield (
                name.format(code),
                f"Part {name.format(code)} of frame {code}",
                None,
                *blank,
                *shelf(dice, count),
            )
        for length in INCH_LENGTHS[4:]:
            told = f"{HEADS[head]} {thread} x {length} {grade}"
            yield (
                f"F-{code}-{length.replace(' ', '-')}",
                told,
                "bolt",
                thread,
                f"{length} in",
                head,
                grade,
                None,
                *shelf(dice, 25_000),
            )


def bolt(dice: random.Random, number: int) -> tuple[Cell, ...]:
    """Half have columns and words, the others words alone, in four dialects."""
    inch = dice.random() < 0.6
    thread = dice.choice(INCH_THREADS if inch else METRIC_THREADS)
    length = (
        dice.choice(INCH_LENGTHS)
        if inch
        else str(dice.choice((10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70)))
    )
    grade = dice.choice(("SAE 5", "SAE 8") if inch else ("8.8", "10.9", "12.9"))
    head, finish = dice.choice(list(HEADS)), dice.choice(list(FINISHES))
    size, unit = (thread.split()[0], "in") if inch else (thread, "mm")
    joined = length.replace(" ", "-")
    told = (
        f"{HEADS[head]} {size} x {joined} {FINISHES[finish]} {grade}, lot {number}",
        f"Screw, {head} head, {thread} x {length} {unit}, {grade}, {finish}, drawing {number}",
        f"{size} x {joined} {HEADS[head]} {grade} {FINISHES[finish]} ({number})",
        f"Bolt {HEADS[head]} {size}x{joined} {finish} {grade} card {number}",
    )[number % 4]
    part = f"B-{number:05d}"
    if dice.random() < 0.5:
        return (part, told, "bolt", thread, f"{length} {unit}", head, grade, finish)
    return (part, told, None, None, None, None, None, finish)


def spacer(dice: random.Random, number: int) -> tuple[Cell, ...]:
    told = (
        f"Spacer, {dice.choice(STUFF)}, 1/4 in bore, {dice.choice(INCH_LENGTHS)} in thick, drawing {number}",
        f"Flat washer 1/4 in, {dice.choice(STUFF)}, card {number}",
        f"Lock nut 5/16-18, {dice.choice(STUFF)}, card {number}",
    )[number // 10 % 3]
    return (f"S-{number:05d}", told, *(None,) * 6)


def thing(dice: random.Random, number: int) -> tuple[Cell, ...]:
    told = f"{dice.choice(THINGS)}, {dice.choice(STUFF)}, {dice.randint(10, 600)} mm, type {number % 37}, drawing {number}"
    return (f"T-{number:05d}", told, "other" if number % 2 else None, *(None,) * 5)


def order_rows() -> Iterable[Sequence[Cell]]:
    dice = random.Random(SEED)
    yield ("Order", "Part", "Quantity", "Due")
    parts = [row[0] for row in list(stock_rows())[1:]]
    for number in range(ORDERS):
        yield (
            f"PO-{number:04d}",
            dice.choice(parts),
            dice.randint(1, 500),
            MONDAY + timedelta(days=dice.randint(0, 40)),
        )


def write_inputs(folder: Path, jobs: int, *, year: bool) -> None:
    """The workbooks and frame files, unless they are there already; of another size, they are in the way."""
    made, asked = folder / "made.txt", f"{jobs} jobs, {'a year' if year else 'a week'}\n"
    if made.is_file():
        if made.read_text() != asked:
            raise SystemExit(f"{folder} holds {made.read_text().strip()}; name another folder.")
        return
    folder.mkdir(parents=True, exist_ok=True)
    write_book(folder / "jobs.xlsx", {"Jobs": job_rows(jobs, year=year)})
    write_book(folder / "stock.xlsx", {"Stock": stock_rows(), "On order": order_rows()})
    write_frames(folder / "frames")
    made.write_text(asked)


# Measuring, each in a process of its own.


def fast_reader_alone(folder: Path) -> dict[str, float]:
    import python_calamine

    start = time.perf_counter()
    for name in ("jobs.xlsx", "stock.xlsx"):
        book = python_calamine.CalamineWorkbook.from_path(folder / name)
        for sheet in book.sheet_names:
            book.get_sheet_by_name(sheet).to_python()
    return {"fast reader alone": time.perf_counter() - start}


def whole_week(folder: Path, *, year: bool, plans: bool, writes: bool) -> dict[str, float]:
    from reconcile.sheets.inputs import read_inputs
    from reconcile.sheets.request import Request

    first, last = MONDAY, MONDAY + timedelta(days=364 if year else 4)
    figures: dict[str, float] = {}
    start = time.perf_counter()
    inputs = read_inputs(Request(folder=folder, today=TODAY, first=first, last=last))
    figures["reading and typing"] = time.perf_counter() - start
    figures["peak after reading, MB"] = peak()
    if plans:
        from reconcile.reports.week.tables import report_tables
        from reconcile.week import plan_week

        start = time.perf_counter()
        week = plan_week(inputs, datetime(2026, 11, 27, 9))
        figures["of that, the plan"] = time.perf_counter() - start
        next(iter(next(each for each in report_tables(week) if each.name == "Kit lines").rows()))
        figures["planning, to the first row"] = time.perf_counter() - start
        figures["kits not proven"] = float(not week.solution.proven)
        figures["peak after planning, MB"] = peak()
    if plans and writes:
        from reconcile.reports.outputs import write_outputs

        start = time.perf_counter()
        with tempfile.TemporaryDirectory() as out:
            write_outputs(week, Path(out), [])
        figures["writing"] = time.perf_counter() - start
    return {**figures, "peak, MB": peak()}


def peak() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


SWITCHES = ("year", "no_write", "no_plan", "no_collector")
"""What a child is told as well."""


def in_a_process(work: str, words: argparse.Namespace, folder: Path) -> dict[str, float]:
    env = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    env["PYTHONPATH"] = str(ROOT)
    flags = [f"--{name.replace('_', '-')}" for name in SWITCHES if getattr(words, name)]
    command = [sys.executable, __file__, "--folder", str(folder), "--work", work, *flags]
    done = subprocess.run(command, env=env, check=True, stdout=subprocess.PIPE)
    figures: dict[str, float] = json.loads(done.stdout)
    return figures


def compare(words: argparse.Namespace, folder: Path) -> None:
    write_inputs(folder, words.jobs, year=words.year)
    rounds: dict[str, list[float]] = {}
    for _ in range(words.rounds):
        for work in WORKS:
            for name, figure in in_a_process(work, words, folder).items():
                rounds.setdefault(name, []).append(figure)
    alone = statistics.median(rounds["fast reader alone"])
    print(f"{'':<28} {'median':>9} {'least':>9} {'most':>9}  x fast reader")
    for name, figures in rounds.items():
        median = statistics.median(figures)
        times = "" if "MB" in name or "proven" in name else f"{median / alone:>12.2f}"
        print(f"{name:<28} {median:>9.2f} {min(figures):>9.2f} {max(figures):>9.2f}{times}")


WORKS: dict[str, Callable[[argparse.Namespace, Path], dict[str, float]]] = {
    "alone": lambda _, folder: fast_reader_alone(folder),
    "whole": lambda words, folder: whole_week(
        folder, year=words.year, plans=not words.no_plan, writes=not words.no_write
    ),
}


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--folder", type=Path, help="where the workbooks are, or are to be written; kept")
    asked.add_argument("--jobs", type=int, default=100_000)
    asked.add_argument("--rounds", type=int, default=3)
    asked.add_argument("--year", action="store_true", help="jobs spread over a year, and all of it planned")
    asked.add_argument("--no-write", action="store_true")
    asked.add_argument("--no-plan", action="store_true", help="reading alone")
    asked.add_argument("--no-collector", action="store_true", help="without the search for cycles of objects")
    asked.add_argument("--work", choices=list(WORKS), help=argparse.SUPPRESS)
    words = asked.parse_args()
    if words.no_collector:
        gc.disable()
    if words.work:
        print(json.dumps(WORKS[words.work](words, words.folder)))
    elif words.folder:
        compare(words, words.folder)
    else:
        with tempfile.TemporaryDirectory() as folder:
            compare(words, Path(folder) / "inputs")


if __name__ == "__main__":
    main()
