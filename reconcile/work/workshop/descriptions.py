"""Read a description: what a fastener's words come to."""

from reconcile.sheets.fasteners.descriptions import read_description
from reconcile.sheets.figures.text import is_blank
from reconcile.values.problem import COMMAND_LINE, Place, Unusable, problem
from reconcile.values.stock.descriptions import DescriptionRead


def describe(text: str) -> DescriptionRead:
    """What is read of it, and what is not. Raises Unusable (call-unusable) where it is blank."""
    if is_blank(text):
        says = "The description is blank."
        raise Unusable(problem("call-unusable", Place(COMMAND_LINE, "", "the description"), says))
    return read_description(text)
