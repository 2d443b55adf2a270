"""What makes random weather meet monthly normals, found once on a long run of its own seed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from hygro.climate.normals import RAIN_DAY, Normals, monthly_mean
from hygro.climate.processes import HOURS, burst_amount, cloud_okta, humidity_of, nearness_to_rain
from hygro.climate.stochastic_hours import (
    BURST_POWER,
    MOST_RAIN,
    Clock,
    Drivers,
    clock,
    drivers,
    rain_hours,
    sun_hours,
    temperature_hours,
    temperature_parts,
    wind_hours,
)
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

CALIBRATION_SEED: Final = 2001
CALIBRATION_YEARS: Final = 20

NEAR_RAIN_DAYS: Final = 1.0
"""Rain days of a month [d] by which the nearest that goes with its rain may miss the table; single dry months
of short records need it. Own rule."""


@dataclass(frozen=True)
class Calibration:
    """What makes the processes meet the normals, each of shape (12,).

    Attributes
    ----------
    wet_share : array
        Share of hours in which it rains, before amounts that round to nothing are lost [1].
    rain_scale : array
        [mm].
    cloud_power : array
        See `hygro.climate.processes.cloud_okta` [1].
    wind_scale : array
        [m/s].
    course : array, shape (8760,)
        Temperature over the year, hour by hour [degC].
    daily_wave : array
        Half the range of a cloudless day [K].
    dew_gap : array
        [K].
    """

    wet_share: FloatArray
    rain_scale: FloatArray
    cloud_power: FloatArray
    wind_scale: FloatArray
    course: FloatArray
    daily_wave: FloatArray
    dew_gap: FloatArray


def calibrated(normals: Normals) -> Calibration:
    """Find what makes the processes meet the normals, on a long run of its own seed.

    Parameters
    ----------
    normals : Normals
        Which.

    Returns
    -------
    Calibration
        The same each time.

    Raises
    ------
    ClimateError
        Where normals contradict each other so far that nothing meets them: the month and the quantity.
    """
    driven, hours = drivers(CALIBRATION_SEED, CALIBRATION_YEARS), clock(normals, CALIBRATION_YEARS)
    share, scale = _calibrated_rain(normals, driven, hours)
    above, rain = rain_hours(driven, hours, share, scale)
    power = _solved(
        lambda p: sun_hours(hours, cloud_okta(driven.fronts, driven.cloud, rain, p[hours.month])),
        _sun_target(normals, hours), hours.month, 0.01, 30.0, "sun",
    )  # fmt: skip
    okta = cloud_okta(driven.fronts, driven.cloud, rain, power[hours.month])
    wind = _solved(
        lambda s: wind_hours(driven, hours, s), normals.wind_speed, hours.month, 0.05, 60.0, "wind"
    )
    wave = _solved_wave(normals, driven, hours, okta)
    course = year_course(normals.air_temperature)
    temperature, daily = temperature_hours(driven, hours, okta, course, wave)
    error = monthly_mean(temperature, hours.month) - normals.air_temperature
    course = course - error[hours.month[:HOURS]]
    shift = np.tile(error[hours.month[:HOURS]], CALIBRATION_YEARS)
    gap = _solved(
        lambda g: humidity_of(
            temperature - shift, daily - shift, g[hours.month], driven.dew, nearness_to_rain(above), rain
        ),
        normals.relative_humidity, hours.month, 30.0, 0.01, "humidity",
    )  # fmt: skip
    return Calibration(share, scale, power, wind, course, wave, gap)


def _solved(
    series: Callable[[FloatArray], FloatArray],
    target: FloatArray,
    month: NDArray[np.int64],
    low: float,
    high: float,
    what: str,
) -> FloatArray:
    """Bisect all months at once for what gives a series its means; they rise from `low` to `high`."""
    lower, upper = np.full(12, low), np.full(12, high)
    ends = [monthly_mean(series(end), month) for end in (lower, upper)]
    _refuse_out_of_reach(target, ends[0], ends[1], what)
    for _ in range(18):
        middle = np.sqrt(lower * upper)
        below = monthly_mean(series(middle), month) < target
        lower, upper = np.where(below, middle, lower), np.where(below, upper, middle)
    return np.sqrt(lower * upper)


def _refuse_out_of_reach(target: FloatArray, least: FloatArray, most: FloatArray, what: str) -> None:
    wrong = (target < least) | (target > most)
    if wrong.any():
        month = int(np.argmax(wrong))
        raise ClimateError(
            f"the {what} of month {month + 1} does not go with the other normals",
            found=f"{target[month]:.3g}",
            expected=f"{least[month]:.3g} to {most[month]:.3g}",
            hint="check units and months of the table",
        )


def _calibrated_rain(normals: Normals, driven: Drivers, hours: Clock) -> tuple[FloatArray, FloatArray]:
    share, scale = np.zeros(12), np.zeros(12)
    for month in range(12):
        if normals.rain[month] > 0.0:
            share[month], scale[month] = _month_of_rain(normals, driven, hours, month)
    return share, scale


def _month_of_rain(normals: Normals, driven: Drivers, hours: Clock, month: int) -> tuple[float, float]:
    """Return share and scale that give a month its rain and its rain days: the least share that does."""
    chosen = hours.month == month
    fronts, burst = driven.fronts[chosen], driven.burst[chosen]
    total = normals.rain[month] * CALIBRATION_YEARS

    def amounts(scale: float, raw: FloatArray) -> FloatArray:
        return np.minimum(np.round(scale * raw, 1), MOST_RAIN)

    def tried(share: float) -> tuple[float, float]:
        raw = burst_amount(fronts - ndtri(1.0 - share), burst, BURST_POWER)
        scale = total / raw.sum()
        for _ in range(3):  # what rounds to nothing is made up for
            scale *= total / max(float(amounts(scale, raw).sum()), 1e-9)
        daily = amounts(scale, raw).reshape(-1, 24).sum(axis=1)
        return float((daily >= RAIN_DAY - 1e-9).sum()) / CALIBRATION_YEARS, float(scale)

    shares = np.geomspace(0.002, 0.7, 30)
    days = np.array([tried(float(share))[0] for share in shares])
    target = normals.rain_days[month]
    if not days[0] - NEAR_RAIN_DAYS <= target <= days.max() + NEAR_RAIN_DAYS:
        raise ClimateError(
            f"the rain days of month {month + 1} do not go with its rain",
            found=f"{target:g} days with {normals.rain[month]:g} mm",
            expected=f"{days[0]:.1f} to {days.max():.1f} days of at least 1 mm",
        )
    if target >= days.max():
        most = float(shares[int(np.argmax(days))])
        return most, tried(most)[1]
    reached = int(np.argmax(days >= target))
    low, high = float(shares[max(reached - 1, 0)]), float(shares[reached])
    for _ in range(12):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if tried(middle)[0] < target else (low, middle)
    return high, tried(high)[1]


def _sun_target(normals: Normals, hours: Clock) -> FloatArray:
    """Return the monthly mean of global sun [W/m2]."""
    length = np.bincount(hours.month[:HOURS], minlength=12)
    if normals.solar_global is not None:
        return 1000.0 * normals.solar_global / length
    assert normals.sun_hours is not None
    daylight = np.bincount(hours.month[:HOURS], hours.daylight[:HOURS], 12)
    share = np.minimum(normals.sun_hours / daylight, 1.0)
    return (0.25 + 0.50 * share) * monthly_mean(hours.outside_sun, hours.month)


def year_course(monthly: FloatArray) -> FloatArray:
    """Return a smooth course over the year whose monthly means are those given.

    Parameters
    ----------
    monthly : array, shape (12,)
        Any unit.

    Returns
    -------
    array, shape (8760,)
        In that unit: straight between the middles of months, whose values are set so that the means are met.
    """
    begin = np.datetime64("2001-01-01T00", "h") + np.arange(HOURS) * np.timedelta64(1, "h")
    month = begin.astype("datetime64[M]").astype(int) % 12
    hour: FloatArray = np.arange(HOURS, dtype=np.float64) + 0.5
    middle = monthly_mean(hour, month)
    nodes = monthly.astype(float).copy()
    for _ in range(40):
        course = np.interp(hour, middle, nodes, period=HOURS)
        nodes += monthly - monthly_mean(course, month)
    return np.asarray(np.interp(hour, middle, nodes, period=HOURS))


def _solved_wave(normals: Normals, driven: Drivers, hours: Clock, okta: FloatArray) -> FloatArray:
    """Bisect for the daily wave that gives the daily range; none where weather alone brings more."""
    daily, swing_of_one = temperature_parts(driven, hours, okta, year_course(normals.air_temperature))
    day_month = hours.month[::24]

    def ranges(wave: FloatArray) -> FloatArray:
        days = (daily + wave[hours.month] * swing_of_one).reshape(-1, 24)
        swing: FloatArray = days.max(axis=1) - days.min(axis=1)
        return monthly_mean(swing, day_month)

    least = ranges(np.zeros(12))
    lower, upper = np.zeros(12), np.full(12, 40.0)
    for _ in range(16):
        middle = 0.5 * (lower + upper)
        below = ranges(middle) < np.maximum(normals.daily_range, least)
        lower, upper = np.where(below, middle, lower), np.where(below, upper, middle)
    return 0.5 * (lower + upper)
