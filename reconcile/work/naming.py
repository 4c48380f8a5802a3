"""Names as people type them: found whatever their case; for any other the nearest are offered."""

from collections.abc import Collection

from reconcile.sheets.finding import call_fault
from reconcile.values.problem import Unusable
from reconcile.values.words import called, nearest


def part_called(number: str, known: Collection[str], option: str) -> str:
    """The part that is meant. Raises Unusable (call-unusable), with the nearest."""
    found = called(number, known)
    if found is None:
        like = nearest(number, known)
        says = f"There is no part {number!r}." + (f" Nearest: {', '.join(like)}." if like else "")
        raise Unusable(call_fault(option, says))
    return found
