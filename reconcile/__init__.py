"""Reconcile a wheelchair workshop's planned frame adjustments with its stock of parts and fasteners."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reconcile.interface import PlannedWeek, Unusable, WeekInputs, demo_folder, read_week

__version__ = "0.1.0"
__all__ = ["PlannedWeek", "Unusable", "WeekInputs", "__version__", "demo_folder", "read_week"]


def __getattr__(name: str) -> object:
    """The interface, loaded when it is first asked for: every command imports the package, few need this."""
    if name not in __all__:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module("reconcile.interface"), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
