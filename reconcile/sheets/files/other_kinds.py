"""What a file is that is no workbook which can be read: said, instead of calling it damaged."""

from collections.abc import Iterable, Iterator
from zipfile import ZipFile

MACRO_SHEETS = {"xl/macrosheets/": "a sheet of macros", "xl/dialogsheets/": "a sheet of a dialog"}
_BY_PART = {
    "word/document.xml": "a text document",
    "ppt/presentation.xml": "a presentation",
    "visio/document.xml": "a drawing",
    "Index/Document.iwa": "a document of a program for tablets",
}
_BY_MIME = {
    b"text": "a text document",
    b"text-master": "a text document",
    b"presentation": "a presentation",
    b"graphics": "a drawing",
    b"base": "a database",
    b"database": "a database",
    b"formula": "a formula",
    b"chart": "a chart",
}
_MIME = b"application/vnd.oasis.opendocument."
_BY_STREAM = {
    "WordDocument": "a text document",
    "PowerPoint Document": "a presentation",
    "VisioDocument": "a drawing",
    "__substg1.0_": "a mail",
}
SAVE = "Open it in the program that made it, and save the sheet that holds the table as xlsx."


def kind_of_archive(names: Iterable[str], mime: bytes) -> str:
    """What an archive without a workbook is: ``a text document``; "" where that cannot be told."""
    if mime.startswith(_MIME):
        kind = mime.removeprefix(_MIME).removesuffix(b"-template").split(b";")[0].strip()
        if kind in _BY_MIME:
            return _BY_MIME[kind]
    there = set(names)
    return next((said for part, said in _BY_PART.items() if part in there), "")


def kind_of_old_file(data: bytes) -> str:
    """What an old compound file is that could not be read as a workbook; "" where it cannot be told."""
    for stream, said in _BY_STREAM.items():
        if stream.encode("utf-16-le") in data:
            return said
    whole = "Workbook".encode("utf-16-le") in data
    return "" if whole else "a workbook of a version before 1997" if _names_book(data) else ""


def _names_book(data: bytes) -> bool:
    return "Book\0".encode("utf-16-le") in data


def macro_sheets(packed: ZipFile) -> str:
    """What sheets of another sort a workbook holds, which the fast reader cannot pass over; "" for none."""
    names = packed.namelist()
    return next(
        (said for folder, said in MACRO_SHEETS.items() if any(name.startswith(folder) for name in names)), ""
    )


def is_sound_binary(packed: ZipFile) -> bool:
    """Whether every part of an xlsb workbook is a run of whole records ([MS-XLSB], Record)."""
    parts = [name for name in packed.namelist() if name.endswith(".bin") and "/printerSettings" not in name]
    return bool(parts) and all(
        _ends_whole(packed.read(part)) for part in parts if "vba" not in part.casefold()
    )


def _ends_whole(data: bytes) -> bool:
    at = 0
    for end in _record_ends(data):
        at = end
    return at == len(data)


def _record_ends(data: bytes) -> Iterator[int]:
    """Where each record ends; stops before one that is cut short."""
    at = 0
    while at < len(data):
        numbers = []
        for most in (2, 4):
            number = 0
            for count in range(most):
                if at >= len(data):
                    return
                byte = data[at]
                number |= (byte & 0x7F) << (7 * count)
                at += 1
                if byte < 0x80:
                    break
            numbers.append(number)
        at += numbers[1]
        if at > len(data):
            return
        yield at
