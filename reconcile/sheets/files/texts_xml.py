"""The texts that the cells of an xlsx workbook share: counted, measured, and held to what they can be.

A cell names a text by its number, so one that is lost or doubled gives all cells below another text
(ECMA-376 part 1, 18.4.8 and 18.4.9).
"""

import re
import zipfile
from dataclasses import dataclass
from xml.parsers import expat

from reconcile.sheets.files.archive import chunks
from reconcile.sheets.files.package import TEXTS, part_of_kind
from reconcile.values.problem import Place, Problem, Unusable, problem
from reconcile.values.settings import DEFAULT_LIMITS, Limits

TEXTS_KIND = "sharedStrings"
LONGEST_TEXT = 16 << 20
"""Bytes between two texts from which on the part is followed element by element."""

_TEXT = rb'<t(?: xml:space="preserve")?+>[^<]*+</t>'
_PLAIN = re.compile(rb"\s*+<si>(?:" + _TEXT + rb"|<t/>)</si>")
_SHARED = re.compile(
    rb"\s*+<si>(?:"
    + _TEXT
    + rb"|<t/>|(?:<r>(?:<rPr>(?:<[\w:]+[^<>]*+/>)*+</rPr>|<rPr/>)?+"
    + _TEXT
    + rb"</r>)++)</si>"
)
_HEAD = re.compile(rb"<sst\b([^<>]*+)(?<!/)>")
_STATED = re.compile(rb'\suniqueCount="(\d{1,9})"')
_END = b"</sst>"


@dataclass(frozen=True, slots=True)
class SharedTexts:
    """The shared texts of a workbook: bytes of the longest, its tags counted in; how many there are."""

    longest: int = 0
    count: int = 0
    stated: int | None = None
    """How many there are by the workbook's own word, where it says so."""

    def miscounted(self, file: str) -> list[Problem]:
        """The notice that there is another number of texts than the workbook says."""
        if self.stated in (None, self.count):
            return []
        says = f"{file} says that it holds {self.stated} texts, and it holds {self.count}."
        return [problem("texts-miscounted", Place(file, "", TEXTS), says)]


def shared_texts(packed: zipfile.ZipFile, file: str, limits: Limits = DEFAULT_LIMITS) -> SharedTexts:
    """Looks over the shared texts. Raises Unusable: sheet-broken, file-too-large, and as ``chunks`` does."""
    part = part_of_kind(packed, TEXTS_KIND)
    if not part:
        return SharedTexts()
    return _as_text(packed, part, file, limits.cells) or _followed(packed, part, file, limits.cells // 4)


def _too_many(file: str, most: int) -> Unusable:
    says = f"{file} holds more than {most} texts."
    return Unusable(problem("file-too-large", Place(file, "", TEXTS), says))


def shared_lengths(packed: zipfile.ZipFile, file: str) -> list[int]:
    """Bytes of each shared text, its tags counted in."""
    part = part_of_kind(packed, TEXTS_KIND)
    if not part:
        return []
    lengths, rest = [], 0
    for chunk in chunks(packed, part, file):
        first, *more = chunk.split(b"</si>")
        lengths.append(rest + len(first))
        lengths += map(len, more)
        rest = lengths.pop()
    return [*lengths, rest]


def _as_text(packed: zipfile.ZipFile, part: str, file: str, most: int) -> SharedTexts | None:
    """The texts where they are written as nearly every program writes them; None where they are not."""
    rest, stated, begun = b"", None, False
    longest = count = 0
    for piece in chunks(packed, part, file):
        rest += piece
        if not begun:
            head = _HEAD.search(rest)
            if head is None:
                return None
            begun, said = True, _STATED.search(head[1])
            stated = int(said[1]) if said else None
            rest = rest[head.end() :]
        at = 0
        while (found := _PLAIN.match(rest, at) or _SHARED.match(rest, at)) is not None:
            longest, count = max(longest, found.end() - at), count + 1
            at = found.end()
        rest = rest[at:]
        if count > most:
            raise _too_many(file, most)
        if len(rest) > LONGEST_TEXT:
            return None
    return SharedTexts(longest, count, stated) if rest.strip() == _END else None


def _followed(packed: zipfile.ZipFile, part: str, file: str, most: int) -> SharedTexts:
    """The same, element by element."""
    follower = _Follower(most)
    parser = expat.ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler = follower.start, follower.end
    parser.CharacterDataHandler = follower.text
    parser.StartCdataSectionHandler = follower.refuse
    parser.CommentHandler = lambda _: follower.refuse()
    parser.ProcessingInstructionHandler = lambda *_: follower.refuse()
    place = Place(file, "", part)
    try:
        for piece in chunks(packed, part, file):
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except expat.ExpatError as why:
        says = f"is no whole XML: {expat.ErrorString(why.code)} (line {why.lineno})"
        raise Unusable(
            problem("sheet-broken", place, f"The part of the texts that cells share {says}.")
        ) from why
    except _Broken as why:
        raise Unusable(problem("sheet-broken", place, f"The texts that cells share {why}.")) from why
    except _TooMany:
        raise _too_many(file, most) from None
    return SharedTexts(max(shared_lengths(packed, file), default=0), follower.count, follower.stated)


class _Broken(Exception):
    """What is wrong with the texts."""


class _TooMany(Exception):
    """There are more texts than are followed."""


class _Follower:
    """Follows the elements of the shared texts; raises _Broken at the first that cannot be."""

    def __init__(self, most: int) -> None:
        self.count = 0
        self.stated: int | None = None
        self._most = most
        self._path: list[str] = []

    def start(self, tag: str, said: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        above = self._path[-1] if self._path else ""
        self._path.append(name)
        if name == "sst" and (stated := said.get("uniqueCount", "")).isdecimal():
            self.stated = int(stated[:9])
        if name == "si":
            self.count += 1
            if above != "sst":
                raise _Broken("stand one inside the other")
            if self.count > self._most:
                raise _TooMany
        elif name == "t" and above not in ("si", "r", "rPh"):
            raise _Broken(f"hold one, number {self.count - 1}, in no place of its own")

    def end(self, _tag: str) -> None:
        self._path.pop()

    def text(self, text: str) -> None:
        if self._path[-1] != "t" and text.strip():
            raise _Broken("hold words outside any of them")

    def refuse(self) -> None:
        """What is no plain text inside a text, which the fast reader passes over."""
        if "si" in self._path:
            raise _Broken(f"hold in number {self.count - 1} what is no plain text")
