"""Choices of kits kept from one run to the next, in the user's own cache folder.

The weekly run works out which jobs get a kit; a technician who asks the same day asks about the same choice.
An answer is found again only by a digest of the whole question, so a changed sheet is a new question. It is
believed only if its own digest holds; whoever asked for it sees whether it can be an answer at all. Losing
the folder loses time alone: whatever cannot be read or written is left, and the choice is worked out anew.
"""

import json
import os
import stat
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Any

from reconcile.plan.solver.packing import Packed
from reconcile.sheets.files.plain import read_plain

MOST_KEPT = 50
MOST_BYTES = 64_000_000
"""Of an entry: a choice among a million jobs takes less."""


def cache_folder() -> Path:
    """RECONCILE_CACHE if set, else where the platform keeps what may be lost."""
    if own := os.environ.get("RECONCILE_CACHE"):
        return Path(own)
    base = os.environ.get("XDG_CACHE_HOME") or os.environ.get("LOCALAPPDATA")
    try:
        return (Path(base) if base else Path.home() / ".cache") / "frame-refit-reconcile"
    except RuntimeError:  # a user without a home: nothing is there, and nothing can be kept
        return Path(os.devnull)


class KeptChoices:
    """A memory on disk: a small JSON file for each question, ``kits-`` and the digest of the question.

    The folder may be anyone's, so nothing in it is touched that has not such a name.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or cache_folder()

    def recall(self, question: str) -> Packed | None:
        """What was kept; None where nothing was, or where what lies there is not what was kept."""
        try:
            kept = json.loads(read_plain(self._place(question), MOST_BYTES))
            if kept["digest"] != _digest(question, kept["answer"]):
                raise ValueError(question)
            return _packed(kept["answer"])
        except FileNotFoundError:
            return None
        except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
            self.forget(question)
            return None

    def keep(self, question: str, answer: Packed) -> None:
        # As JSON reads it again, or the digest would be of keys in another order: of whole numbers 9 is
        # before 10, of texts after.
        taken = {str(mark): served for mark, served in answer.taken.items()}
        told = {"taken": taken, "by_hand": sorted(answer.by_hand)}
        whole = json.dumps({"digest": _digest(question, told), "answer": told})
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            aside = self.folder / f"kits-{question}.{os.getpid()}"
            try:
                aside.write_text(whole, encoding="ascii")
                aside.replace(self._place(question))
            finally:
                aside.unlink(missing_ok=True)
            self._forget_the_oldest()

    def forget(self, question: str) -> None:
        """Takes an entry away that is no answer; anything but a plain file stays."""
        with suppress(OSError):
            if stat.S_ISREG(self._place(question).lstat().st_mode):
                self._place(question).unlink()

    def _place(self, question: str) -> Path:
        return self.folder / f"kits-{question}.json"

    def _forget_the_oldest(self) -> None:
        """The latest stay; what a killed run left aside grows old with the others."""
        kept = sorted(
            (each.lstat().st_mtime, each)
            for each in self.folder.glob("kits-*")
            if stat.S_ISREG(each.lstat().st_mode)
        )
        for _, each in kept[:-MOST_KEPT]:
            each.unlink(missing_ok=True)


class ChoicesAtHand(KeptChoices):
    """The same, with what this very process asked before at hand: nothing is read for it again."""

    def __init__(self, folder: Path | None = None) -> None:
        super().__init__(folder)
        self._known: dict[str, Packed] = {}

    def recall(self, question: str) -> Packed | None:
        known = self._known.get(question)
        if known is None and (known := super().recall(question)) is not None:
            self._note(question, known)
        return known

    def keep(self, question: str, answer: Packed) -> None:
        self._note(question, answer)
        super().keep(question, answer)

    def forget(self, question: str) -> None:
        self._known.pop(question, None)
        super().forget(question)

    def _note(self, question: str, answer: Packed) -> None:
        if len(self._known) >= MOST_KEPT:
            self._known.clear()
        self._known[question] = answer


def _digest(question: str, answer: object) -> str:
    """Of an answer to a question, so that one whose digits were changed is known."""
    told = json.dumps([question, answer], sort_keys=True, separators=(",", ":"))
    return sha256(told.encode()).hexdigest()


def _packed(told: dict[str, Any]) -> Packed:
    """Raises ValueError, KeyError, TypeError or AttributeError for what is no answer."""
    taken = {
        int(mark): tuple(tuple(map(_whole, units)) for units in served)
        for mark, served in told["taken"].items()
    }
    return Packed(taken, frozenset(map(_whole, told["by_hand"])))


def _whole(number: object) -> int:
    if type(number) is not int:
        raise ValueError(number)
    return number
