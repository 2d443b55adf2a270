"""Design climates of rooms by ASHRAE 160: simplified, and from moisture production and ventilation."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.physics.typing import FloatArray, FloatOrArray

HEATED: Final = 21.1
"""Room temperature as long as it is cold outdoors [degC]; ASHRAE 160, from memory, unconfirmed."""

RISE: Final = 2.8
"""How much warmer than outdoors a room is that is neither heated nor cooled [K]; same source."""

FACTOR: Final = 1.36e5
"""Vapour pressure per density of vapour [Pa m3/kg], the c of its intermediate method; same source. It is
R_v T at 21.5 degC."""


def design_temperature(outdoor: FloatArray) -> FloatArray:
    """Temperature of a room that is heated and not cooled.

    Parameters
    ----------
    outdoor : array
        Mean of 24 hours [degC].

    Returns
    -------
    array
        [degC].

    References
    ----------
    ASHRAE 160, from memory, unconfirmed: 21.1 degC up to 18.3 degC outdoors, 2.8 K above it beyond.
    """
    return np.maximum(HEATED, outdoor + RISE)


def simplified_humidity(outdoor: FloatArray) -> FloatArray:
    """Relative humidity of a room from the temperature outdoors.

    Parameters
    ----------
    outdoor : array
        Mean of 24 hours [degC].

    Returns
    -------
    array
        [1].

    References
    ----------
    ASHRAE 160, simplified method, from memory, unconfirmed: 40 % up to -10 degC, 1 % more a kelvin, 70 % from
    20 degC on; the same line as EN 15026 Annex C for high occupancy.
    """
    return np.interp(outdoor, [-10.0, 20.0], [0.40, 0.70])


def intermediate_pressure(outdoor: FloatArray, source: FloatOrArray, exchange: FloatOrArray) -> FloatArray:
    """Vapour pressure of a room from moisture production and air exchange.

    Parameters
    ----------
    outdoor : array
        Vapour pressure outdoors, mean of 24 hours [Pa].
    source : float or array
        Moisture production [kg/s].
    exchange : float or array
        Air exchange [m3/s].

    Returns
    -------
    array
        [Pa].

    References
    ----------
    ASHRAE 160, intermediate method, from memory, unconfirmed: p_i = p_o + c m / Q.
    """
    return outdoor + FACTOR * source / exchange
