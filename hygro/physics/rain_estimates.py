"""Other estimates of rain on a wall, to hold against ISO 15927-3: Lacy, ASHRAE 160, an overhang."""

from __future__ import annotations

from typing import Final, Literal

import numpy as np

from hygro.physics.typing import FloatArray, FloatOrArray

Exposure = Literal["severe", "medium", "sheltered"]
"""Exposure classes of ASHRAE 160."""

FALL_SPEED: Final = 4.5
"""Fall speed of a drop of 1.2 mm [m/s]; its inverse is the 0.222 of Lacy's relation (Blocken and Carmeliet
2004)."""

ROUNDED_COEFFICIENT: Final = 0.2
"""Rain through a vertical plane over wind times rain [s/m]; Lacy 1965 in ASHRAE Handbook Fundamentals 2021,
ch. 25."""

ASHRAE_RAIN_COEFFICIENT: Final = 0.2
"""F_L of ASHRAE 160 [kg s/(m3 mm)]; from memory, unconfirmed."""

ASHRAE_DEPOSITION: Final[dict[str, float]] = {
    "below a steep roof": 0.35,
    "below a low-slope roof": 0.5,
    "wall that water runs down": 1.0,
}
"""F_D of ASHRAE 160 [1]; from memory, unconfirmed."""

ASHRAE_EXPOSURE: Final[tuple[tuple[float, float, float, float], ...]] = (
    (10.0, 1.3, 1.0, 0.7),
    (15.0, 1.3, 1.1, 0.8),
    (20.0, 1.4, 1.2, 0.9),
    (30.0, 1.5, 1.3, 1.1),
    (40.0, 1.5, 1.4, 1.2),
    (50.0, 1.5, 1.5, 1.3),
    (np.inf, 1.5, 1.5, 1.5),
)
"""F_E of ASHRAE 160 up to a height [m]: severe, medium, sheltered; from memory, unconfirmed."""


def lacy_driving_rain(wind_speed: FloatOrArray, rain: FloatOrArray) -> FloatOrArray:
    """Rain through a vertical plane that faces the wind, by the semi-empirical free-field relation.

    Parameters
    ----------
    wind_speed : float or array
        [m/s].
    rain : float or array
        [mm/h].

    Returns
    -------
    float or array
        [mm/h].

    References
    ----------
    Lacy, as in Blocken and Carmeliet 2004, eq. 5: 0.222 U R^0.88.
    """
    return 0.222 * wind_speed * rain**0.88


def rounded_driving_rain(wind_speed: FloatOrArray, rain: FloatOrArray) -> FloatOrArray:
    """Rain through a vertical plane that faces the wind, by the rounded linear relation 0.2 U R.

    Parameters
    ----------
    wind_speed : float or array
        [m/s].
    rain : float or array
        [mm/h], or mm over any time with the mean wind of that time.

    Returns
    -------
    float or array
        In the unit of the rain.

    References
    ----------
    Lacy 1965 in ASHRAE Handbook Fundamentals 2021, ch. 25 eq. 1.
    """
    return ROUNDED_COEFFICIENT * wind_speed * rain


def ashrae_exposure_factor(height: float, exposure: Exposure) -> float:
    """Exposure factor F_E of ASHRAE 160.

    Parameters
    ----------
    height : float
        Of the building [m].
    exposure : {"severe", "medium", "sheltered"}
        Of the terrain.

    Returns
    -------
    float
        [1].

    References
    ----------
    ASHRAE 160; values from memory, unconfirmed.
    """
    column = ("severe", "medium", "sheltered").index(exposure) + 1
    return next(row[column] for row in ASHRAE_EXPOSURE if height <= row[0])


def ashrae_wall_rain(
    wind_speed: FloatArray, rain: FloatArray, cosine: FloatArray, exposure_factor: float, deposition: float
) -> FloatArray:
    """Rain on a wall by ASHRAE 160: F_E F_D F_L U R cos.

    Parameters
    ----------
    wind_speed, rain : array
        [m/s] at 10 m, [mm/h].
    cosine : array
        Of the angle between wind and the normal of the wall, 0 on the lee side [1].
    exposure_factor, deposition : float
        F_E and F_D [1].

    Returns
    -------
    array
        [mm/h].

    References
    ----------
    ASHRAE 160, form read second-hand.
    """
    return exposure_factor * deposition * ASHRAE_RAIN_COEFFICIENT * wind_speed * rain * cosine


def sheltered_height(overhang: float, wind_speed: FloatArray, cosine: FloatArray) -> FloatArray:
    """Height of wall below an overhang that straight trajectories of drops do not reach.

    Parameters
    ----------
    overhang : float
        How far it stands out [m].
    wind_speed : array
        At the wall [m/s].
    cosine : array
        Of the angle between wind and the normal of the wall, 0 on the lee side [1].

    Returns
    -------
    array
        [m]; infinite without wind on the wall.

    Notes
    -----
    Plain geometry with drops that fall at `FALL_SPEED` in undisturbed wind, no published source. The wall
    factors of ISO 15927-3 already stand for an overhang of 350 mm.
    """
    across = wind_speed * cosine
    return np.where(across > 0.0, overhang * FALL_SPEED / np.where(across > 0.0, across, 1.0), np.inf)
