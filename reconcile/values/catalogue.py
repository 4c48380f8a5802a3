"""The one list of problem codes. A code is named after the fault, not after its cure.

Each entry gives the severity, what the code means, an example, what the program does about it and what
the reader can do. The problems page of the documentation is generated from this list.
"""

from dataclasses import dataclass

ERROR, NOTICE = "error", "notice"


@dataclass(frozen=True, slots=True)
class Code:
    severity: str
    means: str
    example: str
    did: str
    do: str


_NOTHING = "Nothing was written."
_ROW = "The row was set aside."
_JOB = "The job was set aside."
_FRAME = "The frame file is not used; its jobs are set aside."
_KEPT = "It was used as it stands."

CODES: dict[str, Code] = {
    # the call and the files
    "call-unusable": Code(
        ERROR,
        "The command was given words or values it cannot use.",
        "--week 2026-49",
        _NOTHING,
        "Correct the command; --help shows examples.",
    ),
    "file-missing": Code(
        ERROR,
        "A file or folder that is needed is not there.",
        "jobs.xlsx",
        _NOTHING,
        "Check the name and the folder.",
    ),
    "file-kind": Code(
        ERROR,
        "The file is not of the kind its name says, or of no kind that can be read.",
        "a picture called stock.xlsx",
        _NOTHING,
        "Save it as xlsx from your spreadsheet program.",
    ),
    "file-protected": Code(
        ERROR,
        "The workbook asks for a password to open.",
        "stock.xlsx",
        _NOTHING,
        "Save a copy without a password.",
    ),
    "file-broken": Code(
        ERROR,
        "The file is damaged or cut short.",
        "stock.xlsx",
        _NOTHING,
        "Open it in your spreadsheet program and save it anew, or take the last good copy.",
    ),
    "file-unreadable": Code(
        ERROR,
        "The file is there but may not be read.",
        "stock.xlsx",
        _NOTHING,
        "Close it elsewhere, or ask for the right to read it.",
    ),
    "file-too-large": Code(
        ERROR,
        "The file expands to more than the limit in the settings.",
        "stock.xlsx",
        _NOTHING,
        "Remove what does not belong in it, or raise the limit in the settings.",
    ),
    "file-suspect": Code(
        ERROR,
        "The workbook holds something that a workbook has no need of.",
        "a document type declaration",
        _NOTHING,
        "Save it anew from your spreadsheet program.",
    ),
    "file-is-lock": Code(
        ERROR,
        "The file is the mark that a spreadsheet program leaves beside an open workbook.",
        "~$stock.xlsx",
        _NOTHING,
        "Give the workbook itself.",
    ),
    "text-encoding": Code(
        NOTICE,
        "A csv file is not in UTF-8; how it was read is said.",
        "Stock.csv",
        "It was read as cp1252.",
        "Save it as UTF-8 if names look wrong.",
    ),
    "csv-quote": Code(
        ERROR,
        "A quote mark in a csv file is not closed, or stands inside a field.",
        '8" castor',
        _NOTHING,
        "Put the field in quotes and double the quote mark in it.",
    ),
    "csv-ragged": Code(
        ERROR,
        "A row of a csv file has more cells than the headings.",
        "Stock.csv",
        _ROW,
        "Check the row for a stray delimiter.",
    ),
    "sheet-missing": Code(
        ERROR,
        "The workbook lacks a sheet that is needed.",
        "Stock",
        _NOTHING,
        "Rename the sheet, or give the right workbook.",
    ),
    "sheet-empty": Code(
        ERROR,
        "The sheet holds no rows.",
        "Jobs",
        _NOTHING,
        "Give a sheet with headings and at least one row.",
    ),
    "heading-missing": Code(
        ERROR,
        "A needed column is not there.",
        "on hand",
        _NOTHING,
        "Rename the column, or add your own word for it to [headings] in the settings.",
    ),
    "heading-doubled": Code(
        ERROR, "Two columns match one heading.", "qty and on hand", _NOTHING, "Rename one of them."
    ),
    "settings-unreadable": Code(
        ERROR, "The settings file is not TOML.", "reconcile.toml", _NOTHING, "Correct the line named."
    ),
    "settings-key": Code(
        ERROR,
        "The settings file has a key or a value that means nothing here.",
        "working_day",
        _NOTHING,
        "Correct or remove the key.",
    ),
    "output-exists": Code(
        ERROR,
        "A file to be written is already there.",
        "report-2026-W49.xlsx",
        _NOTHING,
        "Give --force to replace it, or another folder with --out.",
    ),
    "output-locked": Code(
        ERROR,
        "A file to be written is open elsewhere, or the folder may not be written.",
        "report-2026-W49.xlsx",
        "The old file is as it was.",
        "Close it in the other program and run again.",
    ),
    "output-is-input": Code(
        ERROR, "An output would replace an input.", "stock.xlsx", _NOTHING, "Give another folder with --out."
    ),
    "own-fault": Code(
        ERROR,
        "The program itself failed. The fault is ours, not yours.",
        "a crash",
        _NOTHING,
        "Run again with --debug and send us what it prints.",
    ),
    # cells
    "cell-blank": Code(ERROR, "A needed cell is blank.", "on hand of B-14-300", _ROW, "Fill it in."),
    "cell-error": Code(ERROR, "A needed cell holds an error value.", "#N/A", _ROW, "Mend the formula."),
    "formula-not-calculated": Code(
        ERROR,
        "A needed cell holds a formula that was never calculated.",
        "=SUM(C2:C9)",
        _ROW,
        "Open and save the workbook once in your spreadsheet program.",
    ),
    "number-unreadable": Code(
        ERROR,
        "A cell that should hold a number does not.",
        "about 20",
        _ROW,
        "Write the number alone, or with its unit.",
    ),
    "number-ambiguous": Code(
        ERROR,
        "A number can be read in two ways.",
        "1,234",
        _ROW,
        'Set decimal = "." or "," in the settings, or write it without a separator.',
    ),
    "number-negative": Code(
        ERROR, "A number that cannot be less than nothing is.", "-3", _ROW, "Correct it."
    ),
    "number-too-small": Code(
        ERROR, "A number is below the least that makes sense.", "0 chairs", _ROW, "Correct it."
    ),
    "number-not-whole": Code(ERROR, "A number that must be whole is not.", "2.5 chairs", _ROW, "Correct it."),
    "length-unreadable": Code(
        ERROR, "A length cannot be read.", "1/2/4 in", _ROW, "Write it like 1 1/2 in or 12.7 mm."
    ),
    "length-unit-missing": Code(
        ERROR,
        "A length has no unit, and neither its heading nor the settings name one.",
        "12",
        _ROW,
        "Write the unit, or put it in the heading, or set length_unit.",
    ),
    "length-is-date": Code(
        ERROR,
        "A length cell holds a date: the spreadsheet program has probably turned a fraction into one.",
        "8 March for 3/8",
        _ROW,
        "Format the cell as text and type the length again with its unit.",
    ),
    "unit-unknown": Code(
        ERROR,
        "A unit is not known.",
        "12 blips",
        _ROW,
        "Use each, pack, dozen, gross, mm, cm, m, in, ft, mL, L, g, kg.",
    ),
    "unit-mismatch": Code(
        ERROR,
        "A quantity is in a unit that cannot become the part's own.",
        "3 mL of a part counted in each",
        _ROW,
        "Give it in the part's unit.",
    ),
    "date-unreadable": Code(
        ERROR, "A date cannot be read.", "next Tuesday", _ROW, "Use a date cell, or text like 2026-12-03."
    ),
    "date-ambiguous": Code(
        ERROR,
        "A date can be read in two ways.",
        "3/12/2026",
        _ROW,
        'Set date_order = "dmy" or "mdy" in the settings, or write 2026-12-03.',
    ),
    # jobs
    "job-doubled": Code(
        ERROR,
        "Two rows have the same job number.",
        "J-101",
        "All rows with that number were set aside.",
        "Give each job a number of its own.",
    ),
    "day-not-worked": Code(
        NOTICE,
        "A job is planned on a day that is no working day.",
        "a Sunday",
        "The job was kept on its day.",
        "Check the date.",
    ),
    "day-past": Code(
        NOTICE,
        "A job of the period is planned before today.",
        "yesterday",
        "It counts as still to do.",
        "Move it, or take it off the sheet once it is done.",
    ),
    "frame-unknown": Code(
        ERROR,
        "A job names a frame that has no frame file.",
        "NQ-T9",
        _JOB,
        "Correct the code, or add the frame file.",
    ),
    "frame-faulty": Code(
        ERROR,
        "A job's frame has a frame file with faults.",
        "NQ-T1",
        _JOB,
        "Mend the frame file; its faults are listed.",
    ),
    "adjustment-unknown": Code(
        ERROR,
        "A job names an adjustment that its frame does not have.",
        "seat widht",
        _JOB,
        "Correct the name.",
    ),
    "option-misspelt": Code(
        ERROR,
        "A job's option is unknown to its frame but very like one that is known.",
        "front riging",
        _JOB,
        "Correct the option; it changes what the job needs.",
    ),
    "option-unused": Code(
        NOTICE,
        "A job's option changes nothing on this frame.",
        "cup holder",
        "It was carried along, and no part was added for it.",
        "Check that the frame file knows every option that matters.",
    ),
    "side-unknown": Code(
        ERROR, "The side is none of both, left and right.", "port", _JOB, "Write both, left or right."
    ),
    "sides-half-given": Code(
        ERROR,
        "Only one of left now and right now is filled in.",
        "left now 2",
        _JOB,
        "Fill in both or neither.",
    ),
    "sides-do-not-add-up": Code(
        ERROR,
        "Left now and right now do not add up to the steps of the size now.",
        "2 and 3 at 16 in",
        _JOB,
        "Count the spacers on the chair.",
    ),
    "side-on-single": Code(
        ERROR,
        "A side, or spacers by side, is given for an adjustment with a single stack.",
        "left",
        _JOB,
        "Leave the sides blank.",
    ),
    "sides-uneven": Code(
        ERROR,
        "The sides would differ by more than one step, or one would fall below nothing.",
        "3 left, 0 right",
        _JOB,
        "Adjust both sides; adjustments are kept symmetric.",
    ),
    "sides-far-apart": Code(
        NOTICE,
        "The sides now differ by more than one step.",
        "4 left, 1 right",
        "It was taken as written.",
        "Check the chair.",
    ),
    "size-outside": Code(
        ERROR, "A size lies outside what the frame can be set to.", "22 in", _JOB, "Correct the size."
    ),
    "size-between-steps": Code(
        ERROR,
        "A size is not a whole number of steps from the minimum.",
        "16 1/4 in",
        _JOB,
        "Correct the size.",
    ),
    "split-assumed": Code(
        NOTICE,
        "An odd number of steps was split by assumption.",
        "3 left, 4 right",
        "Assumed split: the right side has the extra step.",
        "Assumed split: check the chair.",
    ),
    "sides-differ": Code(
        NOTICE,
        "The sides will differ by one step.",
        "3 left, 4 right",
        _KEPT,
        "Agree it with the user of the chair, or choose an even size.",
    ),
    "no-change": Code(
        NOTICE,
        "The size wanted is the size now.",
        "16 in to 16 in",
        "The job needs nothing and counts as complete.",
        "Take it off the sheet, or correct the size.",
    ),
    "spacers-do-not-fit": Code(
        ERROR,
        "No set of the joint's spacers adds up to the steps needed.",
        "1/2 in from 1 in spacers",
        _JOB,
        "Choose another size, or mend the frame file.",
    ),
    "spacers-not-recovered": Code(
        NOTICE,
        "Spacers come off, but none of the listed ones is one step thick.",
        "1 in spacers, 1/2 in step",
        "Nothing is counted as recovered.",
        "Put what comes off back by hand.",
    ),
    "cover-unknown": Code(
        NOTICE,
        "The frame file names no cover for the steps now on a side.",
        "7 steps",
        "No cover is counted as coming off.",
        "Check what comes off.",
    ),
    # stock
    "part-differs": Code(
        NOTICE,
        "Two rows of one part disagree in a column.",
        "lead time 5 and 7",
        "The first filled cell counts.",
        "Make the rows agree.",
    ),
    "part-unit-differs": Code(
        ERROR,
        "Two rows of one part are in different units.",
        "each and pack",
        _ROW,
        "State both rows in one unit.",
    ),
    "bolt-contradicted": Code(
        ERROR,
        "The columns and the description of a bolt contradict each other.",
        "length 2 in, description 2-1/2",
        _ROW,
        "Measure the bolt and mend the row: a wrong length on a chair hurts someone.",
    ),
    "bolt-unread": Code(
        NOTICE,
        "A row looks like a bolt, but not all that makes one could be read.",
        "SHCS 1/4 x 2",
        "The part is kept, but serves no joint.",
        "Fill in thread, length and head.",
    ),
    "thread-unknown": Code(
        ERROR, "No standard series lists the thread.", "M6x0.9", _ROW, "Correct the thread."
    ),
    "allocated-above-on-hand": Code(
        NOTICE, "More is allocated than lies there.", "5 of 3", "Nothing is there for kits.", "Count the bin."
    ),
    "on-hand-negative": Code(
        NOTICE,
        "The sheet says that less than nothing lies there.",
        "-2",
        "It was added up as it stands; nothing is there for kits.",
        "Count the bin.",
    ),
    "part-not-listed": Code(
        NOTICE,
        "A frame names a part that stock does not list.",
        "CP-2",
        "It counts as none on hand.",
        "Add it to the stock sheet, or correct the frame file.",
    ),
    "due-past": Code(
        NOTICE,
        "An order was due before today.",
        "PO-7, due 2026-11-20",
        "It is taken as due on the next working day.",
        "Ask the supplier.",
    ),
    "due-blank": Code(ERROR, "An order has no due date.", "PO-7", _ROW, "Fill in when it is due."),
    "due-part-unknown": Code(
        ERROR,
        "An order is for a part that stock does not list.",
        "B-14-30",
        _ROW,
        "Correct the part number, or add the part to the stock sheet.",
    ),
    "currency-unknown": Code(
        NOTICE,
        "A price has no currency, and the settings name none.",
        "0.45",
        "The price is not used.",
        "Fill in the currency, or set it in the settings.",
    ),
    "supplier-doubled": Code(
        ERROR, "A supplier stands twice on the suppliers sheet.", "S-1", _ROW, "Keep one of the rows."
    ),
    # frames
    "frame-unreadable": Code(
        ERROR, "A frame file is not TOML.", "NQ-T1.toml", _FRAME, "Correct the line named."
    ),
    "frame-key-unknown": Code(
        ERROR,
        "A frame file has a key that means nothing.",
        "adjustment[1].setp",
        _FRAME,
        "Correct or remove the key.",
    ),
    "frame-key-missing": Code(
        ERROR,
        "A frame file lacks a key that is needed.",
        "adjustment[1].step",
        _FRAME,
        "Add the key from the build sheet.",
    ),
    "frame-value": Code(
        ERROR,
        "A value in a frame file cannot be used.",
        'step = "half an inch"',
        _FRAME,
        "Correct the value.",
    ),
    "frame-step": Code(
        ERROR,
        "The step does not divide maximum less minimum.",
        "1/2 in in 5 3/4 in",
        _FRAME,
        "Correct the step or the sizes.",
    ),
    "frame-gap": Code(
        ERROR, "Some steps or sizes have no part.", "no cover for 3 steps", _FRAME, "Close the gap."
    ),
    "frame-overlap": Code(
        ERROR,
        "Some steps or sizes have two parts.",
        "two covers for 3 steps",
        _FRAME,
        "Make the ranges meet.",
    ),
    "frame-thread": Code(
        ERROR, "A joint's thread is in no standard series.", "1/4-22", _FRAME, "Correct the thread."
    ),
    "frame-bolt-outside": Code(
        ERROR,
        "At some size the joint's own bolt falls outside grip plus engagement.",
        "2 in at 3 steps",
        _FRAME,
        "Check length, grip and engagement against the build sheet.",
    ),
    "frame-doubled": Code(
        ERROR,
        "Two frame files have one code.",
        "NQ-T1",
        "Neither file is used; their jobs are set aside.",
        "Give each frame a code of its own.",
    ),
    "frame-no-spacers": Code(
        NOTICE,
        "A joint that is built up lists no spacers.",
        "upper front",
        "No spacers are planned for it.",
        'List them, or state per_step = "0 in".',
    ),
}
