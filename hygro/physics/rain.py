"""Driving rain: hourly amounts, airfield and wall index, terrain roughness; after ISO 15927-3.

Terrain constants: EN ISO 15927-3 as implemented in a national edition (read second-hand). Obstruction by
distance: from memory, unconfirmed. Wall factors: prEN 13013-3:1997 Table 5, the predecessor text. Other
estimates of rain on walls stand in `hygro.physics.rain_estimates`.
"""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np

from hygro.physics.typing import FloatArray, FloatOrArray


class Terrain(NamedTuple):
    """Roughness of the land around a wall.

    Attributes
    ----------
    factor : float
        Terrain factor K_R [1].
    length : float
        Roughness length z_0 [m].
    minimum_height : float
        Below this height [m] the coefficient stays constant.
    description : str
        What the land looks like.
    """

    factor: float
    length: float
    minimum_height: float
    description: str


TERRAINS: Final[dict[str, Terrain]] = {
    "I": Terrain(0.17, 0.01, 2.0, "open sea, shore of a large lake, flat land without obstacles"),
    "II": Terrain(0.19, 0.05, 4.0, "farmland with hedges, scattered small buildings or trees"),
    "III": Terrain(0.22, 0.3, 8.0, "suburb, industrial area, woodland"),
    "IV": Terrain(0.24, 1.0, 16.0, "town centre, at least 15 % built over with a mean height above 15 m"),
}
"""ISO 15927-3 terrain categories; K_R, z_0, z_min read second-hand in a national edition."""

OBSTRUCTION_STEPS: Final[tuple[tuple[float, float], ...]] = (
    (4.0, 0.2),
    (8.0, 0.3),
    (15.0, 0.4),
    (25.0, 0.5),
    (40.0, 0.6),
    (60.0, 0.7),
    (80.0, 0.8),
    (100.0, 0.9),
    (120.0, 1.0),
)
"""Obstruction factor from this distance [m] on, to the next; ISO 15927-3, from memory, unconfirmed."""

WALL_FACTORS: Final[dict[str, float]] = {
    "two-storey gable": 0.4,
    "three-storey gable": 0.3,
    "two-storey eaves wall": 0.3,
    "three-storey eaves wall": 0.4,
    "two-storey flat roof": 0.4,
    "multi-storey flat roof": 0.2,
    "multi-storey flat roof, top 2.5 m": 0.5,
}
"""Mean wall factor by kind of wall [1]; prEN 13013-3:1997 Table 5 (roof pitch at least 20 degrees, overhang
350 mm)."""


def driving_rain(wind_speed: FloatOrArray, rain: FloatOrArray) -> FloatOrArray:
    """Rain through a vertical plane that faces the wind, in the free wind.

    Parameters
    ----------
    wind_speed : float or array
        [m/s], not below 0.
    rain : float or array
        Rain on the horizontal in the hour [mm/h], not below 0.

    Returns
    -------
    float or array
        [mm/h], the same as kg/(m2 h).

    References
    ----------
    ISO 15927-3:2009, clause 3: (2/9) v r^(8/9).
    """
    return 2.0 / 9.0 * wind_speed * rain ** (8.0 / 9.0)


def facing_wind(wind_direction: FloatArray, elevation: float) -> FloatArray:
    """Cosine of the angle between the wind and the outward normal of the wall, 0 on the lee side.

    Parameters
    ----------
    wind_direction : array
        Direction the wind comes from [degrees from north]; NaN where calm or unknown.
    elevation : float
        Direction the wall faces [degrees from north].

    Returns
    -------
    array
        [1], between 0 and 1; 0 where the direction is NaN.
    """
    cosine = np.cos(np.radians(wind_direction - elevation))
    return np.nan_to_num(np.maximum(cosine, 0.0), nan=0.0)


def hourly_airfield_rain(
    wind_speed: FloatArray, wind_direction: FloatArray, rain: FloatArray, elevation: float
) -> FloatArray:
    """Driving rain on a plane facing `elevation` in the open, hour by hour.

    Parameters
    ----------
    wind_speed, wind_direction, rain : array, shape (hours,)
        [m/s], [degrees from north], [mm/h].
    elevation : float
        [degrees from north].

    Returns
    -------
    array, shape (hours,)
        [mm/h].
    """
    return driving_rain(wind_speed, rain) * facing_wind(wind_direction, elevation)


def airfield_index(
    wind_speed: FloatArray,
    wind_direction: FloatArray,
    rain: FloatArray,
    elevation: float,
    *,
    hours_per_year: float = 8760.0,
) -> float:
    """Airfield annual index.

    Parameters
    ----------
    wind_speed, wind_direction, rain : array, shape (hours,)
        [m/s], [degrees from north], [mm/h].
    elevation : float
        [degrees from north].
    hours_per_year : float
        Hours that count as one year when a longer record is averaged.

    Returns
    -------
    float
        [l/(m2 a)].

    References
    ----------
    ISO 15927-3:2009, clause 3.
    """
    total = float(hourly_airfield_rain(wind_speed, wind_direction, rain, elevation).sum())
    return total * hours_per_year / len(rain)


def roughness_coefficient(height: float, terrain: Terrain) -> float:
    """Terrain roughness coefficient C_R: mean wind at a height relative to 10 m above open land.

    Parameters
    ----------
    height : float
        Height above ground [m], above 0.
    terrain : Terrain
        One of `TERRAINS`.

    Returns
    -------
    float
        [1].

    References
    ----------
    ISO 15927-3:2009: C_R = K_R ln(z / z_0), z not below z_min.
    """
    return terrain.factor * float(np.log(max(height, terrain.minimum_height) / terrain.length))


def obstruction_factor(distance: float) -> float:
    """Obstruction factor O by the distance to the nearest obstacle that is about as high as the wall.

    Parameters
    ----------
    distance : float
        [m]. The table starts at 4 m; nearer obstacles get the same 0.2.

    Returns
    -------
    float
        [1].

    References
    ----------
    ISO 15927-3:2009; values from memory, unconfirmed. Below 4 m: common practice, no published source.
    """
    factor = OBSTRUCTION_STEPS[0][1]
    for start, value in OBSTRUCTION_STEPS:
        if distance >= start:
            factor = value
    return factor


def topography_coefficient(slope: float, position: float) -> float:
    """Topography coefficient C_T of a wall on or beyond an upwind slope.

    Parameters
    ----------
    slope : float
        Height of the hill or scarp over the length of its upwind slope [1], not below 0.
    position : float
        Where the wall stands: 0 where the slope begins or far from it, 1 at most, near its crest [1]. It is
        read from the wind-load code's figures.

    Returns
    -------
    float
        [1], 1 on flat ground.

    References
    ----------
    EN 1991-1-4:2005 A.3 (orography): 1 below a slope of 0.05, 1 + 2 s slope up to 0.3, 1 + 0.6 s above;
    from memory, unconfirmed. That ISO 15927-3 takes the same form is from memory as well.
    """
    if slope < 0.05:
        return 1.0
    return 1.0 + 2.0 * min(slope, 0.3) * position
