"""A settings file with every key explained and none of them set.

Which keys there are is taken from the table by which settings are read; a key without words here is listed
without them, and a test says so.
"""

import json
from collections.abc import Iterator, Mapping

from reconcile.sheets.figures.toml import Key, KeyTable, Spot, Wrong
from reconcile.sheets.settings.file import CODES, SETTINGS

EXPLAINED: Mapping[str, tuple[str, str]] = {
    "length_unit": ('Unit of a length without one: "in" or "mm". Left out: it is an error.', '"in"'),
    "date_order": (
        'How text like 3/12/2026 is read: "dmy" or "mdy". Left out: such a date is an error.', '"dmy"',
    ),
    "decimal": ('How 1,234 is read: "," or "." is the decimal mark. Left out: it is an error.', '"."'),
    "currency": ("Currency of prices that name none: three capitals, as ISO 4217 lists them.", '"EUR"'),
    "working_days": ("Days that are worked.", '["Mon", "Tue", "Wed", "Thu", "Fri"]'),
    "holidays": ("Days that are not.", '["2026-12-25", "2026-12-26"]'),
    "inspection_days": ("Working days until a removed part may be used; at least 1.", "1"),
    "look_ahead_weeks": ("Weeks after today whose jobs count beside those of the period.", "8"),
    "lead_time_days": ("Working days to deliver a part that names none. Left out: not in time.", "10"),
    "closing": ("Whether weeks are closed; if not, days before today are taken as done.", "true"),
    "use_recovered": ("Whether removed parts are counted on at all: true or false.", "true"),
    "exact_only": ("Whether no bolt of another length than the one asked for is offered.", "false"),
    "patience": ("Seconds for the choice of kits; then the best found is taken.", "10"),
    "jobs": ("Where the jobs are, seen from this file.", '"jobs.xlsx"'),
    "stock": ("Where the stock is: a workbook, or a folder of csv files.", '"stock.xlsx"'),
    "frames": ("The folder of frame files.", '"frames"'),
    "country": ("A country whose public holidays are added, as ISO 3166 lists it.", '"CH"'),
    "subdivision": ("A part of that country with holidays of its own.", '"ZH"'),
    "unit": ("Unit of parts whose row names none. Left out: it is an error.", '"each"'),
    "sheets": ("Our name of a sheet, and the workshop's own.", ""),
    "sheets.jobs": ("", '"Jobs 2026"'),
    "sheets.stock": ("", '"Inventory"'),
    "csv_delimiter": ('The mark between the cells of csv files, or "tab". Left out: found.', '";"'),
    "csv_encoding": ('Encoding of csv files: "utf-8", "utf-16" or "cp1252". Left out: found.', '"utf-8"'),
    "headings": ("Our heading, and the workshop's own words for it. Any heading may stand here.", ""),
    "headings.on hand": ("", '["shelf count"]'),
    "headings.bin": ("", '["drawer"]'),
    "headings.ignore": ("Columns that are left out on purpose.", '["colour"]'),
    "limits": ("What is read of a file at most, so that a damaged one ends soon.", ""),
    "limits.expanded_mb": ("Megabytes of a csv file, or of a workbook when unpacked.", "200"),
    "limits.cells": ("Cells from the first to the last filled one of a sheet.", "2000000"),
    "workshop": ("Who orders, as it stands at the head of an order.", ""),
    "workshop.name": ("Name of the workshop.", '"Invented workshop"'),
    "workshop.address": ("Street and house, in one line or several.", '["1 Example Street"]'),
    "workshop.city": ("Town.", '"Exampleton"'),
    "workshop.postal_code": ("Postal code.", '"00000"'),
    "workshop.country": ("Country: two capitals, as ISO 3166-1 lists them.", '"CH"'),
    "workshop.contact": ("Whom the supplier may ask.", '"Stores"'),
    "workshop.phone": ("Telephone.", '"000"'),
    "workshop.email": ("Where answers go.", '"stores@example.org"'),
    "workshop.vat_id": ("Number for value added tax.", '"XX000000"'),
    "workshop.tax_id": ("Number for another tax.", '"000000"'),
    "workshop.deliver_to": (
        "Where to deliver, in one line or several, if not to the address above.", '["2 Example Street"]',
    ),
    "buying": ("How much to order at once. Left out: what is wanted, in whole packs.", ""),
    "buying.horizon_weeks": ("Weeks whose use an order may cover, the planned one included.", "8"),
    "buying.holding_cost": ("What keeping stock costs a year, as a share of its price.", "0.2"),
    "buying.order_cost": ("What placing an order costs.", "5.00"),
    "buying.price_breaks": (
        'A break is for "all units", or "incremental": for those from it on.', '"all units"',
    ),
    "counting": ("How the shelf is counted, by class of yearly value. Left out: common practice.", ""),
    "counting.shares": ("Shares of the yearly value.", '{ A = "80 %", B = "15 %", C = "5 %" }'),
    "counting.times": ("How often a part is counted in a year.", "{ A = 12, B = 4, C = 1 }"),
    "counting.tolerance": (
        "By how much a count may differ before it is repeated.", '{ A = "0", B = "2 %", C = "5 %" }',
    ),
    "levels": ("What shelf levels proposed from use aim at. They are never applied unasked.", ""),
    "levels.service": ("Share of order cycles, or of use, that is to be served.", "0.95"),
    "levels.measure": (
        'What is served: "cycle", order cycles without a shortage, each part by itself; or, all parts '
        'together, "fill", use met at once, or "kits", jobs with a whole kit.', '"cycle"',
    ),
    "levels.budget": ("A sum for the mean shelf: as much service as it buys, in place of service.", "2500"),
}  # fmt: skip
"""Key, or table and key, to its comment and an example. A table's headings are only examples."""


