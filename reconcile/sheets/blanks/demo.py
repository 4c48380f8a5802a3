"""The demo workshop's input files, wherever the package keeps them."""

from pathlib import Path


def demo_folder() -> Path:
    """Inside the installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parents[2]
    packed = package / "data_demo"
    return packed if packed.is_dir() else package.parent / "data_demo"
