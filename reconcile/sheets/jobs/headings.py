"""The headings of the jobs sheet, with their synonyms."""

from reconcile.sheets.tables.headings import SheetKind

JOBS = SheetKind(
    "Jobs",
    {
        "job": ("job no", "job number", "job nr", "job #", "job id", "work order"),
        "date": ("day", "planned day", "planned date", "planned", "planned for"),
        "frame": ("frame code", "frame type", "chair frame"),
        "from": ("size now", "from size", "current size", "size from", "now"),
        "to": ("size wanted", "to size", "new size", "size to", "wanted"),
        "adjustment": ("adjust", "measure", "what"),
        "options": ("option", "fitted options", "options fitted"),
        "side": ("sides",),
        "left now": ("spacers left now", "left spacers now", "left steps now"),
        "right now": ("spacers right now", "right spacers now", "right steps now"),
        "spacers now": ("stack now", "stacks now", "spacers fitted", "stack of spacers"),
        "chairs": ("number of chairs", "no of chairs", "chair count", "qty", "quantity"),
        "priority": ("prio", "urgency"),
        "technician": ("tech", "fitter", "done by"),
        "asset": ("asset no", "asset number", "asset tag", "chair no", "serial no", "serial number"),
        "notes": ("note", "remarks", "remark", "comment", "comments"),
    },
    ("job", "date", "frame", "to"),
    key="job",
    summed=("chairs",),
    beside=("Stock", "On order", "Suppliers", "Price breaks", "Usage"),
    instead={
        "job": "Where jobs have no number, number the rows: 1, 2, 3.",
        "frame": "Where there is but one kind of frame, add a column frame and fill it with its code.",
        "date": "Where no day is planned yet, add a column date.",
    },
)
