"""How a long piece of work says what it does now."""

from collections.abc import Callable

Stage = Callable[[str], None]
"""Names what the run does from now on."""
