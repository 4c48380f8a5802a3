"""Custom properties of a workbook: read, and set among those that are there (ECMA-376 part 1, 22.3).

They lie in a part of their own that the package names by a relationship (part 2, 9.3); spreadsheet programs
show them as the file's properties and write them again when they save.
"""

import re
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING
from zipfile import BadZipFile, ZipFile, ZipInfo
from zlib import error as zlib_error

from reconcile.sheets.files.archive import refuse_doctype
from reconcile.sheets.files.package import links_of, main_part, part_of
from reconcile.sheets.files.plain import refuse_other
from reconcile.values.problem import Unusable

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

RELATIONS, TYPES = "_rels/.rels", "[Content_Types].xml"
PART = "docProps/custom.xml"
KIND = "application/vnd.openxmlformats-officedocument.custom-properties+xml"
RELATION = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/custom-properties"
SPACE = "http://schemas.openxmlformats.org/officeDocument/2006/custom-properties"
STRICT = "http://purl.oclc.org/ooxml/officeDocument/customProperties"
VALUES = "http://schemas.openxmlformats.org/officeDocument/2006/docPropsVTypes"
STRICT_VALUES = "http://purl.oclc.org/ooxml/officeDocument/docPropsVTypes"
FORMAT = "{D5CDD505-2E9C-101B-9397-08002B2CF9AE}"
"""Of every user-defined property (22.3.2.2)."""
MOST = 1 << 20
"""Bytes of a part that is read here."""
FAULTS = (OSError, ValueError, KeyError, SyntaxError, BadZipFile, zlib_error, RuntimeError, Unusable)


def property_in(path: Path, name: str) -> str:
    """The text of a custom property of an xlsx or xlsm file; "" where it has none, or cannot be read.

    Whoever reads the workbook itself says what is wrong with it.
    """
    try:
        refuse_other(path)
        with ZipFile(path) as packed:
            return property_of(packed, name)
    except FAULTS:
        return ""


def property_of(packed: ZipFile, name: str) -> str:
    """The text of a custom property; "" where there is none. Raises as the archive does."""
    part = custom_part(packed)
    if not part:
        return ""
    found = (each for each in _parsed(packed, part) if each.get("name") == name)
    return next(("".join(each.itertext()).strip() for each in found), "")


def with_property(packed: ZipFile, name: str, text: str) -> dict[str, bytes]:
    """The parts that change, or are new, where a custom property is set; the others stay as they are."""
    part = custom_part(packed)
    if part:
        return {part: _set(packed.read(part), name, text)}
    made = f"<?xml version='1.0' encoding='UTF-8'?>\n<Properties xmlns='{SPACE}' xmlns:vt='{VALUES}'/>"
    free = _free_part(packed)
    return {
        free: _set(made.encode(), name, text),
        part_of(packed, TYPES): _with_type(packed.read(part_of(packed, TYPES)), free),
        part_of(packed, RELATIONS): _with_relation(packed.read(part_of(packed, RELATIONS)), free),
    }


def custom_part(packed: ZipFile) -> str:
    """The part that holds the custom properties; "" where there is none."""
    kinds = ("custom-properties", "customProperties")
    return next((part_of(packed, link.part) for link in links_of(packed, "") if link.kind in kinds), "")


def _parsed(packed: ZipFile, part: str) -> Iterator["Element"]:
    from xml.etree import ElementTree as Xml

    info: ZipInfo = packed.getinfo(part)
    if info.file_size > MOST:
        raise ValueError(part)
    data = packed.read(info)
    refuse_doctype(data, part)
    return iter(Xml.fromstring(data))


def _free_part(packed: ZipFile) -> str:
    taken = {name.casefold() for name in packed.namelist()}
    names = (PART if number == 1 else f"docProps/custom{number}.xml" for number in range(1, 1000))
    return next(name for name in names if name.casefold() not in taken)


def _set(xml: bytes, name: str, text: str) -> bytes:
    from lxml import etree

    root = etree.fromstring(xml, etree.XMLParser(resolve_entities=False, no_network=True))
    space = etree.QName(root).namespace
    values = STRICT_VALUES if space == STRICT else VALUES
    for old in [each for each in root if each.get("name") == name]:
        root.remove(old)
    numbers = [int(each.get("pid")) for each in root if (each.get("pid") or "").isdigit()]
    pid = str(max([1, *numbers]) + 1)
    made = etree.SubElement(root, f"{{{space}}}property", fmtid=FORMAT, pid=pid, name=name)
    etree.SubElement(made, f"{{{values}}}lpwstr", nsmap={"vt": values}).text = text
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    return written


def _with_type(xml: bytes, part: str) -> bytes:
    return _before_end(xml, b"Types", {"PartName": f"/{part}", "ContentType": KIND}, b"Override")


def _with_relation(xml: bytes, part: str) -> bytes:
    taken = set(re.findall(rb'\sId\s*=\s*["\']([^"\']*)', xml))
    ident = next(name for number in range(1, 10_000) if (name := f"rIdMark{number}").encode() not in taken)
    given = {"Id": ident, "Type": RELATION, "Target": part}
    return _before_end(xml, b"Relationships", given, b"Relationship")


def _before_end(xml: bytes, root: bytes, given: Mapping[str, str], tag: bytes) -> bytes:
    """One more element at the end of the root; every other byte as it was."""
    said = b" ".join(f'{name}="{value}"'.encode() for name, value in given.items())
    close = re.search(rb"</((?:\w+:)?)%s\s*>\s*$" % root, xml)
    if close is not None:
        return xml[: close.start()] + b"<%s%s %s/>" % (close[1], tag, said) + xml[close.start() :]
    empty = re.search(rb"<((?:\w+:)?)%s\b([^<>]*?)/>\s*$" % root, xml)
    if empty is None:
        raise ValueError(root)
    opened = b"<%s%s%s><%s%s %s/></%s%s>" % (
        empty[1], root, empty[2], empty[1], tag, said, empty[1], root,
    )  # fmt: skip
    return xml[: empty.start()] + opened


# --- a part that is left out ------------------------------------------------------------------------------


def without_chain(packed: ZipFile, new: dict[str, bytes]) -> frozenset[str]:
    """Leaves the kept order of calculation out, where formulas were added or moved: it may be left out at all
    times, and is made anew (ECMA-376 part 1, 12.3.1). ``new`` gets the parts that named it.
    """
    main = main_part(packed)
    chains = frozenset(link.part for link in links_of(packed, main) if link.kind == "calcChain")
    path = PurePosixPath(main)
    links = part_of(packed, str(path.parent / "_rels" / f"{path.name}.rels"))
    if chains and links:
        new[links] = _without(
            new.get(links) or packed.read(links), "Type", lambda said: said.endswith("/calcChain")
        )
    types = part_of(packed, TYPES)
    if chains and types:
        folded = {f"/{each}".casefold() for each in chains}
        new[types] = _without(
            new.get(types) or packed.read(types), "PartName", lambda said: said.casefold() in folded
        )
    return chains


def _without(xml: bytes, attribute: str, unwanted: Callable[[str], bool]) -> bytes:
    from lxml import etree

    root = etree.fromstring(xml, etree.XMLParser(resolve_entities=False, no_network=True))
    for each in [each for each in root if unwanted(each.get(attribute) or "")]:
        root.remove(each)
    written: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    return written
