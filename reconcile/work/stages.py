"""How a long piece of work says what it does now."""

from collections.abc import Callable

Stage = Callable[[str], None]
"""Names what the run does from now on."""

READING, PLANNING, WRITING = "Reading the sheets", "Planning the week", "Writing the workbooks"
SURVEYING = "Working out shelf levels"


def unwatched(_stage: str) -> None:
    """The stage for whom nobody watches."""
