"""Twelve made-up books as other shops might keep them: other tongues, titles, two tables, prices with signs.

    python tests/cases/beginning/make_books.py

writes them anew beside this file, a folder each; a test holds that they are what this says. Firms, people and
figures are invented. What is odd about a book stands above it.
"""

import csv
import io
import sys
import zipfile
from datetime import date
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE.parents[1] / "helpers"))

from raw_book import raw_book  # noqa: E402

Rows = list[list[Any]]
TUE, WED, THU = date(2026, 12, 1), date(2026, 12, 2), date(2026, 12, 3)
SCREWS = [
    "Zylinderschraube DIN 912 M6x30 8.8",
    "Sechskantschraube DIN 933 M6x45 8.8",
    "Linsenschraube ISO 7380 M5x16",
]

BOOKS: dict[str, dict[str, dict[str, Rows]]] = {}
"""By folder the files, by file the sheets; the one sheet of a csv file is called by its delimiter."""

# German: a title, pieces as Stk, prices with a decimal comma and a sign, a column of its own nobody needs.
BOOKS["01-german"] = {
    "Lagerliste.xlsx": {
        "Aufträge": [
            ["Auftrag", "Datum", "Rahmen", "von", "bis", "Monteur", "Bemerkung"],
            ["A-101", TUE, "HW-A", "14 in", "15 in", "Kern", None],
            ["A-102", WED, "HW-A", "16 in", "15 in", "Kern", "Kunde wartet"],
            ["A-103", THU, "HW-B", "400 mm", "412,5 mm", "Voss", None],
        ],
        "Bestand": [
            ["Lagerliste 2026, Stand November"],
            [],
            ["Teilenummer", "Bezeichnung", "Lagerplatz", "Bestand", "Einheit", "Preis", "Kostenstelle"],
            ["T-100", SCREWS[0], "A1", 40, "Stk", "0,45 €", 417],
            ["T-101", SCREWS[1], "A2", 25, "Stk", "0,52 €", 417],
            ["T-102", SCREWS[2], "A3", 0, "Stück", "k.A.", 417],
            ["SP-050", "Distanzstück 1/2 Zoll", "B1", 12, "Stk.", "1,25 €", 418],
            ["KL-1", "Schraubensicherung", "C1", 50, "mL", "9,90 €", 418],
        ],
    }
}

# French: two tables, the second below the first; a total between them.
BOOKS["02-french-two-tables"] = {
    "inventaire atelier.xlsx": {
        "Travaux": [
            ["Ordre", "Date prévue", "Châssis", "Actuel", "Souhaité"],
            ["T-1", TUE, "HW-A", "14 in", "15 in"],
            ["T-2", WED, "HW-A", "15 in", "16 in"],
        ],
        "Inventaire": [
            ["Référence", "Désignation", "Emplacement", "En stock", "Unité", "Prix unitaire"],
            ["R-10", "Vis CHC M6x30 8.8", "E1", 30, "pièce", 0.4],
            ["R-11", "Vis CHC M6x35 8.8", "E1", 20, "pièce", 0.45],
            ["SP-050", "Entretoise 12,7", "E2", 8, "pièce", 1.1],
            ["Total", None, None, 58, None, None],
            [],
            ["Référence", "Fournisseur", "Délai"],
            ["R-10", "Alpha", "3 jours"],
            ["R-11", "Alpha", "3 jours"],
        ],
    }
}

# Spanish: two csv files with semicolons and every field in quotes, days before months.
BOOKS["03-spanish-csv"] = {
    "trabajos.csv": {
        ";": [
            ["Orden de trabajo", "Fecha", "Chasis", "Desde", "Hasta"],
            ["O-1", "01/12/2026", "HW-A", "14 in", "15 in"],
            ["O-2", "02/12/2026", "HW-A", "15 in", "16 in"],
            ["O-3", "30/11/2026", "HW-B", "400 mm", "412,5 mm"],
        ]
    },
    "existencias.csv": {
        ";": [
            ["Código", "Descripción", "Ubicación", "Existencias", "Unidad", "Precio"],
            ["C-1", "Tornillo Allen M6x30", "A-1", "120", "ud", "0,40 €"],
            ["C-2", "Tornillo Allen M6x35", "A-2", "80", "ud", "0,45 €"],
            ["C-3", "Arandela M6", "A-3", "1.200", "uds", "n/a"],
            ["SP-050", "Separador", "B-1", "9", "ud", "1,10 €"],
        ]
    },
}

