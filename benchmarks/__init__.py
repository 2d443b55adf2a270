"""Measurements of accuracy against time, run with `python -m benchmarks`."""

import sys
from pathlib import Path

# The equations written a second time serve the tests and the solvers that hygro is measured against.
TESTS = Path(__file__).parents[1] / "tests"
sys.path[:0] = [str(TESTS), str(TESTS / "witness")]
