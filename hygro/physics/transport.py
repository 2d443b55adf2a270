"""How the transport of liquid water changes with temperature."""

from __future__ import annotations

from hygro.constants import REFERENCE_TEMPERATURE
from hygro.physics.typing import FloatOrArray

VISCOSITY_SCALE = 247.8
"""[K]; source in `viscosity_ratio`."""

VISCOSITY_OFFSET = 140.0
"""[K]; source in `viscosity_ratio`."""


def viscosity_ratio(temperature: FloatOrArray) -> FloatOrArray:
    """Ratio of the viscosity of water at 20 degC to that at a temperature: how liquid conductivity changes.

    Parameters
    ----------
    temperature : float or array
        Temperature [K], above 140.

    Returns
    -------
    float or array
        [1]; 1 at 293.15 K.

    Notes
    -----
    From the relation mu = 2.414e-5 * 10^(247.8 / (T - 140)) Pa s, widely printed in fluid-mechanics
    handbooks (from memory, unconfirmed; within 2.5 % of the tabulated viscosity of water between 0 and 100
    degC).
    """
    exponent = VISCOSITY_SCALE / (REFERENCE_TEMPERATURE - VISCOSITY_OFFSET) - VISCOSITY_SCALE / (
        temperature - VISCOSITY_OFFSET
    )
    return 10.0**exponent
