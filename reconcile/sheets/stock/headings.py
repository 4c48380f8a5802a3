"""The headings of the stock workbook's sheets, with their synonyms."""

from reconcile.sheets.tables.headings import SheetKind

PART_WORDS = (
    "part no",
    "part number",
    "part nr",
    "part #",
    "p/n",
    "pn",
    "item",
    "item no",
    "item number",
    "part code",
)


QUANTITY_WORDS = ("qty", "pieces", "count")


STOCK = SheetKind(
    "Stock",
    {
        "part": PART_WORDS,
        "description": ("desc", "part description", "item description"),
        "kind": ("type", "category"),
        "thread": ("thread size",),
        "length": ("bolt length", "nominal length", "len"),
        "thread length": ("threaded length", "length of thread"),
        "head": ("head type", "head style"),
        "grade": ("class", "strength", "property class", "strength grade"),
        "finish": ("coating", "plating", "surface"),
        "bin": ("location", "bin location", "shelf", "bin no"),
        "on hand": (
            "qty on hand",
            "quantity on hand",
            "qty",
            "quantity",
            "in stock",
            "stock on hand",
            "onhand qty",
        ),
        "allocated": ("qty allocated", "quantity allocated", "reserved", "qty reserved", "committed"),
        "unit": ("units", "uom", "u/m", "unit of measure", "stock unit"),
        "pack": ("pack size", "pack qty", "pack quantity", "per pack"),
        "minimum order": ("min order", "minimum order quantity", "min order qty", "moq"),
        "lead time days": (
            "lead time",
            "lead days",
            "lead time working days",
            "lead time wd",
            "delivery days",
        ),
        "supplier": ("vendor", "supplier code", "bought from"),
        "supplier part": (
            "supplier part no",
            "supplier part number",
            "supplier p/n",
            "vendor part",
            "order code",
        ),
        "price": ("unit price", "price each", "price per unit"),
        "currency": ("curr", "price currency"),
        "safety stock": ("safety", "minimum stock", "min stock"),
        "reorder point": ("reorder level", "reorder at", "rop"),
        "order up to": ("order up to level", "maximum stock", "max stock", "up to"),
    },
    ("part", "on hand", "unit"),
    key="part",
    summed=("on hand", "allocated"),
    beside=("Jobs", "On order", "Suppliers", "Price breaks", "Usage"),
    instead={
        "part": "Where parts have no number, name the column of descriptions for part as well.",
        "on hand": "Where nobody counts, add a column on hand and count what lies there.",
        "unit": 'Where there is no column of units, write unit = "each" into reconcile.toml, above its first '
        "table, if every row counts single pieces.",
    },
)


ON_ORDER = SheetKind(
    "On order",
    {
        "order": ("order no", "order number", "po", "po no", "po number", "purchase order"),
        "part": PART_WORDS,
        "quantity": (
            *QUANTITY_WORDS,
            "qty on order",
            "quantity on order",
            "on order",
            "open quantity",
            "open qty",
        ),
        "due": ("due date", "due on", "due day", "expected", "expected on", "delivery date"),
        "supplier": ("vendor", "supplier code", "bought from"),
        "placed": ("placed on", "ordered on", "order date"),
        "answered": ("answered on", "confirmed", "confirmed on"),
        "price": ("unit price", "price each", "price per unit"),
        "line": ("order line", "line no", "line number"),
        "note": ("notes", "remark", "remarks"),
    },
    ("part", "quantity", "due"),
    key="part",
    summed=("quantity",),
)


SUPPLIERS = SheetKind(
    "Suppliers",
    {
        "supplier": ("supplier code", "vendor", "code"),
        "name": ("supplier name", "full name"),
        "minimum order value": ("minimum order", "min order value", "min order"),
        "delivery charge": ("delivery", "carriage", "shipping", "shipping charge"),
        "free delivery from": ("free delivery", "carriage free from", "free shipping from"),
        "email": ("e-mail address", "email address", "mail"),
    },
    ("supplier",),
    key="supplier",
)


PRICE_BREAKS = SheetKind(
    "Price breaks",
    {
        "part": PART_WORDS,
        "from quantity": ("from qty", "from", "quantity", "qty", "quantity from", "break quantity"),
        "price": ("unit price", "price each", "price per unit"),
    },
    ("part", "from quantity", "price"),
    key="part",
)


USAGE = SheetKind(
    "Usage",
    {
        "date": ("day", "used on", "date used"),
        "part": PART_WORDS,
        "quantity": (*QUANTITY_WORDS, "used", "qty used", "quantity used"),
        "job": ("job no", "job number", "work order", "for job"),
    },
    ("date", "part", "quantity"),
    key="part",
    summed=("quantity",),
)
