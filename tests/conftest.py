"""What all tests share: helpers on the path, a cache folder, no deadlines, and a list of the codes raised."""

import os
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent / "helpers"), str(Path(__file__).parent)]
os.environ["RECONCILE_CACHE"] = tempfile.mkdtemp(prefix="reconcile-tests-")

from hypothesis import settings  # noqa: E402

# A time limit for an example tells how busy the machine is, not whether a law holds.
settings.register_profile("no deadlines", deadline=None)
settings.load_profile("no deadlines")

from codes_raised import pytest_sessionfinish, pytest_terminal_summary, pytest_testnodedown  # noqa: E402, F401
