"""Air that leaks through a wall or stands in it: stack pressure, leakage, still air layers."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.constants import GAS_CONSTANT_VAPOUR, SECONDS_PER_HOUR, STANDARD_PRESSURE
from hygro.physics.surfaces import AIR_DENSITY, AIR_HEAT_CAPACITY
from hygro.physics.typing import FloatArray, FloatOrArray

GAS_CONSTANT_AIR: Final = 287.05
"""Specific gas constant of dry air [J/(kg K)]; ISO 2533."""

GRAVITY: Final = 9.80665
"""Standard gravity [m/s2]; CGPM 1901."""

TEST_PRESSURE: Final = 50.0
"""Pressure difference at which air permeability is stated [Pa]; EN ISO 9972."""

AIR_LAYER_THICKNESS: Final = (0.0, 5.0, 7.0, 10.0, 15.0, 25.0)
"""Thicknesses of `AIR_LAYER_RESISTANCE` [mm]."""

AIR_LAYER_RESISTANCE: Final = (0.0, 0.11, 0.13, 0.15, 0.17, 0.18)
"""Thermal resistance of unventilated air layers between surfaces of high emissivity, horizontal heat flow
[m2 K/W]; ISO 6946:2017 table of air layers. It stays 0.18 up to 300 mm."""


def air_layer_resistance(thickness: float) -> float:
    """Thermal resistance of a still air layer, horizontal heat flow.

    Parameters
    ----------
    thickness : float
        [m], above 0.

    Returns
    -------
    float
        Linear between the rows of ISO 6946 [m2 K/W].
    """
    return float(np.interp(1000.0 * thickness, AIR_LAYER_THICKNESS, AIR_LAYER_RESISTANCE))


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
