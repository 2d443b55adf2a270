"""Get ready once for many runs: read the climate, compile the solver, before any worker starts."""

from __future__ import annotations

import logging

import numpy as np

from hygro.case.case import Case
from hygro.case.variants import Variant

_log = logging.getLogger(__name__)


def warm_up(case: Case, variant: Variant) -> None:
    """March the first hour of a variant, so that the compiled solver lies in its cache on disk.

    Workers that started together on an empty cache would each compile it. What is wrong with the climate or a
    curve shows here, once, instead of in every variant.

    Parameters
    ----------
    case : Case
        The case.
    variant : Variant
        One of its variants.

    Raises
    ------
    HygroError
        The climate or a material is not usable.
    """
    from hygro.grid.cells import build_grid
    from hygro.model.build import build_wall
    from hygro.scores.mould import mould_index
    from hygro.solve.binding import is_compiled
    from hygro.solve.march import march
    from hygro.solve.settings import Span

    model = build_wall(case, variant)
    if not is_compiled():
        _log.info("compiling the solver for this machine, once; about 10 s")
    march(model, build_grid(model, case.spec.grid.scale), Span((0, 1), len(model.external.temperature)))
    mould_index(np.full((2, 1), 20.0), np.full((2, 1), 80.0), ["sensitive"], ["strong"])
