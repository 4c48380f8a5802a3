"""What all tests share: their own helpers on the path, and no cache folder but a temporary one."""

import os
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
os.environ["RECONCILE_CACHE"] = tempfile.mkdtemp(prefix="reconcile-tests-")
