"""Saturation pressure, suction and humidity, vapour permeability of air.

All functions take scalars or arrays and hold no branch, so the solver compiles the same source.
"""

from __future__ import annotations

import numpy as np

from hygro.constants import (
    GAS_CONSTANT_VAPOUR,
    REFERENCE_TEMPERATURE,
    WATER_DENSITY,
    ZERO_CELSIUS,
)
from hygro.physics.typing import FloatOrArray


def saturation_pressure(temperature: FloatOrArray) -> FloatOrArray:
    """Saturation vapour pressure over water (at or above 0 degC) or ice (below).

    Parameters
    ----------
    temperature : float or array
        Temperature [K].

    Returns
    -------
    float or array
        Saturation vapour pressure [Pa].

    References
    ----------
    EN ISO 13788:2012, Annex E.
    """
    celsius = temperature - ZERO_CELSIUS
    ice = celsius < 0.0
    factor = 17.269 + 4.606 * ice
    offset = 237.3 + 28.2 * ice
    return 610.5 * np.exp(factor * celsius / (offset + celsius))


def relative_humidity(suction: FloatOrArray, temperature: FloatOrArray) -> FloatOrArray:
    """Relative humidity over pore water under suction (Kelvin relation).

    Parameters
    ----------
    suction : float or array
        Suction [Pa].
    temperature : float or array
        Temperature [K].

    Returns
    -------
    float or array
        Relative humidity [1].

    References
    ----------
    EN 15026:2007; ASHRAE Handbook Fundamentals 2021, ch. 25 eq. 23.
    """
    return np.exp(-suction / (WATER_DENSITY * GAS_CONSTANT_VAPOUR * temperature))


def suction(humidity: FloatOrArray, temperature: FloatOrArray) -> FloatOrArray:
    """Suction of pore water in equilibrium with a relative humidity; inverse of `relative_humidity`.

    Parameters
    ----------
    humidity : float or array
        Relative humidity [1], above 0 and at most 1.
    temperature : float or array
        Temperature [K].

    Returns
    -------
    float or array
        Suction [Pa].
    """
    return -WATER_DENSITY * GAS_CONSTANT_VAPOUR * temperature * np.log(humidity)


def air_permeability(temperature: FloatOrArray, scale: float, exponent: float) -> FloatOrArray:
    """Vapour permeability of still air as a power law of temperature.

    Parameters
    ----------
    temperature : float or array
        Temperature [K].
    scale : float
        Permeability at 293.15 K [kg/(m s Pa)].
    exponent : float
        Exponent of the temperature ratio [1].

    Returns
    -------
    float or array
        [kg/(m s Pa)].
    """
    return scale * (temperature / REFERENCE_TEMPERATURE) ** exponent


PERMEABILITY_STANDARD = (2.0e-7 * REFERENCE_TEMPERATURE**0.81 / 101325.0, 0.81)
"""Scale and exponent of `air_permeability`: 2.0e-7 T^0.81 / p; DIN 52615, EN 15026 pre-draft of 2003."""

PERMEABILITY_CONSTANT_DIFFUSIVITY = (26.1e-6 / (GAS_CONSTANT_VAPOUR * REFERENCE_TEMPERATURE), -1.0)
"""Scale and exponent for a vapour diffusivity of 26.1e-6 m2/s throughout; EN 15026:2007 Annex A."""
