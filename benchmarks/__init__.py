"""Measurements of accuracy against time, run with `python -m benchmarks`."""

import sys
from pathlib import Path

# The equations written a second time serve the tests and the solvers that hygro is measured against.
sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "witness"))
