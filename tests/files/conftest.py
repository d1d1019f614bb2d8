"""The table of broken files lies beside the tests that go through it."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
