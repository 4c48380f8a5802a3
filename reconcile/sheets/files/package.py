"""The parts of a zipped workbook by what they are, not by what they are usually called.

A package names its main part by a relationship, and that part names all others (ECMA-376 part 2, 9.3). Names
of parts are compared without regard to case (part 2, 9.1.1.1).
"""

import io
import posixpath
from dataclasses import dataclass
from functools import partial
from pathlib import PurePosixPath
from xml.etree import ElementTree as Xml
from zipfile import ZIP_STORED, ZipFile

MAIN_PART, STYLES, TEXTS = "xl/workbook.xml", "xl/styles.xml", "xl/sharedStrings.xml"
"""Where the fast reader looks."""
USUAL = {"officeDocument": MAIN_PART, "styles": STYLES, "sharedStrings": TEXTS}
MOST = 4 << 20
"""Bytes of a part that names others."""
XML_FAULTS = (KeyError, Xml.ParseError, ValueError, LookupError)


@dataclass(frozen=True, slots=True)
class PartLink:
    """What a part says of another."""

    ident: str
    kind: str
    """The last word of its type: ``worksheet``."""
    part: str
    """As the archive spells it; as the link does where the archive has no such part."""


def part_of(packed: ZipFile, name: str) -> str:
    """A part as the archive spells its name; "" where there is none."""
    if name in packed.NameToInfo:
        return name
    folded = name.casefold()
    return next((each for each in packed.namelist() if each.casefold() == folded), "")


def main_part(packed: ZipFile) -> str:
    """The part of the workbook itself, of an xlsx or xlsm; "" where the package names none."""
    found = next((link.part for link in links_of(packed, "") if link.kind == "officeDocument"), "")
    return part_of(packed, found) if found else part_of(packed, MAIN_PART)


def part_of_kind(packed: ZipFile, kind: str) -> str:
    """The part of styles or shared texts, a key of USUAL; "" where there is none."""
    found = next((link.part for link in links_of(packed, main_part(packed)) if link.kind == kind), "")
    return part_of(packed, found or USUAL[kind])


def links_of(packed: ZipFile, part: str) -> list[PartLink]:
    """What a part, or "" for the package itself, says of others inside; nothing where it cannot be read."""
    path = PurePosixPath(part)
    listed = part_of(packed, str(path.parent / "_rels" / f"{path.name}.rels") if part else "_rels/.rels")
    if not listed or packed.getinfo(listed).file_size > MOST:
        return []
    try:
        found = [each for each in Xml.fromstring(packed.read(listed)) if each.get("TargetMode") != "External"]
    except XML_FAULTS:
        return []
    resolve = partial(_resolved, packed, path.parent)
    return [
        PartLink(each.get("Id", ""), each.get("Type", "").rpartition("/")[2], resolve(each.get("Target", "")))
        for each in found
    ]


def _resolved(packed: ZipFile, folder: PurePosixPath, target: str) -> str:
    if not target:
        return ""
    whole = posixpath.normpath(posixpath.join("/", str(folder), target)).lstrip("/")
    return part_of(packed, whole) or whole


def as_usual(packed: ZipFile) -> bytes | None:
    """The package with main part, styles and shared texts where the fast reader looks; None if they are.

    Only the readers see it: what is kept, compared and changed is the file as it is.
    """
    main = main_part(packed)
    named = {"officeDocument": main} | {link.kind: link.part for link in links_of(packed, main)}
    moved = {
        part: USUAL[kind]
        for kind, part in named.items()
        if kind in USUAL and part_of(packed, part) and part.casefold() != USUAL[kind].casefold()
    }
    if not moved:
        return None
    out = io.BytesIO()
    with ZipFile(out, "w", ZIP_STORED) as new:
        for name in packed.namelist():
            if name not in moved and name.casefold() not in _taken(moved, main):
                new.writestr(name, packed.read(name))
        for name, usual in moved.items():
            new.writestr(usual, packed.read(name))
        new.writestr("xl/_rels/workbook.xml.rels", _links_xml(packed, main, moved))
    return out.getvalue()


def _taken(moved: dict[str, str], main: str) -> set[str]:
    """Names, folded, that the copy writes anew, or that would stand in their way."""
    path = PurePosixPath(main)
    own = str(path.parent / "_rels" / f"{path.name}.rels")
    return {each.casefold() for each in (*moved.values(), own, "xl/_rels/workbook.xml.rels")}


def _links_xml(packed: ZipFile, main: str, moved: dict[str, str]) -> str:
    from xml.sax.saxutils import quoteattr

    office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    links = "".join(
        f"<Relationship Id={quoteattr(link.ident)} Type={quoteattr(f'{office}/{link.kind}')}"
        f" Target={quoteattr('/' + moved.get(link.part, link.part))}/>"
        for link in links_of(packed, main)
    )
    space = "http://schemas.openxmlformats.org/package/2006/relationships"
    return f'<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="{space}">{links}</Relationships>'