def settings_text(frames: str = "") -> str:
    """The file's text. Every key is commented out, but ``frames`` where its folder is given.

    Plain keys come first: in TOML whatever follows a table's header belongs to the table.
    """
    lines = ["## Settings. Every key may be left out. To set one, take away its # and blank.", ""]
    plain = [name for name in SETTINGS if entries_of(name) is None]
    for name in plain:
        lines += [*_key_lines(name, name, frames if name == "frames" else ""), ""]
    for name in SETTINGS:
        if (entries := entries_of(name)) is not None:
            lines += [*_comment(name), f"# [{name}]"]
            lines += [line for entry in entries for line in _key_lines(f"{name}.{entry}", entry)]
            lines.append("")
    return "\n".join(lines)


def entries_of(name: str) -> list[str] | None:
    """The keys that a key of the settings holds where it is a table; None where it is not one."""
    if name in ("headings", "sheets"):
        return [each.partition(".")[2] for each in EXPLAINED if each.startswith(f"{name}.")]
    key: Key = SETTINGS[name]
    try:
        table = key.read({}, Spot("", CODES))
    except Wrong:
        return None
    return list(table.values) if isinstance(table, KeyTable) else None


def _key_lines(path: str, name: str, value: str = "") -> Iterator[str]:
    yield from _comment(path)
    spelt = name if name.replace("_", "").isalnum() else json.dumps(name, ensure_ascii=False)
    if value:
        yield f"{spelt} = {json.dumps(value, ensure_ascii=False)}"
    else:
        yield f"# {spelt} = {EXPLAINED.get(path, ('', ''))[1]}".rstrip()


def _comment(path: str) -> Iterator[str]:
    if words := EXPLAINED.get(path, ("", ""))[0]:
        yield f"## {words}"


def every_key() -> list[str]:
    """Every key that is read, those of tables as ``limits.cells``."""
    return [
        path for name in SETTINGS for path in (name, *(f"{name}.{each}" for each in entries_of(name) or ()))
    ]
