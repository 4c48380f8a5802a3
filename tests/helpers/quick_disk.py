"""A folder in memory, where the system has one: what waits for the disk there need not wait.

For tests of many small runs. What is lost in a power cut is tried elsewhere, and not by a disk.
"""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

MEMORY = Path("/dev/shm")


@contextmanager
def quick_folder() -> Iterator[Path]:
    where = MEMORY if MEMORY.is_dir() and os.access(MEMORY, os.W_OK) else None
    with tempfile.TemporaryDirectory(dir=where, prefix="reconcile-test-") as made:
        yield Path(made)
