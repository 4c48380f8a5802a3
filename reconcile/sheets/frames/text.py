"""A frame as the text of its file: TOML in the order of the description of keys."""

import json
from collections.abc import Iterator, Mapping

from reconcile.sheets.figures.toml import TomlTable

TABLES = ("adjustment", "joint", "cover", "sized", "disturbed", "after")
"""Lists of tables that get headers of their own; every other table is written in one line."""


def frame_text(raw: TomlTable, remarks: tuple[str, ...] = ()) -> str:
    """The file's text, each remark a line of comment at its head.

    >>> print(frame_text({"code": "AB-1", "adjustment": [{"name": "seat width", "sides": 2}]}))
    code = "AB-1"
    <BLANKLINE>
    [[adjustment]]
    name  = "seat width"
    sides = 2
    <BLANKLINE>
    """
    lines = [*(f"# {remark}" for remark in remarks), *_table_lines(raw, "")]
    return "\n".join([*lines, ""])


def _table_lines(raw: TomlTable, path: str) -> Iterator[str]:
    plain = {key: value for key, value in raw.items() if key not in TABLES}
    width = max(map(len, plain), default=0)
    for key, value in plain.items():
        yield f"{key:<{width}} = {value_text(value)}"
    for key in TABLES:
        for table in raw.get(key, ()):
            below = f"{path}.{key}" if path else key
            yield ""
            yield f"[[{below}]]"
            yield from _table_lines(table, below)


def value_text(value: object) -> str:
    """A value in one line. JSON's way with quotes and with control characters is TOML's way too."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {value_text(entry)}" for key, entry in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(value_text, value)) + "]"
    return json.dumps(value, ensure_ascii=False)