# Italian: no unit column; jobs and stock in two workbooks, each with one sheet of any name.
BOOKS["04-italian"] = {
    "commesse.xlsx": {
        "Foglio1": [
            ["Commessa", "Giorno", "Telaio", "Attuale", "Nuovo", "Tecnico"],
            ["C-7", TUE, "HW-A", "14 in", "15 in", "Riva"],
            ["C-8", THU, "HW-A", "17 in", "16 in", "Riva"],
        ]
    },
    "magazzino.xlsx": {
        "Foglio1": [
            ["Codice", "Descrizione", "Scaffale", "Giacenza", "Prezzo", "Fornitore"],
            ["V-30", "Vite TCEI M6x30 8.8", "S1", 60, 0.38, "Beta"],
            ["V-35", "Vite TCEI M6x35 8.8", "S2", 44, 0.41, "Beta"],
            ["D-6", "Dado M6", "S3", 210, 0.05, "Beta"],
        ]
    },
}

# Dutch: packs in words beside pieces.
BOOKS["05-dutch-packs"] = {
    "voorraad.xlsx": {
        "Opdrachten": [
            ["Opdracht", "Datum", "Frame", "Huidig", "Nieuw"],
            ["W-1", TUE, "HW-A", "14 in", "15 in"],
            ["W-2", WED, "HW-A", "15 in", "14 in"],
        ],
        "Voorraad": [
            ["Artikelcode", "Omschrijving", "Locatie", "Op voorraad", "Eenheid"],
            ["N-30", "Inbusbout M6x30 8.8", "V1", 3, "doos (100)"],
            ["N-35", "Inbusbout M6x35 8.8", "V2", 2, "zak van 50"],
            ["N-40", "Inbusbout M6x40 8.8", "V3", 17, "stuks"],
        ],
    }
}

# English: several rows of titles, a sheet called otherwise, totals at the end.
BOOKS["06-titles"] = {
    "jobs.xlsx": {
        "Schedule": [
            ["Refits, week 49"],
            ["planned by", "M. Thorn"],
            [],
            ["Job", "Date", "Frame", "From", "To"],
            ["R-1", TUE, "HW-A", "14 in", "15 in"],
            ["R-2", TUE, "HW-A", "16 in", "17 in"],
            ["R-3", "no day yet", "HW-A", "14 in", "15 in"],
        ]
    },
    "stock.xlsx": {
        "Notes": [["Counted in November"], ["Ask before you take the last one"]],
        "Inventory 2026": [
            ["Example Yard 3"],
            ["Inventory"],
            ["counted", "2026-11-20"],
            [],
            ["Part No.", "Details", "Rack", "Available", "UOM"],
            ["B-150", "SHCS 1/4-20 x 1-1/2 A574", "A1", 40, "ea"],
            ["B-200", "SHCS 1/4-20 x 2 A574", "A2", 22, "ea"],
            ["SP-050", "spacer 1/2 in", "B1", 9, "ea"],
            ["Total", None, None, 71, None],
        ],
    },
}

# A second table, of tools, stands below the first without a blank row.
BOOKS["07-tools-below"] = {
    "workshop.xlsx": {
        "Jobs": [
            ["job", "date", "frame", "from", "to"],
            ["J-1", TUE, "HW-A", "14 in", "15 in"],
            ["J-2", WED, "HW-A", "15 in", "16 in"],
        ],
        "Shelf": [
            ["item no", "item name", "drawer", "count"],
            ["B-150", "SHCS 1/4-20 x 1-1/2 A574", "D1", 14],
            ["B-200", "SHCS 1/4-20 x 2 A574", "D2", 9],
            ["SP-050", "spacer 1/2 in", "D3", 30],
            ["item no", "tool", "drawer", "lent to"],
            ["W-1", "torque wrench", "D9", "Thorn"],
            ["W-2", "hex keys", "D9", None],
        ],
    }
}

# Prices in every way in which people write them, no unit.
BOOKS["08-prices"] = {
    "jobs.xlsx": {"Jobs": [["job", "date", "frame", "from", "to"], ["J-1", TUE, "HW-A", "14 in", "15 in"]]},
    "stock.xlsx": {
        "Stock": [
            ["SKU", "Description", "Qty", "Unit cost", "Vendor"],
            ["B-150", "SHCS 1/4-20 x 1-1/2 A574", 40, "£5.99", "Gamma"],
            ["B-200", "SHCS 1/4-20 x 2 A574", 20, "£12.50", "Gamma"],
            ["B-250", "SHCS 1/4-20 x 2-1/2 A574", 11, "5.99 EUR", "Delta"],
            ["SP-050", "spacer 1/2 in", 9, "n/a", "Delta"],
            ["SP-100", "spacer 1 in", 4, "-", "Delta"],
            ["NUT-1", "lock nut 1/4-20", 300, "£5.99/100", "Gamma"],
        ]
    },
}

