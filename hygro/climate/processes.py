"""Random processes behind hours of weather that nobody measured: fronts, bursts, cloud, wind, dew point.

The invented years (`hygro.climate.generator`) and the hours made from monthly normals
(`hygro.climate.stochastic`) share them. Numbers are a choice by eye, without a published source.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from scipy.signal import lfilter
from scipy.special import gamma, ndtr, ndtri

from hygro.climate.sky import dew_point_pressure
from hygro.physics.typing import FloatArray, FloatOrArray

HOURS: Final = 8760

STARTING_SPEED: Final = 0.5
"""Wind [m/s] below which a cup anemometer stands still; common practice."""

LEAST_WET_HUMIDITY: Final = 0.85
"""Relative humidity [1] of an hour with rain at least; own choice."""


class Noise:
    """Standard normal series with memory, from uniform numbers only.

    Parameters
    ----------
    seed : int
        Of PCG64.
    hours : int
        Length of each series.
    settled : bool
        Whether each series gets mean 0 and deviation 1 over its own hours, so that years do not differ in
        them, or keeps what chance gives.
    """

    def __init__(self, seed: int, hours: int = HOURS, *, settled: bool = True) -> None:
        self._generator = np.random.Generator(np.random.PCG64(seed))
        self._hours = hours
        self._settled = settled

    def series(self, memory: float) -> FloatArray:
        """Return a series whose correlation is 1/e after `memory` hours."""
        white = ndtri(np.clip(self._generator.random(self._hours + HOURS), 1e-12, 1.0 - 1e-12))
        keep = float(np.exp(-1.0 / memory))
        series = lfilter([1.0], [1.0, -keep], white)[HOURS:]  # the first year lets it run in
        if not self._settled:
            return series * np.sqrt(1.0 - keep * keep)
        return (series - series.mean()) / series.std()


def fronts_of(slow: FloatArray, fast: FloatArray) -> FloatArray:
    """Return fronts, standard normal: a slow and a fast part."""
    return 0.4 * slow + 0.917 * fast


def burst_amount(above: FloatArray, burst: FloatArray, power: float = 1.4) -> FloatArray:
    """Rain of an hour over its scale: none up to the threshold, more the higher above it.

    Parameters
    ----------
    above : array
        Fronts less their threshold for rain.
    burst : array
        Standard normal, of short memory.
    power : float
        The greater, the heavier the bursts.

    Returns
    -------
    array
        [1].
    """
    share: FloatArray = -np.log1p(-np.clip(ndtr(burst), 0.0, 1.0 - 1e-12))
    return np.where(above > 0.0, share**power * (0.4 + above), 0.0)


def nearness_to_rain(above: FloatArray) -> FloatArray:
    """Return how near to rain an hour is: 1 in rain, 0 a deviation and more below the threshold."""
    return np.clip(1.0 + above, 0.0, 1.0)


def cloud_okta(
    fronts: FloatArray, noise: FloatArray, rain: FloatArray, power: float | FloatArray = 0.7
) -> FloatArray:
    """Cloud from fronts, at least six oktas in rain.

    Parameters
    ----------
    fronts, noise : array
        Standard normal.
    rain : array
        [mm].
    power : float or array
        The greater, the clearer the sky.

    Returns
    -------
    array
        [okta], whole numbers.
    """
    rank = ndtr(0.85 * fronts + 0.53 * noise)
    okta = np.round(8.0 * np.clip(1.25 * rank**power - 0.05, 0.0, 1.0))
    return np.where(rain > 0.0, np.maximum(okta, 6.0), okta)


def wind_share(fronts: FloatArray, noise: FloatArray, shape: float = 2.0) -> FloatArray:
    """Return wind over its mean: Weibull of a shape, correlated with fronts."""
    rank = ndtr(0.35 * fronts + 0.937 * noise)
    share: FloatArray = (-np.log1p(-np.minimum(rank, 1.0 - 1e-12))) ** (1.0 / shape)
    return share / float(gamma(1.0 + 1.0 / shape))


def rounded_direction(direction: FloatArray) -> FloatArray:
    """Round to 10 degrees; north is 360, as stations write it."""
    tens = np.mod(np.round(direction, -1), 360.0)
    return np.where(tens == 0.0, 360.0, tens)


def smoothed(values: FloatArray) -> FloatArray:
    """Return the mean of the last 12 hours; the series closes on itself."""
    around = np.concatenate((values[-11:], values))
    return np.convolve(around, np.full(12, 1.0 / 12.0), mode="valid")


def humidity_of(
    temperature: FloatArray,
    daily: FloatArray,
    gap: FloatOrArray,
    noise: FloatArray,
    wetness: FloatArray,
    rain: FloatArray,
) -> FloatArray:
    """Relative humidity from a dew point that lies closer to the temperature in rain.

    Parameters
    ----------
    temperature, daily : array
        Air temperature with and without its daily wave [degC].
    gap : float or array
        Dew point below `daily` in fair weather [K].
    noise : array
        Standard normal.
    wetness : array
        From `nearness_to_rain`.
    rain : array
        [mm].

    Returns
    -------
    array
        [1], at least 0.25.
    """
    below = gap * np.exp(0.35 * noise) * (1.0 - 0.65 * wetness)
    point = daily - below + 0.25 * (temperature - daily)
    humidity = dew_point_pressure(point) / dew_point_pressure(temperature)
    humidity = np.where(rain > 0.0, np.maximum(humidity, LEAST_WET_HUMIDITY), humidity)
    return np.clip(humidity, 0.25, 1.0)
