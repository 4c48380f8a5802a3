"""The settings file that beginning comes to, and how it differs from one that is there."""

import difflib
import json
from collections.abc import Iterator, Mapping

from reconcile.values.beginning import SettledSheets

HEAD = """\
# Settings for the sheets that lie in this folder, as `reconcile begin` found them. Change what is wrong.
# Every key that there is, with its meaning, is in the file that `reconcile blank` writes.
"""


def settings_text(settled: SettledSheets) -> str:
    """The file's text. Plain keys come first: in TOML what follows a table's header belongs to the table."""
    lines = [HEAD]
    lines += [f"{key} = {_quoted(value)}" for key, value in settled.plain.items()]
    lines += _table("sheets", {key: _quoted(value) for key, value in settled.sheets.items()})
    words = {key: f"[{', '.join(map(_quoted, own))}]" for key, own in settled.headings.items()}
    lines += _table("headings", words)
    return "\n".join(lines).rstrip() + "\n"


def _table(name: str, entries: Mapping[str, str]) -> Iterator[str]:
    if entries:
        yield from ("", f"[{name}]")
        yield from (f"{_key(key)} = {value}" for key, value in entries.items())


def _key(key: str) -> str:
    return key if key.replace("_", "").isalnum() and key.isascii() else _quoted(key)


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def difference(there: str, new: str) -> tuple[str, ...]:
    """The lines that differ, as a list of changes has them: - of the file that is there, + of the new one."""
    lines = difflib.unified_diff(there.splitlines(), new.splitlines(), "there", "found", "", "", 0, "")
    return tuple(line for line in lines if not line.startswith(("---", "+++", "@@")))
