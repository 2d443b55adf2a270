"""Sun on a vertical wall and the sun under cloud. Positions of the sun come in as angles."""

from __future__ import annotations

from typing import Final

import numpy as np

from hygro.physics.typing import FloatArray, FloatOrArray

LEAST_ZENITH_COSINE: Final = 0.065
"""Cosine of the zenith angle below which it counts as this (86.3 degrees), so that nothing is divided by
nearly zero; common practice, the bound that Erbs's split is usually given."""


def incidence_cosine(zenith: FloatArray, azimuth: FloatArray, elevation: float) -> FloatArray:
    """Cosine of the angle between the sun and the outward normal of a vertical wall.

    Parameters
    ----------
    zenith, azimuth : array
        Position of the sun [degrees], azimuth from north by east.
    elevation : float
        Direction the wall faces [degrees from north].

    Returns
    -------
    array
        [1], 0 where the sun is behind the wall or below the horizon.
    """
    height = np.radians(zenith)
    cosine = np.sin(height) * np.cos(np.radians(azimuth - elevation))
    return np.where(zenith < 90.0, np.maximum(cosine, 0.0), 0.0)


def wall_irradiance(
    direct_normal: FloatArray,
    diffuse: FloatArray,
    global_horizontal: FloatArray,
    extraterrestrial: FloatArray,
    zenith: FloatArray,
    incidence: FloatArray,
    *,
    sky_view: float,
    ground_reflectance: float,
) -> FloatArray:
    """Direct, diffuse and ground-reflected sun on a vertical wall.

    Parameters
    ----------
    direct_normal, diffuse, global_horizontal : array
        Hour means [W/m2].
    extraterrestrial : array
        Direct normal irradiance outside the atmosphere [W/m2].
    zenith : array
        [degrees].
    incidence : array
        Result of `incidence_cosine` [1].
    sky_view : float
        Share of the half-space that is sky, for the diffuse sun that comes from everywhere [1]; the rest is
        ground.
    ground_reflectance : float
        Of what lies in front of the wall [1].

    Returns
    -------
    array
        [W/m2].

    Notes
    -----
    With a low sun the ratio of direct sun on the wall to that on the horizontal is bounded by
    `LEAST_ZENITH_COSINE`.

    References
    ----------
    Hay and Davies 1980: a part of the diffuse sun comes from around the sun, as large as the transmission of
    the direct sun; the rest from everywhere.
    """
    circumsolar = np.clip(direct_normal / extraterrestrial, 0.0, 1.0)
    ratio = incidence / np.maximum(np.cos(np.radians(zenith)), LEAST_ZENITH_COSINE)
    sky = diffuse * (circumsolar * ratio + (1.0 - circumsolar) * sky_view)
    ground = global_horizontal * ground_reflectance * (1.0 - sky_view)
    return direct_normal * incidence + sky + ground


def clean_sky_direct(extraterrestrial: FloatArray, zenith: FloatArray) -> FloatArray:
    """Direct normal sun through very clean cold air: an upper bound.

    Parameters
    ----------
    extraterrestrial : array
        Direct normal irradiance outside the atmosphere [W/m2].
    zenith : array
        [degrees].

    Returns
    -------
    array
        [W/m2], 0 with the sun below the horizon.

    References
    ----------
    Kasten 1996 (optical thickness, with a Linke turbidity of 2), Kasten and Young 1989 (air mass);
    coefficients of the first from memory, unconfirmed.
    """
    height = np.minimum(zenith, 90.0)
    mass = 1.0 / (np.cos(np.radians(height)) + 0.50572 * (96.07995 - height) ** -1.6364)
    m = np.minimum(mass, 20.0)
    thickness = 1.0 / (6.6296 + 1.7513 * m - 0.1202 * m**2 + 0.0065 * m**3 - 0.00013 * m**4)
    return np.where(zenith < 90.0, extraterrestrial * np.exp(-0.8662 * 2.0 * mass * thickness), 0.0)


def clear_sky_global(zenith: FloatOrArray) -> FloatOrArray:
    """Global sun on the horizontal under a cloudless sky.

    Parameters
    ----------
    zenith : float or array
        [degrees].

    Returns
    -------
    float or array
        [W/m2], not below 0.

    References
    ----------
    Kasten and Czeplak 1980, Solar Energy 24: 910 sin(h) - 30; coefficients from memory, unconfirmed.
    """
    return np.maximum(910.0 * np.cos(np.radians(zenith)) - 30.0, 0.0)


def cloud_transmission(cloud: FloatOrArray) -> FloatOrArray:
    """Share of the clear-sky sun that comes through cloud.

    Parameters
    ----------
    cloud : float or array
        Cloud [tenths], 0 to 10.

    Returns
    -------
    float or array
        [1].

    References
    ----------
    Kasten and Czeplak 1980, Solar Energy 24: 1 - 0.75 (N/8)^3.4, N in oktas; coefficients from memory,
    unconfirmed.
    """
    return 1.0 - 0.75 * (cloud / 10.0) ** 3.4


def cloud_from_transmission(transmission: FloatArray) -> FloatArray:
    """Cloud that would let this share of the clear-sky sun through; inverse of `cloud_transmission`.

    Parameters
    ----------
    transmission : array
        [1]; above 1 counts as cloudless, below 0.25 as overcast.

    Returns
    -------
    array
        [tenths], 0 to 10.
    """
    share = np.clip((1.0 - transmission) / 0.75, 0.0, 1.0)
    return 10.0 * share ** (1.0 / 3.4)
