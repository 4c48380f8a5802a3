"""What a zipped workbook holds, looked at before the fast reader sees it.

The fast reader believes what it reads. So the parts are expanded once here, a piece at a time, and their
sizes counted as they come: what the archive's own list says of them may be wrong, or a lie.
"""

import codecs
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from urllib.parse import unquote
from xml.etree import ElementTree as Xml

from reconcile.sheets.files.other_kinds import SAVE, kind_of_archive
from reconcile.sheets.files.package import links_of, main_part
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import DEFAULT_LIMITS, MEGABYTE, Limits

CHUNK = 1 << 20
LONGEST_TEXT = 8 * CHUNK
"""Bytes between two tags. A cell holds at most 32,767 characters."""
TAGS_KEPT = 4
"""Whether a cell is blank, or its formula without a result, is told by the tags that follow."""

XLSX, XLSB, ODS = "xlsx", "xlsb", "ods"
KINDS = {"xl/workbook.xml": XLSX, "xl/workbook.bin": XLSB, "content.xml": ODS}
"""The part that tells a kind of workbook."""
SHEET_MIME = b"application/vnd.oasis.opendocument.spreadsheet"
MANIFEST = "META-INF/manifest.xml"

_END, _LOCAL_HEADER, _LISTED = b"PK\x05\x06", 30, 46
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_FAULTS = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    OSError,
    ValueError,
    NotImplementedError,
)
_ENCODING = re.compile(rb"<\?xml[^>]*\sencoding\s*=\s*[\"']([^\"']*)[\"']")
_READABLE = (b"utf-8", b"utf8", b"us-ascii", b"ascii")
_WIDE_STARTS = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE, b"<\0", b"\0<")
_WIDE_DOCTYPE = "<!DOCTYP".encode("utf-16-le")
_SHEET_PART = re.compile(r"xl/worksheets/[^/]+\.xml")
_LINKED_SHEETS = (b"<table:table-source", b"'file:")
"""How an ods sheet names other files: a table that mirrors one, or a formula that reaches into it."""


@dataclass(frozen=True, slots=True)
class Contents:
    """An archive found harmless."""

    packed: zipfile.ZipFile
    kind: str
    """XLSX (xlsm as well), XLSB or ODS."""
    links: tuple[str, ...] = ()
    """Other files that its cells take values from, without their folders."""
    data: bytes = field(default=b"", repr=False)
    """The bytes of the archive; where strokes in the names of its parts leaned back, with upright ones."""


class _Lies(Exception):
    """A part expands to more than the archive's list of parts says."""


