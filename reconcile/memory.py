"""Choices of kits kept from one run to the next, in the user's own cache folder.

The weekly run works out which jobs get a kit; a technician who asks the same day asks about the same choice.
An answer is found again only by a digest of the whole question, so a changed sheet is a new question. Losing
the folder loses time alone: whatever cannot be read or written is left, and the choice is worked out anew.
"""

import json
import os
from contextlib import suppress
from pathlib import Path

from reconcile.plan.solver.packing import Packed

MOST_KEPT = 50


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
        try:
            kept = json.loads(self._place(question).read_bytes())
            taken = {int(mark): tuple(map(tuple, served)) for mark, served in kept["taken"].items()}
            return Packed(taken, frozenset(kept["by_hand"]))
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            return None

    def keep(self, question: str, answer: Packed) -> None:
        told = json.dumps({"taken": answer.taken, "by_hand": sorted(answer.by_hand)})
        with suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True)
            aside = self.folder / f"kits-{question}.{os.getpid()}"
            try:
                aside.write_text(told, encoding="ascii")
                aside.replace(self._place(question))
            finally:
                aside.unlink(missing_ok=True)
            self._forget_the_oldest()

    def _place(self, question: str) -> Path:
        return self.folder / f"kits-{question}.json"

    def _forget_the_oldest(self) -> None:
        """The latest stay; what a killed run left aside grows old with the others."""
        kept = sorted(self.folder.glob("kits-*"), key=lambda each: each.stat().st_mtime, reverse=True)
        for each in kept[MOST_KEPT:]:
            each.unlink(missing_ok=True)
