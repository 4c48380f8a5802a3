"""Lets every test import the builders beside this file; pytest itself adds each test's own folder."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
