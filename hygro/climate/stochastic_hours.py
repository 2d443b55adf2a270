"""Hours of rain, sun, wind, direction and temperature from random series and what a month asks of them."""

from __future__ import annotations

from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from hygro.climate.normals import Normals
from hygro.climate.processes import (
    HOURS,
    STARTING_SPEED,
    Noise,
    burst_amount,
    fronts_of,
    smoothed,
    wind_share,
)
from hygro.climate.sun import sun_position
from hygro.physics.solar import clear_sky_global, cloud_transmission
from hygro.physics.typing import FloatArray

DEVIATION: Final = 3.2
"""Standard deviation of daily mean temperature about the course of the year [K]; temperate climates, by eye,
no published source."""

DAILY_WIND: Final = 0.2
"""Half the range of the daily wave of wind over its mean [1]; between coast and inland, by eye."""

FRONT_MEMORY: Final = 6.5
BURST_MEMORY: Final = 3.0
BURST_POWER: Final = 1.3
WIND_SHAPE: Final = 2.2
"""Memories of fronts and bursts [h], how heavy bursts are, Weibull shape of the wind: set by eye on the
persistence and strength of wet hours and the strongest winds of two measured years, Vlissingen and Arcen
2023; held against another in docs/site.md."""

MOST_RAIN: Final = 60.0
"""Rain of an hour at most [mm]; temperate climates seldom see more. Own choice."""


class Drivers(NamedTuple):
    """Random series, standard normal, each of shape (hours,)."""

    fronts: FloatArray
    burst: FloatArray
    cloud: FloatArray
    wind: FloatArray
    direction: FloatArray
    warmth: FloatArray
    dew: FloatArray
    pressure: FloatArray


class Clock(NamedTuple):
    """What follows from time and place alone, each of shape (hours,).

    Attributes
    ----------
    month, day : array of int
        0 to 11; day of the run.
    solar_hour : array
        Mean solar time at mid-hour [h].
    clear_sun, outside_sun, daylight : array
        Global sun under a cloudless sky and outside the atmosphere [W/m2]; 1 with the sun up.
    """

    month: NDArray[np.int64]
    day: NDArray[np.int64]
    solar_hour: FloatArray
    clear_sun: FloatArray
    outside_sun: FloatArray
    daylight: FloatArray


def drivers(seed: int, years: int) -> Drivers:
    """Draw the random series of some years.

    Parameters
    ----------
    seed : int
        Of PCG64.
    years : int
        Of 8760 h.

    Returns
    -------
    Drivers
        Not settled: years differ in them.
    """
    noise = Noise(seed, years * HOURS, settled=False)
    fronts = fronts_of(noise.series(72.0), noise.series(FRONT_MEMORY))
    memories = (BURST_MEMORY, 6.0, 18.0, 30.0, 96.0, 36.0, 96.0)
    return Drivers(fronts, *(noise.series(memory) for memory in memories))


def clock(normals: Normals, years: int) -> Clock:
    """Return what follows from time and place alone, for years without 29 February.

    Parameters
    ----------
    normals : Normals
        The place.
    years : int
        How many.

    Returns
    -------
    Clock
        Of `years` times 8760 h; the sun of 2001 each year.
    """
    begin = np.datetime64("2001-01-01T00", "h") + np.arange(HOURS) * np.timedelta64(1, "h")
    sun = sun_position(begin.astype("datetime64[s]") + 1800, normals.latitude, normals.longitude)
    cosine = np.maximum(np.cos(np.radians(sun.zenith)), 0.0)
    month = begin.astype("datetime64[M]").astype(int) % 12
    hour = np.arange(HOURS) % 24 + 0.5 + normals.longitude / 15.0
    return Clock(
        month=np.tile(month, years),
        day=np.arange(years * HOURS) // 24,
        solar_hour=np.tile(hour % 24.0, years),
        clear_sun=np.tile(clear_sky_global(sun.zenith), years),
        outside_sun=np.tile(sun.extraterrestrial * cosine, years),
        daylight=np.tile((cosine > 0.0).astype(float), years),
    )


def rain_hours(
    driven: Drivers, hours: Clock, share: FloatArray, scale: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return fronts above their threshold and rain [mm]."""
    threshold = ndtri(1.0 - np.maximum(share, 1e-9))
    above = driven.fronts - threshold[hours.month]
    amount = np.round(scale[hours.month] * burst_amount(above, driven.burst, BURST_POWER), 1)
    return above, np.minimum(amount, MOST_RAIN)


def sun_hours(hours: Clock, okta: FloatArray) -> FloatArray:
    """Return global sun under cloud [W/m2]."""
    return hours.clear_sun * cloud_transmission(1.25 * okta)


def wind_hours(driven: Drivers, hours: Clock, scale: FloatArray) -> FloatArray:
    """Return wind [m/s] from the scale of each month; weak wind counts as calm."""
    day = 1.0 + DAILY_WIND * np.cos(2.0 * np.pi * (hours.solar_hour - 14.0) / 24.0)
    speed = scale[hours.month] * wind_share(driven.fronts, driven.wind, WIND_SHAPE) * day
    return np.where(speed < STARTING_SPEED, 0.0, speed)


def temperature_hours(
    driven: Drivers, hours: Clock, okta: FloatArray, course: FloatArray, wave: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return temperature and what it would be without the daily wave [degC]."""
    daily, swing_of_one = temperature_parts(driven, hours, okta, course)
    return daily + wave[hours.month] * swing_of_one, daily


def temperature_parts(
    driven: Drivers, hours: Clock, okta: FloatArray, course: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return temperature without its daily wave [degC] and that wave for an amplitude of one [1]."""
    daily = np.tile(course, len(okta) // HOURS) + DEVIATION * smoothed(driven.warmth)
    clear = 1.0 - 0.7 * (smoothed(okta) / 8.0) ** 2
    return daily, clear * np.cos(2.0 * np.pi * (hours.solar_hour - 15.0) / 24.0)


def direction_hours(driven: Drivers, rain: FloatArray, normals: Normals) -> FloatArray:
    """Return the direction [degrees]: the rank of one process through the rose of the wet or dry hour."""
    rank = ndtr(driven.direction)
    wet = _through_rose(rank, normals.wet_rose)
    return np.where(rain > 0.0, wet, _through_rose(rank, normals.dry_rose))


def _through_rose(rank: FloatArray, rose: FloatArray) -> FloatArray:
    """Draw from a rose; the circle is cut where the wind comes from opposite the mean direction."""
    sectors = len(rose)
    centres = np.arange(sectors) * 2.0 * np.pi / sectors
    mean = np.arctan2((rose * np.sin(centres)).sum(), (rose * np.cos(centres)).sum())
    cut = round(float(np.degrees(mean)) / 360.0 * sectors + sectors / 2.0) % sectors
    edges = (np.arange(sectors + 1) + cut - 0.5) * 360.0 / sectors
    share = np.concatenate(([0.0], np.cumsum(np.roll(rose, -cut))))
    return np.mod(np.interp(rank, share / share[-1], edges), 360.0)
