"""A material in the simulated laboratory: the tests that made its numbers, redone with the solver.

What the tests show agrees with what the file states only if curves, tables, grid and solver carry the file's
meaning all the way, so the laboratory checks the chain and, for materials of one's own, the file.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from hygro.errors import MaterialError
from hygro.materials import Material
from hygro.results.laboratory_bench import LabResult
from hygro.results.laboratory_heat import conductivity
from hygro.results.laboratory_liquid import drying, uptake
from hygro.results.laboratory_vapour import cups, sorption

__all__ = ["TESTS", "LabResult", "laboratory"]

TESTS: Final[dict[str, Callable[[Material], list[LabResult]]]] = {
    "uptake": uptake,
    "cups": cups,
    "drying": drying,
    "sorption": sorption,
    "conductivity": conductivity,
}
"""By name: ISO 15148, ISO 12572, drying from capillary saturation, ISO 12571, steady heat flow."""


def laboratory(material: Material, tests: tuple[str, ...] = tuple(TESTS)) -> list[LabResult]:
    """Put a material through simulated laboratory tests.

    Parameters
    ----------
    material : Material
        From the library, a file or Python.
    tests : tuple of str
        Which of `TESTS`; all where omitted.

    Returns
    -------
    list of LabResult
        One per number read from a test.

    Raises
    ------
    MaterialError
        If a test is unknown or a curve cannot be tabulated.
    SolverError
        If a test cannot be marched to its end.
    """
    for name in tests:
        if name not in TESTS:
            raise MaterialError("there is no such test", found=name, expected="one of " + ", ".join(TESTS))
    return [result for name in tests for result in TESTS[name](material)]
