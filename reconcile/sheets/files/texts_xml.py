"""The texts that the cells of an xlsx workbook share: counted, measured, and held to what they can be.

A cell names a text by its number, so one that is lost or doubled gives all cells below another text
(ECMA-376 part 1, 18.4.8 and 18.4.9).
"""

import re
import zipfile
from dataclasses import dataclass
from xml.parsers import expat

from reconcile.sheets.files.archive import chunks
from reconcile.values.problem import Place, Problem, Unusable, problem

SHARED_STRINGS = "xl/sharedStrings.xml"
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
        return [problem("texts-miscounted", Place(file, "", SHARED_STRINGS), says)]


def shared_texts(packed: zipfile.ZipFile, file: str) -> SharedTexts:
    """Looks over the shared texts. Raises Unusable: sheet-broken, and as ``chunks`` does."""
    if SHARED_STRINGS not in packed.namelist():
        return SharedTexts()
    return _as_text(packed, file) or _followed(packed, file)


def shared_lengths(packed: zipfile.ZipFile, file: str) -> list[int]:
    """Bytes of each shared text, its tags counted in."""
    if SHARED_STRINGS not in packed.namelist():
        return []
    lengths, rest = [], 0
    for chunk in chunks(packed, SHARED_STRINGS, file):
        first, *more = chunk.split(b"</si>")
        lengths.append(rest + len(first))
        lengths += map(len, more)
        rest = lengths.pop()
    return [*lengths, rest]


def _as_text(packed: zipfile.ZipFile, file: str) -> SharedTexts | None:
    """The texts where they are written as nearly every program writes them; None where they are not."""
    rest, stated, begun = b"", None, False
    longest = count = 0
    for piece in chunks(packed, SHARED_STRINGS, file):
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
        if len(rest) > LONGEST_TEXT:
            return None
    return SharedTexts(longest, count, stated) if rest.strip() == _END else None


def _followed(packed: zipfile.ZipFile, file: str) -> SharedTexts:
    """The same, element by element."""
    follower = _Follower()
    parser = expat.ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler = follower.start, follower.end
    parser.CharacterDataHandler = follower.text
    parser.StartCdataSectionHandler = follower.refuse
    parser.CommentHandler = lambda _: follower.refuse()
    parser.ProcessingInstructionHandler = lambda *_: follower.refuse()
    try:
        for piece in chunks(packed, SHARED_STRINGS, file):
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except expat.ExpatError as why:
        says = (
            f"The texts that cells share are no whole XML: {expat.ErrorString(why.code)} (line {why.lineno})."
        )
        raise Unusable(problem("sheet-broken", Place(file, "", SHARED_STRINGS), says)) from why
    if follower.says:
        place = Place(file, "", SHARED_STRINGS)
        raise Unusable(problem("sheet-broken", place, f"The texts that cells share {follower.says}."))
    return SharedTexts(max(shared_lengths(packed, file), default=0), follower.count, follower.stated)


class _Follower:
    """Follows the elements of the shared texts; ``says`` is the first that cannot be."""

    def __init__(self) -> None:
        self.says, self.count = "", 0
        self.stated: int | None = None
        self._path: list[str] = []

    def start(self, tag: str, said: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        above = self._path[-1] if self._path else ""
        self._path.append(name)
        if name == "sst" and (stated := said.get("uniqueCount", "")).isdecimal():
            self.stated = int(stated[:9])
        if name == "si":
            self.count += 1
            self._tell(above == "sst", "stand one inside the other")
        elif name == "t":
            self._tell(
                above in ("si", "r", "rPh"), f"hold one, number {self.count - 1}, in no place of its own"
            )

    def end(self, _tag: str) -> None:
        self._path.pop()

    def text(self, text: str) -> None:
        self._tell(self._path[-1] == "t" or not text.strip(), "hold words outside any of them")

    def refuse(self) -> None:
        """What is no plain text inside a text, which the fast reader passes over."""
        self._tell("si" not in self._path, f"hold in number {self.count - 1} what is no plain text")

    def _tell(self, sound: bool, says: str) -> None:
        if not sound and not self.says:
            self.says = says
