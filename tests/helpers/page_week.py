"""A week from foreign sheets to a closed week, by the commands; and what a folder then says."""

import shutil
from datetime import date
from pathlib import Path

import openpyxl
from books import workbook
from closing_shop import FRAME
from typer.testing import CliRunner

from reconcile.cli import app
from reconcile.ledger.book import open_ledger

TODAY = ("--today", "2026-11-27")
WHO = ("--who", "Ada")
JOBS = [
    ("Auftrag", "Datum", "Rahmen", "von", "bis", "Monteur"),
    ("A-101", date(2026, 11, 30), "ZB-1", "10 in", "11 in", "Kern"),
    ("A-102", date(2026, 12, 1), "ZB-1", "10 in", "12 in", "Kern"),
    ("A-103", date(2026, 12, 3), "ZB-1", "11 in", "10 in", "Voss"),
]
STOCK = [
    ("Lagerliste, Stand November",),
    (),
    (
        "Teilenummer",
        "Lagerplatz",
        "Bestand",
        "Einheit",
        "Lieferant",
        "Lieferzeit",
        "Preis",
        "Gewinde",
        "Länge",
        "Kopf",
        "Reserviert",
        "Meldebestand",
    ),
    ("CLIP", "A1", 3, "Stk", "NORD", 2, "0.40", None, None, None, None, 20),
    ("GLUE", "B1", 25, "mL", "NORD", 2, "9.90", None, None, None, None, None),
    ("PAN-14", "C1", 9, "Stk", "WEST", 4, "12.00", None, None, None, None, None),
    ("PAN-10", "C2", 4, "Stk", "WEST", 4, "11.00", None, None, None, None, None),
    ("B-1", "D1", 7, "Stk", "WEST", 4, "0.50", "1/4-20 UNC", "1 in", "hex", 9, None),
    ("B-2", "D2", 5, "Stk", "WEST", 4, "0.50", "1/4-20 UNC", date(2026, 3, 8), "hex", None, None),
]
ON_ORDER = [
    ("Bestellnummer", "Teilenummer", "Menge", "Liefertermin"),
    ("PO-1", "GLUE", 10, date(2026, 12, 2)),
]
HELD = {"frame": "ZB-1", "from": "10 in", "to": "13 in", "day": "2026-12-04", "number": "H-1"}
ANSWER = "order,part,quantity,due\n{order},CLIP,{quantity},2026-12-01\n"
COUNTED = "8"
"""Of the one part that is to be counted: one more than the book says."""


def foreign_shop(folder: Path) -> Path:
    """Own sheets in German, nothing of ours beside them but a frame."""
    (folder / "frames").mkdir(parents=True)
    (folder / "frames" / "ZB-1.toml").write_text(FRAME, "utf-8")
    workbook(folder / "Lagerliste.xlsx", Aufträge=JOBS, Bestand=STOCK, Bestellungen=ON_ORDER)
    return folder


def call(*words: object, answers: str | None = None) -> str:
    said = CliRunner().invoke(app, [*map(str, words), *TODAY], input=answers)
    assert said.exit_code in (0, 1), (words, said.output)
    return said.output


def changed(path: Path, sheet: str, cells: dict[str, object]) -> None:
    """Cells typed in a spreadsheet program."""
    book = openpyxl.load_workbook(path)
    for address, value in cells.items():
        book[sheet][address] = value
    book.save(path)


def rows_of(path: Path, sheet: str) -> list[tuple]:
    return list(openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True))


def place_of(path: Path, sheet: str, heading: str, **known: object) -> str:
    """The address of a cell under a heading, in the row that has these."""
    rows = rows_of(path, sheet)
    head = next(
        at
        for at, row in enumerate(rows)
        if heading in row and all(name.replace("_", " ") in row for name in known)
    )
    for at, row in enumerate(rows[head + 1 :], head + 2):
        if all(row[rows[head].index(name.replace("_", " "))] == value for name, value in known.items()):
            return f"{openpyxl.utils.get_column_letter(rows[head].index(heading) + 1)}{at}"
    raise LookupError((sheet, known))


