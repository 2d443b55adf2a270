"""Air that comes in through leaks, driven by wind and by warm air that rises."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.constants import SECONDS_PER_HOUR
from hygro.physics.surfaces import AIR_DENSITY
from hygro.physics.typing import FloatArray, FloatOrArray

TEST_PRESSURE: Final = 50.0
"""Pressure at which a house is blown up for the test of its leakage [Pa]; ISO 9972."""

LEAKAGE_PRESSURE: Final = 4.0
"""Pressure for which the effective leakage area is stated [Pa]; Sherman and Grimsrud 1980."""

EXPONENT: Final = 0.65
"""Exponent of flow over pressure of leaks [1]; typical value, ASHRAE Handbook Fundamentals, from memory."""

STACK: Final = {1: 1.45e-4, 2: 2.90e-4, 3: 4.35e-4}
"""Stack coefficient by storeys [(l/s)2/(cm4 K)]; basic model of the ASHRAE Handbook Fundamentals after
Sherman and Grimsrud 1980, from memory, unconfirmed."""

WIND: Final = {
    1: (3.19e-4, 2.46e-4, 1.74e-4, 1.04e-4, 0.32e-4),
    2: (4.20e-4, 3.25e-4, 2.31e-4, 1.37e-4, 0.42e-4),
    3: (4.94e-4, 3.82e-4, 2.71e-4, 1.61e-4, 0.49e-4),
}
"""Wind coefficient by storeys, for shelter classes 1 (open) to 5 (very heavy shelter) [(l/s)2/(cm4 (m/s)2)];
same source, from memory, unconfirmed."""


def leakage_area(air_changes: float, volume: float) -> float:
    """Effective leakage area of a house from its air changes at 50 Pa.

    Parameters
    ----------
    air_changes : float
        n50 [1/h].
    volume : float
        [m3].

    Returns
    -------
    float
        Area of a hole without contraction that lets as much through at 4 Pa [m2].

    References
    ----------
    Sherman and Grimsrud 1980; ISO 9972 for n50.
    """
    at_test = air_changes * volume / SECONDS_PER_HOUR
    at_four = at_test * (LEAKAGE_PRESSURE / TEST_PRESSURE) ** EXPONENT
    return float(at_four * np.sqrt(AIR_DENSITY / (2.0 * LEAKAGE_PRESSURE)))


def leakage_flow(
    area: float,
    temperature_difference: FloatOrArray,
    wind_speed: FloatOrArray,
    *,
    storeys: int,
    shelter: int,
) -> FloatOrArray:
    """Air exchange through leaks.

    Parameters
    ----------
    area : float
        Effective leakage area [m2].
    temperature_difference : float or array
        Indoors less outdoors [K]; its sign does not matter.
    wind_speed : float or array
        At a weather station, 10 m above open land [m/s].
    storeys : int
        1 to 3.
    shelter : int
        1 (no obstructions) to 5 (very heavy shelter).

    Returns
    -------
    float or array
        [m3/s].

    References
    ----------
    Sherman and Grimsrud 1980, as the basic model of the ASHRAE Handbook Fundamentals:
    A (C_s dT + C_w v2)^0.5, [l/s] with A in cm2.
    """
    stack, wind = STACK[storeys], WIND[storeys][shelter - 1]
    litres = 1e4 * area * np.sqrt(stack * np.abs(temperature_difference) + wind * wind_speed**2)
    return 1e-3 * litres


def combined_flow(balanced: FloatArray, extract: FloatArray, leakage: FloatArray) -> FloatArray:
    """Air exchange of openings, a fan that only extracts, and leaks together.

    Parameters
    ----------
    balanced : array
        Flow that leaves the pressure of the room as it is: windows, vents, supply and extract together
        [m3/s].
    extract : array
        Flow of fans that suck air out and leave it to leaks to let some in [m3/s].
    leakage : array
        Flow through leaks when no fan runs [m3/s].

    Returns
    -------
    array
        [m3/s].

    References
    ----------
    Superposition in quadrature, ASHRAE Handbook Fundamentals (after Sherman 1992), from memory, unconfirmed.
    """
    return balanced + np.hypot(extract, leakage)