# Packs in words and pieces, with prices in a heading.
BOOKS["09-packs"] = {
    "jobs.csv": {
        ",": [
            ["Work order", "Scheduled", "Model", "Current", "Requested"],
            ["WO-1", "2026-12-01", "HW-A", "14 in", "15 in"],
            ["WO-2", "2026-12-02", "HW-A", "15 in", "16 in"],
        ]
    },
    "hardware.xlsx": {
        "Parts list": [
            ["Part ID", "Part name", "Stored in", "Stock qty", "Packaging", "Price (£)"],
            ["H-1", "SHCS 1/4-20 x 1-1/2 A574", "R1", 2, "Pack of 250", 19.5],
            ["H-2", "SHCS 1/4-20 x 2 A574", "R2", 3, "Pkg/100", 11],
            ["H-3", "SHCS 1/4-20 x 2-1/2 A574", "R3", 1, "box (50)", 8],
            ["H-4", "lock nut 1/4-20", "R4", 75, "each", 0.06],
        ]
    },
}

# Swedish: the columns that nobody here has a word for are told by their cells.
BOOKS["10-swedish"] = {
    "lager.xlsx": {
        "Arbetsorder": [
            ["Arbetsorder", "Planerad", "Ram", "Nu", "Ny"],
            ["S-1", TUE, "HW-A", "14 in", "15 in"],
            ["S-2", THU, "HW-A", "15 in", "16 in"],
        ],
        "Lagerlista": [
            ["Artikelnummer", "Benämning", "Lagerplats", "Lagersaldo", "Enhet", "Gängdimension"],
            ["M-30", "Insexskruv", "H1", 31, "st", "M6"],
            ["M-35", "Insexskruv", "H2", 18, "st", "M6"],
            ["M-40", "Insexskruv", "H3", 5, "st", "M8"],
        ],
    }
}

# Two sheets that fit alike: a line of settings tells which.
TWICE = [
    ["part", "description", "on hand", "unit"],
    ["B-150", "SHCS 1/4-20 x 1-1/2 A574", 14, "each"],
    ["B-200", "SHCS 1/4-20 x 2 A574", 9, "each"],
    ["SP-050", "spacer 1/2 in", 30, "each"],
]
BOOKS["11-two-alike"] = {
    "jobs.xlsx": {"Jobs": [["job", "date", "frame", "from", "to"], ["J-1", TUE, "HW-A", "14 in", "15 in"]]},
    "stock.xlsx": {"Inventory 2025": TWICE[:-1], "Inventory 2026": TWICE},
}

# One column that is both number and description, and no other word for it.
BOOKS["12-one-column"] = {
    "jobs.xlsx": {"Jobs": [["job", "date", "frame", "from", "to"], ["J-1", TUE, "HW-A", "14 in", "15 in"]]},
    "screws.csv": {
        "\t": [
            ["Item", "Qty avail", "Location"],
            ["DIN 912 - M3x08 Screw", 200, "tray 1"],
            ["DIN 912 - M3x10 Screw", 150, "tray 1"],
            ["DIN 912 - M4x12 Screw", 90, "tray 2"],
            ["DIN 933 - M6x20 Screw", 45, "tray 3"],
        ]
    },
}


def write_books(folder: Path) -> None:
    """Every book in a folder of its own; the same bytes each time."""
    for name, files in BOOKS.items():
        (folder / name).mkdir(parents=True, exist_ok=True)
        for file, sheets in files.items():
            path = folder / name / file
            if path.suffix == ".csv":
                ((delimiter, rows),) = sheets.items()
                path.write_bytes(csv_bytes(rows, delimiter))
            else:
                raw_book(path, sheets)
                undated(path)


def csv_bytes(rows: Rows, delimiter: str) -> bytes:
    text = io.StringIO()
    quoting = csv.QUOTE_ALL if delimiter == ";" else csv.QUOTE_MINIMAL
    csv.writer(text, delimiter=delimiter, quoting=quoting, lineterminator="\r\n").writerows(rows)
    return text.getvalue().encode("utf-8")


def undated(path: Path) -> None:
    """The same archive without the time at which it was made."""
    with zipfile.ZipFile(path) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in parts.items():
            packed.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)


if __name__ == "__main__":
    write_books(HERE)
