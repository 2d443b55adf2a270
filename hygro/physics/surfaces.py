"""Exchange at a surface: convection, long-wave radiation, vapour, and the equivalent temperature."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.constants import GAS_CONSTANT_VAPOUR, STEFAN_BOLTZMANN, ZERO_CELSIUS
from hygro.physics.typing import FloatOrArray

AIR_DENSITY: Final = 1.204
"""Density of dry air at 20 degC and 101325 Pa [kg/m3]; ideal gas with 287.05 J/(kg K)."""

AIR_HEAT_CAPACITY: Final = 1006.0
"""Specific heat capacity of dry air [J/(kg K)]; ASHRAE Handbook Fundamentals 2021, ch. 1."""

AIR_CONDUCTIVITY: Final = 0.0257
"""Thermal conductivity of air at 20 degC [W/(m K)]; textbook value (ISO 10456 gives 0.025 at 10 degC, from
memory)."""

VAPOUR_DIFFUSIVITY: Final = 26.1e-6
"""Diffusivity of vapour in air [m2/s]; the constant used with EN 15026:2007 Annex A (Hagentoft 2002)."""

LEWIS_NUMBER: Final = AIR_CONDUCTIVITY / (AIR_DENSITY * AIR_HEAT_CAPACITY) / VAPOUR_DIFFUSIVITY
"""Thermal diffusivity of air over its vapour diffusivity [1], 0.81."""


def convective_coefficient(wind_speed: FloatOrArray) -> FloatOrArray:
    """Convective heat transfer coefficient of an external surface.

    Parameters
    ----------
    wind_speed : float or array
        Wind speed near the surface [m/s].

    Returns
    -------
    float or array
        [W/(m2 K)].

    References
    ----------
    ISO 6946: 4 + 4 v.
    """
    return 4.0 + 4.0 * wind_speed


def radiative_coefficient(emissivity: float, temperature: FloatOrArray) -> FloatOrArray:
    """Linearised long-wave coefficient.

    Parameters
    ----------
    emissivity : float
        Hemispherical emissivity of the surface [1].
    temperature : float or array
        Temperature around which it is linearised [K].

    Returns
    -------
    float or array
        [W/(m2 K)].

    References
    ----------
    ISO 6946: 4 epsilon sigma T^3.
    """
    return 4.0 * emissivity * STEFAN_BOLTZMANN * temperature**3


def vapour_coefficient(convective: FloatOrArray, temperature: FloatOrArray) -> FloatOrArray:
    """Vapour transfer coefficient by vapour pressure, from the convective heat transfer coefficient.

    Parameters
    ----------
    convective : float or array
        Convective heat transfer coefficient [W/(m2 K)].
    temperature : float or array
        Air temperature [K].

    Returns
    -------
    float or array
        [kg/(m2 s Pa)].

    Notes
    -----
    The ratio is 7.0e-9 kg/(m2 s Pa) per W/(m2 K) at 20 degC. Density times temperature is constant at
    constant pressure, so temperature cancels but for the small change of the Lewis number, which is left out.

    References
    ----------
    Chilton and Colburn 1934, as in ASHRAE Handbook Fundamentals 2021, ch. 6: h_c / (rho c Le^(2/3)) by
    density of vapour, and the ideal gas law.
    """
    density = AIR_DENSITY * (ZERO_CELSIUS + 20.0) / temperature
    by_density = convective / (density * AIR_HEAT_CAPACITY * LEWIS_NUMBER ** (2.0 / 3.0))
    return by_density / (GAS_CONSTANT_VAPOUR * temperature)


def equivalent_temperature(
    air_temperature: FloatOrArray, gain: FloatOrArray, coefficient: FloatOrArray
) -> FloatOrArray:
    """Air temperature that would warm a surface as much as air and radiation do together.

    Parameters
    ----------
    air_temperature : float or array
        [K].
    gain : float or array
        Absorbed solar and net long-wave radiation of a surface at air temperature [W/m2].
    coefficient : float or array
        Convective and linearised long-wave coefficient together [W/(m2 K)].

    Returns
    -------
    float or array
        [K].

    References
    ----------
    "Sol-air temperature", ASHRAE Handbook Fundamentals 2021, ch. 18.
    """
    return air_temperature + gain / coefficient


def longwave_gain(
    emissivity: float, sky_view: float, sky: FloatOrArray, air_temperature: FloatOrArray
) -> FloatOrArray:
    """Net long-wave radiation of a surface at air temperature; ground and houses opposite are so too.

    Parameters
    ----------
    emissivity : float
        Of the surface [1].
    sky_view : float
        Share of the half-space that is sky [1], 0.5 for a free wall.
    sky : float or array
        Long-wave radiation from the sky on the horizontal [W/m2].
    air_temperature : float or array
        [K].

    Returns
    -------
    float or array
        [W/m2], mostly below 0.
    """
    return emissivity * sky_view * (sky - STEFAN_BOLTZMANN * air_temperature**4)


def sky_radiation(
    air_temperature: FloatOrArray, dew_point: FloatOrArray, cloud: FloatOrArray
) -> FloatOrArray:
    """Long-wave radiation from the sky on the horizontal, from dew point and cloud.

    Parameters
    ----------
    air_temperature, dew_point : float or array
        [K].
    cloud : float or array
        Opaque cloud [tenths], 0 to 10.

    Returns
    -------
    float or array
        [W/m2].

    References
    ----------
    EPW data dictionary: (0.787 + 0.764 ln(T_dp/273)) (1 + 0.0224 N - 0.0035 N^2 + 0.00028 N^3) sigma T^4;
    after Clark and Allen 1978 and Walton 1983.
    """
    clear = 0.787 + 0.764 * np.log(dew_point / 273.0)
    overcast = 1.0 + 0.0224 * cloud - 0.0035 * cloud**2 + 0.00028 * cloud**3
    return clear * overcast * STEFAN_BOLTZMANN * air_temperature**4
