"""What all tests share: helpers on the path, a temporary cache folder, and a list of the codes they raise."""

import os
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parent / "helpers"), str(Path(__file__).parent)]
os.environ["RECONCILE_CACHE"] = tempfile.mkdtemp(prefix="reconcile-tests-")

from codes_raised import pytest_sessionfinish, pytest_terminal_summary, pytest_testnodedown  # noqa: E402, F401
