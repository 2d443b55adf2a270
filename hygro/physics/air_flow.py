"""Air that leaks through a wall: stack pressure, leakage, what the air carries."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.constants import GAS_CONSTANT_VAPOUR, GRAVITY, SECONDS_PER_HOUR, STANDARD_PRESSURE
from hygro.physics.surfaces import AIR_DENSITY, AIR_HEAT_CAPACITY
from hygro.physics.typing import FloatArray, FloatOrArray

GAS_CONSTANT_AIR: Final = 287.05
"""Specific gas constant of dry air [J/(kg K)]; ISO 2533, from memory."""

TEST_PRESSURE: Final = 50.0
"""Pressure difference at which air permeability is stated [Pa]; EN ISO 9972."""


def air_density(temperature: FloatOrArray) -> FloatOrArray:
    """Density of dry air at standard pressure, by the ideal gas law.

    Parameters
    ----------
    temperature : float or array
        [K].

    Returns
    -------
    float or array
        [kg/m3].
    """
    return STANDARD_PRESSURE / (GAS_CONSTANT_AIR * temperature)


def stack_pressure(height: float, outdoors: FloatOrArray, room: FloatOrArray) -> FloatOrArray:
    """Excess pressure of the room at its top, the neutral plane in mid-height.

    Parameters
    ----------
    height : float
        Of the column of warm air [m].
    outdoors, room : float or array
        Air temperatures [K].

    Returns
    -------
    float or array
        height / 2 * g * (rho_outdoors - rho_room), negative where the room is colder [Pa].
    """
    return 0.5 * height * GRAVITY * (air_density(outdoors) - air_density(room))


def leakage(permeability: float, exponent: float, pressure: FloatOrArray) -> FloatOrArray:
    """Air that leaks outwards per wall area: the power law of EN ISO 9972.

    Parameters
    ----------
    permeability : float
        Flow at 50 Pa [m3/(h m2)].
    exponent : float
        0.5 (a hole) to 1 (fine cracks) [1].
    pressure : float or array
        Excess pressure of the room [Pa].

    Returns
    -------
    float or array
        Zero where the pressure is not above 0 [m3/(m2 s)].
    """
    return permeability / SECONDS_PER_HOUR * (np.maximum(pressure, 0.0) / TEST_PRESSURE) ** exponent


def air_conductances(flow: FloatArray, temperature: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return what a flow of air can carry.

    Parameters
    ----------
    flow : array
        [m3/(m2 s)] at `temperature`.
    temperature : array
        [K].

    Returns
    -------
    heat, vapour : array
        rho c V [W/(m2 K)] (rho at 20 degC) and V / (R_v T) [kg/(m2 s Pa)].
    """
    return AIR_DENSITY * AIR_HEAT_CAPACITY * flow, flow / (GAS_CONSTANT_VAPOUR * temperature)