def by_commands(folder: Path) -> None:
    """The whole week as somebody types it."""
    reports, accept = folder / "reports", folder / "accept.csv"
    call("begin", folder, "--yes")
    accept.write_text("where,found,use\nLagerliste.xlsx!Bestand!I9,2026-03-08,3/8 in\n", "utf-8")
    given = ("--accept", accept)
    call(
        "check",
        HELD["number"],
        "--in",
        folder,
        "--frame",
        HELD["frame"],
        "--from",
        HELD["from"],
        "--to",
        HELD["to"],
        "--date",
        HELD["day"],
        "--adjustment",
        "back height",
        "--chairs",
        "1",
        "--hold",
        *WHO,
        *given,
    )
    call("week", folder, "--force", *given)
    book = reports / "order-2026-W49.xlsx"
    changed(book, "NORD", {place_of(book, "NORD", "quantity", our_part="CLIP"): 30})
    call("orders", folder, "--placed", "2026-W49-NORD", "--replace", *WHO)
    answer = folder / "answer.csv"
    answer.write_text(ANSWER.format(order="2026-W49-NORD", quantity=24), "utf-8")
    call("orders", folder, "--answer", answer, "--post", "--replace", *WHO)
    call("orders", folder, "--received", "2026-W49-NORD/1", "--quantity", "24", "--replace", *WHO)
    call("count", folder)
    sheet = reports / "count-2026-W49.xlsx"
    for row in counted_rows(sheet):
        changed(sheet, "Count", {row["counted"]: COUNTED, row["by"]: "Ada"})
    call("count", folder, "--read", sheet, "--post", "--trust-count", "--replace", *WHO)
    returns = reports / "returns-2026-W49.xlsx"
    fill_returns(returns)
    call("close", folder, "--week", "2026-W49", "--replace", *WHO)


def counted_rows(sheet: Path) -> list[dict[str, str]]:
    """The lines of a count sheet: part, and the addresses that are filled in."""
    rows = rows_of(sheet, "Count")
    head = next(at for at, row in enumerate(rows) if "counted" in row)
    letters = {
        name: openpyxl.utils.get_column_letter(place + 1) for place, name in enumerate(rows[head]) if name
    }
    found = []
    for at, row in enumerate(rows[head + 1 :], head + 2):
        cells = dict(zip(rows[head], row, strict=True))
        found.append(
            {
                "part": cells["part"],
                "counted": f"{letters['counted']}{at}",
                "by": f"{letters['counted by']}{at}",
            }
        )
    return found


def fill_returns(path: Path) -> None:
    """A-101 as planned; A-102 with one clip more, and why; A-103 part done; the held job not."""
    done = {"A-101": "yes", "A-102": "yes", "A-103": "part", "H-1": "no"}
    changed(path, "Done", {place_of(path, "Done", "done", job=job): word for job, word in done.items()})
    line = {"job": "A-102", "do": "fit", "part": "CLIP"}
    changed(
        path,
        "Lines",
        {place_of(path, "Lines", "used", **line): 5, place_of(path, "Lines", "reason", **line): "one broke"},
    )
    panel = {"job": "A-103", "do": "fit", "part": "PAN-10"}
    changed(path, "Lines", {place_of(path, "Lines", "used", **panel): 1})


def copied(folder: Path, to: Path) -> Path:
    shutil.copytree(folder, to)
    return to


# --- what a folder says ---------------------------------------------------------------------------------


def state_of(folder: Path) -> dict[str, object]:
    """The workbooks cell by cell, the settings, and all that the ledger has, but for clocks and digests."""
    stock = folder / "Lagerliste.xlsx"
    ledger = open_ledger(folder / "Lagerliste-ledger.sqlite", create=False)
    assert ledger is not None
    with ledger:
        closings = [
            (each.name, each.kind, each.day, each.who, each.undoes, told(each.details))
            for each in ledger.closings()
        ]
        parts = sorted(ledger.balances())
        cards = {
            part: [
                (
                    e.closing,
                    e.movement.bin,
                    e.movement.quantity,
                    e.movement.kind,
                    e.movement.job,
                    e.movement.day,
                    e.movement.who,
                    str(e.movement.source or ""),
                )
                for e in ledger.card(part[0] if isinstance(part, tuple) else part)
            ]
            for part in parts
        }
        orders = [entry.event for entry in ledger.order_entries()]
        holds = [(hold.row, hold.who, hold.end.how if hold.end else "") for hold in ledger.holds()]
        jobs = [(entry.closing, entry.booked) for entry in ledger.booked_jobs()]
    return {
        "settings": (folder / "reconcile.toml").read_text("utf-8"),
        "accept": (folder / "accept.csv").read_text("utf-8"),
        "files": sorted(
            p.relative_to(folder).as_posix()
            for p in folder.rglob("*")
            if p.is_file() and "answer" not in p.name
        ),
        **{f"{stock.name}!{name}": rows_of(stock, name) for name in openpyxl.load_workbook(stock).sheetnames},
        **{
            f"returns!{name}": rows_of(folder / "reports/returns-2026-W49.xlsx", name)
            for name in ("Done", "Lines", "Deliveries")
        },
        "closings": closings,
        "cards": cards,
        "orders": orders,
        "holds": holds,
        "jobs": jobs,
    }


def told(details: dict[str, object]) -> dict[str, object]:
    """What a closing says of itself; digests differ with the moment that stands in a workbook."""
    return {
        name: value
        for name, value in details.items()
        if "sha256" not in name and name not in ("mark", "count sheet")
    }
