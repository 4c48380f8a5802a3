"""The words of descriptions: kinds, finishes, threads, units; and words that are nearly one of them."""

import re
from functools import lru_cache

from reconcile.sheets.fasteners.spellings import BOLT_WORDS, CODE_WORDS, HEAD_NOUNS, HEAD_WORDS

KIND_WORDS = {
    **dict.fromkeys(("nut", "nuts", "locknut", "locknuts"), "nut"),
    **dict.fromkeys(("washer", "washers", "wshr", "wshrs"), "washer"),
    **dict.fromkeys(("spacer", "spacers", "standoff", "standoffs", "spcr"), "spacer"),
}
FINISH_WORDS = frozenset(
    (
        *(
            "ss",
            "stainless",
            "steel",
            "alloy",
            "zp",
            "bzp",
            "zinc",
            "zn",
            "plated",
            "plate",
            "clear",
            "yellow",
        ),
        *(
            "blk",
            "black",
            "ox",
            "oxide",
            "galv",
            "galvanised",
            "galvanized",
            "hdg",
            "phosphate",
            "phosphated",
        ),
        *("plain", "passivated", "nickel", "ni", "chrome", "finish", "yz"),
    )
)
EVERYDAY_HEADS = frozenset({"pan", "round", "oval", "shoulder", "truss", "low", "flat", "cheese"})
"""Words that name a head only beside another word of one: a seat pan and a shoulder strap do not."""
FULL_WORDS = frozenset({"ft", "fthd"})
FULLY_BEFORE = frozenset({"full", "fully"})
THREAD_WORDS = frozenset({"thread", "threads", "threaded", "thd", "thrd"})
LONG_WORDS = frozenset({"long", "lg", "length", "lgth"})
NOT_A_LENGTH = frozenset({"af", "dia", "od", "id", "thk", "thick", "wide", "key", "drive", "tpi", "pitch"})
_QUIET_WORDS = frozenset(
    (
        *("en", "bs", "din", "iso", "asme", "ansi", "machine", "mach", "drive", "with", "and", "rh", "type"),
        *("phillips", "cross", "recess", "recessed", "slotted", "slot", "coarse", "fine"),
    )
)
KNOWN_WORDS = frozenset(
    (
        *HEAD_WORDS,
        *HEAD_NOUNS,
        *BOLT_WORDS,
        *CODE_WORDS,
        *KIND_WORDS,
        *FINISH_WORDS,
        *FULL_WORDS,
        *FULLY_BEFORE,
        *THREAD_WORDS,
        *LONG_WORDS,
        *_QUIET_WORDS,
    )
)
NAMES_OF_BOLTS = BOLT_WORDS | CODE_WORDS
QUIET = KNOWN_WORDS - frozenset(HEAD_WORDS) - frozenset(KIND_WORDS)
"""Words that are known and say nothing of a kind or a head: they are not remarked on when left over."""

UNIT_WORDS = frozenset({"mm", "cm", "in", "ins", "inch", "inches"})
GRADE_WORDS = frozenset({"grade", "gr", "sae", "class", "cl", "property", "astm"})
SERIES_WORDS = {"unc": "UNC", "nc": "UNC", "unrc": "UNC", "unf": "UNF", "nf": "UNF", "unrf": "UNF"}
COUNT_WORDS = frozenset(
    (
        "each",
        "ea",
        "pc",
        "pcs",
        "piece",
        "pieces",
        "off",
        "pk",
        "pack",
        "pkt",
        "box",
        "bag",
        "per",
        "dozen",
        "qty",
    )
)
"""After one of these numbers, the number counts bolts and measures none."""

# Words that change which bolt is meant. A word one slip of the hand away from one is worth a notice.
_TELLING = frozenset(
    (*HEAD_WORDS, *HEAD_NOUNS, "washer", *CODE_WORDS, *FULL_WORDS, *FULLY_BEFORE, *THREAD_WORDS, *GRADE_WORDS)
)
_ALONE_TELLING = (
    GRADE_WORDS | UNIT_WORDS | FULLY_BEFORE | THREAD_WORDS | LONG_WORDS | HEAD_NOUNS | {"x", "by"}
)
"""Words that should stand beside a figure or another word; left over, they have lost it."""
_EVERYDAY = frozenset(
    (
        *("cup", "pin", "can", "and", "not", "cut", "but", "lot", "per", "for", "get", "let", "wet", "of"),
        *("to", "it", "if", "is", "or", "no", "on", "float", "ground", "point", "gap", "tap", "cat", "nut"),
    )
)
"""Words of their own that merely look like one of the telling ones."""
_LIKE_STEEL = re.compile(r"a[a-z]?")
"""What a slip makes of ``A2``, a grade of stainless steel."""
_LETTERS = frozenset("ft")
"""What is left of FT; other single letters are revisions, bins and the like."""


def is_slip(word: str, other: str) -> bool:
    """Whether one letter more, less, changed or swapped with its neighbour makes ``other`` of ``word``.

    >>> is_slip("flagne", "flange"), is_slip("hexx", "hex"), is_slip("cap", "button")
    (True, True, False)
    """
    if word == other or abs(len(word) - len(other)) > 1:
        return False
    start = next((n for n, (a, b) in enumerate(zip(word, other, strict=False)) if a != b), None)
    if start is None:
        return True  # the one is the other with a letter behind it
    mine, theirs = word[start:], other[start:]
    swapped = mine[:2] == theirs[1::-1] and len(mine) > 1 and mine[2:] == theirs[2:]
    return swapped or mine[1:] == theirs[1:] or mine[1:] == theirs or mine == theirs[1:]


def is_like_unit(word: str) -> bool:
    """Whether the word is a unit of length, a slip away from one, or one with a word run into it."""
    if word in UNIT_WORDS or word.startswith(("mm", "cm", "inch")) or word.endswith(tuple(LONG_WORDS)):
        return True
    return any(is_slip(word, unit) for unit in UNIT_WORDS)


@lru_cache(maxsize=4096)
def is_telling(word: str) -> bool:
    """Whether an unread word may be a word by which the bolt would be another one."""
    if word in _ALONE_TELLING:
        return True
    if _LIKE_STEEL.fullmatch(word):
        return True
    if not word or word in _EVERYDAY or word in _TELLING or len(word) == 1:
        return word in _LETTERS
    return word[0] == "x" or any(is_slip(word, text) or _is_run_into(word, text) for text in _TELLING)


@lru_cache(maxsize=4096)
def is_parted(first: str, second: str) -> bool:
    """Whether two unread words are a telling word in two pieces: ``fl ange``, ``l w``."""
    word = first + second
    return word in _TELLING or any(is_slip(word, text) for text in _TELLING)


def _is_run_into(word: str, telling: str) -> bool:
    """Whether a telling word is run together with another: ``lowhead``, ``socketcset``."""
    if word.startswith(telling):
        rest = (word[len(telling) :], word[len(telling) + 1 :])
    elif word.endswith(telling):
        rest = (word[: -len(telling)], word[: -len(telling) - 1])
    else:
        return False
    return len(telling) > 3 or not (KNOWN_WORDS | UNIT_WORDS).isdisjoint(rest)
