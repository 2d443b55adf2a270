"""Scalar building blocks of the balance equations, compiled by the solver from this same source."""

from __future__ import annotations

from hygro.physics.typing import FloatOrArray

VISCOSITY_SCALE = 247.8
VISCOSITY_OFFSET = 140.0
REFERENCE = 293.15
LN10 = 2.302585092994046


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
    From the relation mu = 2.414e-5 * 10^(247.8 / (T - 140)) Pa s, widely printed in fluid-mechanics handbooks (from memory,
    unconfirmed; within 2.5 % of the tabulated viscosity of water between 0 and 100 degC).
    """
    exponent = VISCOSITY_SCALE / (REFERENCE - VISCOSITY_OFFSET) - VISCOSITY_SCALE / (
        temperature - VISCOSITY_OFFSET
    )
    return 10.0**exponent


def viscosity_ratio_slope(temperature: FloatOrArray, ratio: FloatOrArray) -> FloatOrArray:
    """Derivative of `viscosity_ratio` from its value at the same temperature [1/K]."""
    return ratio * LN10 * VISCOSITY_SCALE / (temperature - VISCOSITY_OFFSET) ** 2


def film_resistance(s_d: FloatOrArray, permeability: FloatOrArray) -> FloatOrArray:
    """Vapour resistance of a thin layer.

    Parameters
    ----------
    s_d : float or array
        Diffusion-equivalent air layer thickness [m].
    permeability : float or array
        Vapour permeability of still air [kg/(m s Pa)].

    Returns
    -------
    float or array
        [m2 s Pa/kg].

    References
    ----------
    ISO 12572.
    """
    return s_d / permeability
