"""Initial state of a layer: suction from a relative humidity or from a water content."""

from __future__ import annotations

import numpy as np

from hygro.errors import MaterialError
from hygro.materials.tables import LOG_SUCTION, CurveTable
from hygro.model.boundary import LOWEST_SUCTION
from hygro.physics import moist_air


def suction_from_humidity(relative_humidity: float, temperature: float) -> float:
    """Suction of pore water in equilibrium with a relative humidity.

    Parameters
    ----------
    relative_humidity : float
        Above 0, at most 1 [1].
    temperature : float
        [K].

    Returns
    -------
    float
        [Pa], at least `LOWEST_SUCTION`: at 100 % the pores are full to free saturation and no more.
    """
    return max(float(moist_air.suction(np.float64(relative_humidity), temperature)), LOWEST_SUCTION)


def suction_from_water_content(table: CurveTable, water_content: float) -> float:
    """Suction at which a material holds a water content.

    Parameters
    ----------
    table : CurveTable
        The material's curves.
    water_content : float
        [kg/m3].

    Returns
    -------
    float
        [Pa], the lowest of those that fit where the curve is flat.

    Raises
    ------
    MaterialError
        The material cannot hold so much, or holds more at the driest end of its table.
    """
    rising = table.water_content[::-1]
    if not rising[0] <= water_content <= rising[-1]:
        raise MaterialError(
            f"{table.material!r} cannot start with this water content",
            found=water_content,
            expected=f"{rising[0]:.3g} to {rising[-1]:.4g} kg/m3",
        )
    log_suction = LOG_SUCTION[::-1]
    above = min(int(np.searchsorted(rising, water_content, side="right")), len(rising) - 1)
    below = above - 1
    step = rising[above] - rising[below]
    share = (water_content - rising[below]) / step if step > 0.0 else 1.0
    return float(10.0 ** (log_suction[below] + share * (log_suction[above] - log_suction[below])))