def column_number(letters: str) -> int:
    """The number of a column: 1 for A, 27 for AA."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + ord(letter) - 64
    return number


def column_letters(number: int) -> str:
    """A column's letters: A for 1, AA for 27."""
    letters = ""
    while number > 0:
        number, rest = divmod(number - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def open_archive(data: bytes, file: str, limits: Limits = DEFAULT_LIMITS) -> Contents:
    """The workbook's archive, every part but its sheets expanded once and found harmless.

    Raises Unusable: file-broken, file-kind, file-protected, file-too-large, file-suspect.
    """
    try:
        packed = zipfile.ZipFile(io.BytesIO(data))
        if any("\\" in part.filename for part in packed.infolist()):
            data = _with_strokes(packed, data)
            packed = zipfile.ZipFile(io.BytesIO(data))
        kind = _refuse_by_directory(packed, data, file, limits)
        links = {link for part in _parts_read(packed) for link in _look_over(packed, part, kind, file)}
    except _Lies as why:
        raise suspect(file, f"has a part, {why}, that expands to more than it says") from why
    except _FAULTS as why:
        raise Unusable(broken(file)) from why
    except RuntimeError as why:  # how zipfile says that a part asks for a password
        raise Unusable(_protected(file)) from why
    return Contents(packed, kind, tuple(sorted(links)), data)


UNREAD = (
    "customXml/", "docProps/", "docMetadata/", "__MACOSX/", "xl/media/", "xl/embeddings/",
    "xl/theme/", "xl/printerSettings/", "xl/connections.xml", "xl/queryTables/", "xl/model/",
    "xl/activeX/", "xl/ctrlProps/", "xl/customProperty/", "xl/webextensions/",
    "Pictures/", "Thumbnails/", "Configurations2/",
)  # fmt: skip
"""Folders and parts that are never read: data connections, in UTF-16 by habit, pictures, settings."""


def _parts_read(packed: zipfile.ZipFile) -> list[zipfile.ZipInfo]:
    """The parts that are read, or may be: a sheet is one wherever it stands."""
    named = [part for part in packed.infolist() if part.filename.startswith(UNREAD)]
    if not named:
        return packed.infolist()
    sheets = set(sheet_parts(packed).values())
    unread = {part.filename for part in named if part.filename not in sheets}
    return [part for part in packed.infolist() if part.filename not in unread]


def _with_strokes(packed: zipfile.ZipFile, data: bytes) -> bytes:
    """The same archive with upright strokes in the names of its parts, as every name of a part has them."""
    changed = bytearray(data)
    at = packed.start_dir
    for part in packed.infolist():
        for header, size_at, fixed in ((part.header_offset, 26, _LOCAL_HEADER), (at, 28, _LISTED)):
            size = int.from_bytes(data[header + size_at : header + size_at + 2], "little")
            name = slice(header + fixed, header + fixed + size)
            changed[name] = data[name].replace(b"\\", b"/")
        sizes = (int.from_bytes(data[at + n : at + n + 2], "little") for n in (28, 30, 32))
        at += _LISTED + sum(sizes)
    if len(changed) != len(data):
        raise zipfile.BadZipFile("its list of parts cannot be followed")
    return bytes(changed)


def expanded(packed: zipfile.ZipFile, part: zipfile.ZipInfo) -> Iterator[bytes]:
    """What a part really expands to, a piece at a time. Raises zlib.error, BadZipFile or ValueError.

    zipfile itself stops where the list of parts says that a part ends; other readers go on.
    """
    size, crc = 0, 0
    for piece in _pieces(packed, part):
        size, crc = size + len(piece), zlib.crc32(piece, crc)
        if size > part.file_size:
            raise _Lies(part.filename)
        yield piece
    if size < part.file_size or crc != part.CRC:
        raise zipfile.BadZipFile(f"{part.filename} is cut short or changed")


def _pieces(packed: zipfile.ZipFile, part: zipfile.ZipInfo) -> Iterator[bytes]:
    file = packed.fp
    assert file is not None
    file.seek(part.header_offset)
    header = file.read(_LOCAL_HEADER)
    if len(header) < _LOCAL_HEADER or not header.startswith(b"PK\x03\x04"):
        raise zipfile.BadZipFile(f"{part.filename} is not where the list says")
    at = (
        part.header_offset
        + _LOCAL_HEADER
        + sum(int.from_bytes(header[n : n + 2], "little") for n in (26, 28))
    )
    end = at + part.compress_size
    inflate = zlib.decompressobj(-zlib.MAX_WBITS) if part.compress_type == zipfile.ZIP_DEFLATED else None
    while at < end and not (inflate and inflate.eof):
        file.seek(at)
        packed_piece = file.read(min(CHUNK, end - at))
        if not packed_piece:
            return
        at += len(packed_piece)
        if inflate is None:
            yield packed_piece
            continue
        while packed_piece:
            yield inflate.decompress(packed_piece, CHUNK)
            packed_piece = inflate.unconsumed_tail


def chunks(packed: zipfile.ZipFile, part: str, file: str) -> Iterator[bytes]:
    """The bytes of an XML part, cut before a tag so that no tag and its neighbours are torn apart.

    Raises Unusable as ``open_archive`` does.
    """
    rest = b""
    try:
        for more in expanded(packed, packed.getinfo(part)):
            refuse_doctype(more, file)
            whole = rest + more if rest else more
            cut = len(whole)
            for _ in range(TAGS_KEPT):
                cut = whole.rfind(b"<", 0, max(cut, 0))
            if cut > 0:
                yield whole[:cut]
            elif len(whole) > LONGEST_TEXT:
                raise suspect(file, f"has a text of more than {LONGEST_TEXT // MEGABYTE} MB in one cell")
            rest = whole[max(cut, 0) :]
    except _Lies as why:
        raise suspect(file, f"has a part, {why}, that expands to more than it says") from why
    except _FAULTS as why:
        raise Unusable(broken(file)) from why
    yield rest


def sheet_parts(packed: zipfile.ZipFile) -> dict[str, str]:
    """The part of the archive that holds each sheet, by the sheet's name; empty where it cannot be told.

    A sheet whose part is named in two ways, or whose name stands twice, has the part "".
    """
    main = main_part(packed)
    try:
        book = Xml.fromstring(packed.read(main))
    except (KeyError, Xml.ParseError, ValueError, LookupError):
        return {}
    targets: dict[str, str] = {}
    for link in links_of(packed, main):
        targets[link.ident] = "" if link.ident in targets else link.part
    parts: dict[str, str] = {}
    for sheet in book.iter():
        if _local(sheet.tag) == "sheet":
            ident = next((value for key, value in sheet.items() if _local(key) == "id"), "")
            name, part = sheet.get("name", ""), targets.get(ident, "")
            parts[name] = "" if name in parts else part
    return parts


def unlisted_sheets(packed: zipfile.ZipFile, file: str) -> list[Problem]:
    """A notice for each sheet that lies in the archive and that the workbook does not list."""
    listed = set(sheet_parts(packed).values())
    if "" in listed:
        return []  # which part is whose cannot be told
    lost = [name for name in packed.namelist() if _SHEET_PART.fullmatch(name) and name not in listed]
    says = f"{file} holds a sheet that it does not list, so nothing of it is read."
    return [problem("sheet-unlisted", Place(file, "", name), says) for name in lost]


def broken(file: str) -> Problem:
    """The problem of a file that is damaged."""
    return problem("file-broken", Place(file), f"{file} is damaged or cut short.")


def suspect(file: str, holds: str) -> Unusable:
    """The refusal of a workbook that holds what no workbook has need of."""
    return Unusable(problem("file-suspect", Place(file), f"{file} {holds}."))


def refuse_doctype(piece: bytes, file: str) -> None:
    """Raises Unusable (file-suspect) for a document type declaration, in UTF-16 as well."""
    if b"<!DOCTYPE" in piece or (b"\0" in piece and _WIDE_DOCTYPE in piece):
        raise suspect(file, "holds a document type declaration")


def _local(name: str) -> str:
    return name.rsplit("}", 1)[-1]


def _protected(file: str) -> Problem:
    return problem("file-protected", Place(file), f"{file} asks for a password to open.")


def _refuse_by_directory(packed: zipfile.ZipFile, data: bytes, file: str, limits: Limits) -> str:
    """Refuses what the archive's own list of parts already gives away; the kind of the workbook otherwise."""
    parts = packed.infolist()
    if any(part.flag_bits & 1 for part in parts) or _is_encrypted_ods(packed):
        raise Unusable(_protected(file))
    folded = (part.filename.casefold() for part in parts)
    kinds = [KINDS[name] for name in folded if name in KINDS]
    if not kinds and main_part(packed).endswith(".xml"):
        kinds = [XLSX]
    if not kinds or (kinds[0] == ODS and _mime(packed) not in (b"", SHEET_MIME)):
        what = kind_of_archive((part.filename for part in parts), _mime(packed))
        says = (
            f"{file} is {what}, not a workbook."
            if what
            else f"{file} is an archive, but there is no workbook in it."
        )
        raise Unusable(problem("file-kind", Place(file), says, do=SAVE if what else ""))
    names = {part.filename.replace("\\", "/").casefold() for part in parts}
    if len(kinds) > 1 or len(names) < len(parts):
        raise suspect(file, "holds two parts of one name")
    if _is_odd(packed, data):
        raise suspect(file, "is packed in a way that no spreadsheet program packs a workbook")
    total = sum(part.file_size for part in parts)
    if total > limits.expanded:
        says = f"{file} expands to {total // MEGABYTE} MB; the limit is {limits.expanded_mb} MB."
        do = "Remove what does not belong in it (pictures, formatted blank rows, old sheets), or raise " \
            "expanded_mb under [limits] in the settings."  # fmt: skip
        raise Unusable(problem("file-too-large", Place(file), says, do=do))
    return kinds[0]


def _is_odd(packed: zipfile.ZipFile, data: bytes) -> bool:
    """Whether two readers might see different parts: parts that overlap, a second list, a rare packing."""
    parts = sorted(packed.infolist(), key=lambda part: part.header_offset)
    ends = [part.header_offset + _LOCAL_HEADER + part.compress_size for part in parts]
    starts = [part.header_offset for part in parts[1:]] + [packed.start_dir]
    overlap = any(end > start for end, start in zip(ends, starts, strict=True))
    rare = any(part.compress_type not in _METHODS for part in parts)
    return overlap or rare or _END in packed.comment or not data.startswith(b"PK\x03\x04")


def _is_encrypted_ods(packed: zipfile.ZipFile) -> bool:
    """Whether the manifest of an ods workbook says that parts of it are encrypted."""
    if MANIFEST not in packed.namelist():
        return False
    return b"encryption-data" in next(expanded(packed, packed.getinfo(MANIFEST)), b"")


def _mime(packed: zipfile.ZipFile) -> bytes:
    if "mimetype" not in packed.namelist():
        return b""
    return next(expanded(packed, packed.getinfo("mimetype")), b"").strip()


def _look_over(packed: zipfile.ZipFile, part: zipfile.ZipInfo, kind: str, file: str) -> set[str]:
    """Expands a part (a sheet of an xlsx only begins here; its scan goes on later); the files it links to."""
    later = kind == XLSX and "worksheets/" in part.filename
    links: set[str] = set()
    is_xml, rest = False, b""
    for number, piece in enumerate(expanded(packed, part)):
        if number == 0:
            is_xml = part.filename.endswith((".xml", ".rels", ".vml")) or _begins_as_xml(piece)
            if is_xml and part.filename != "mimetype":
                _refuse_encoding(piece, part.filename, file)
        if is_xml:
            refuse_doctype(rest + piece, file)
            rest = piece[-len(_WIDE_DOCTYPE) :]
            if part.filename == "content.xml" and any(mark in piece for mark in _LINKED_SHEETS):
                links.add("")
        if later:
            break
    if "externalLinks/" in part.filename and not part.filename.endswith(".rels"):
        links.add(_linked_file(packed, part.filename))
    return links


def _begins_as_xml(piece: bytes) -> bool:
    start = piece[:64].removeprefix(codecs.BOM_UTF8)
    return start.lstrip()[:1] == b"<" or start[:2] in (
        codecs.BOM_UTF16_LE,
        codecs.BOM_UTF16_BE,
        b"<\0",
        b"\0<",
    )


def _refuse_encoding(start: bytes, part: str, file: str) -> None:
    """Refuses a part that is not in UTF-8: the fast reader takes some such sheets for blank ones."""
    refuse_doctype(start, file)
    declared = _ENCODING.search(start[:400])
    if b"\0" in start[:400] or (declared is not None and declared[1].lower() not in _READABLE):
        raise suspect(file, f"has a part, {part}, that is not in UTF-8")


def _linked_file(packed: zipfile.ZipFile, part: str) -> str:
    """The name of the file that a link leads to, without its folders; "" where it does not say."""
    path = PurePosixPath(part)
    rels = str(path.parent / "_rels" / f"{path.name}.rels")
    if rels not in packed.namelist():
        return ""
    found = re.search(
        rb"\sTarget\s*=\s*[\"']([^\"']*)", b"".join(expanded(packed, packed.getinfo(rels)))[:CHUNK]
    )
    return re.split(r"[\\/]", unquote(found[1].decode("utf-8", "replace")))[-1] if found else ""
