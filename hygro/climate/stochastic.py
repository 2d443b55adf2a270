"""Hours of weather from monthly normals, for places that have only a climate table. From a seed, repeatable.

The processes are those of the invented years (`hygro.climate.processes`): fronts bring rain, cloud and wind
together; bursts of rain have a memory of their own; the dew point lies closer to the temperature near rain;
direction is drawn from one wind rose in wet and from another in dry hours, along a process of 30 hours'
memory. What each month needs to meet its normals is found once on a long run of `CALIBRATION_YEARS` years:

* the share of wet hours and the scale of their amounts, from rain days and rain;
* cloudiness, from global sun; from sun hours by way of Angstrom and Prescott (0.25 + 0.50 n/N of the sun
  outside the atmosphere; FAO Irrigation and Drainage Paper 56, Allen et al. 1998);
* the scale of the wind; the yearly course and the daily wave of temperature; the gap of the dew point.

A single year then differs from its normals as single years do. Wet hours, their length and the rain on walls
are no input: they follow, and docs/site.md compares them with measured years.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from hygro.climate.checks import is_leap_day
from hygro.climate.csv_writer import write_weather_csv
from hygro.climate.normals import RAIN_DAY, Normals, monthly_mean
from hygro.climate.processes import (
    HOURS,
    STARTING_SPEED,
    Noise,
    burst_amount,
    cloud_okta,
    fronts_of,
    humidity_of,
    nearness_to_rain,
    smoothed,
    wind_share,
)
from hygro.climate.sun import sun_position
from hygro.errors import ClimateError
from hygro.physics.solar import clear_sky_global, cloud_transmission
from hygro.physics.typing import FloatArray

CALIBRATION_SEED: Final = 2001
CALIBRATION_YEARS: Final = 30

DEVIATION: Final = 3.2
"""Standard deviation of daily mean temperature about the course of the year [K]; temperate climates, by eye,
no published source."""

DAILY_WIND: Final = 0.2
"""Half the range of the daily wave of wind over its mean [1]; between coast and inland, by eye."""

FRONT_MEMORY: Final = 6.5
BURST_MEMORY: Final = 3.0
BURST_POWER: Final = 1.3
WIND_SHAPE: Final = 2.2
"""Memories of fronts and bursts [h], how heavy bursts are, Weibull shape of the wind: set by the persistence
and strength of wet hours and the strongest winds of one measured year, Vlissingen 2023, and checked on others
(docs/site.md)."""

MOST_RAIN: Final = 60.0
"""Rain of an hour at most [mm]; temperate climates seldom see more. Own choice."""

MOST_YEARS: Final = 100

NEAR_RAIN_DAYS: Final = 1.0
"""Rain days of a month [d] by which the nearest that goes with its rain may miss the table; single dry months
of short records need it. Own rule."""

DIGITS: Final = {"air_temperature_C": 1, "wind_speed_m_s": 1, "rain_mm": 1}


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
    above, rain = _rain(driven, hours, share, scale)
    power = _solved(
        lambda p: _sun(hours, cloud_okta(driven.fronts, driven.cloud, rain, p[hours.month])),
        _sun_target(normals, hours), hours.month, 0.01, 30.0, "sun",
    )  # fmt: skip
    okta = cloud_okta(driven.fronts, driven.cloud, rain, power[hours.month])
    wind = _solved(lambda s: _speed(driven, hours, s), normals.wind_speed, hours.month, 0.05, 60.0, "wind")
    wave = _solved_wave(normals, driven, hours, okta)
    course = year_course(normals.air_temperature)
    temperature, daily = _temperature(driven, hours, okta, course, wave)
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
    for _ in range(24):
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


def _rain(
    driven: Drivers, hours: Clock, share: FloatArray, scale: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return fronts above their threshold and rain [mm]."""
    threshold = ndtri(1.0 - np.maximum(share, 1e-9))
    above = driven.fronts - threshold[hours.month]
    amount = np.round(scale[hours.month] * burst_amount(above, driven.burst, BURST_POWER), 1)
    return above, np.minimum(amount, MOST_RAIN)


def _sun(hours: Clock, okta: FloatArray) -> FloatArray:
    return hours.clear_sun * cloud_transmission(1.25 * okta)


def _sun_target(normals: Normals, hours: Clock) -> FloatArray:
    """Return the monthly mean of global sun [W/m2]."""
    length = np.bincount(hours.month[:HOURS], minlength=12)
    if normals.solar_global is not None:
        return 1000.0 * normals.solar_global / length
    assert normals.sun_hours is not None
    daylight = np.bincount(hours.month[:HOURS], hours.daylight[:HOURS], 12)
    share = np.minimum(normals.sun_hours / daylight, 1.0)
    return (0.25 + 0.50 * share) * monthly_mean(hours.outside_sun, hours.month)


def _speed(driven: Drivers, hours: Clock, scale: FloatArray) -> FloatArray:
    day = 1.0 + DAILY_WIND * np.cos(2.0 * np.pi * (hours.solar_hour - 14.0) / 24.0)
    speed = scale[hours.month] * wind_share(driven.fronts, driven.wind, WIND_SHAPE) * day
    return np.where(speed < STARTING_SPEED, 0.0, speed)


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
    middle = monthly_mean(np.arange(HOURS) + 0.5, month)
    nodes = monthly.astype(float).copy()
    hour = np.arange(HOURS) + 0.5
    for _ in range(40):
        course = np.interp(hour, middle, nodes, period=HOURS)
        nodes += monthly - monthly_mean(course, month)
    return np.asarray(np.interp(hour, middle, nodes, period=HOURS))


def _temperature(
    driven: Drivers, hours: Clock, okta: FloatArray, course: FloatArray, wave: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return temperature and what it would be without the daily wave [degC]."""
    daily = np.tile(course, len(okta) // HOURS) + DEVIATION * smoothed(driven.warmth)
    clear = 1.0 - 0.7 * (smoothed(okta) / 8.0) ** 2
    swing = wave[hours.month] * clear * np.cos(2.0 * np.pi * (hours.solar_hour - 15.0) / 24.0)
    return daily + swing, daily


def _solved_wave(normals: Normals, driven: Drivers, hours: Clock, okta: FloatArray) -> FloatArray:
    """Bisect for the daily wave that gives the daily range; none where weather alone brings more."""
    course = year_course(normals.air_temperature)
    day_month = hours.month[::24]

    def ranges(wave: FloatArray) -> FloatArray:
        days = _temperature(driven, hours, okta, course, wave)[0].reshape(-1, 24)
        return monthly_mean(np.ptp(days, axis=1), day_month)

    least = ranges(np.zeros(12))
    lower, upper = np.zeros(12), np.full(12, 40.0)
    for _ in range(24):
        middle = 0.5 * (lower + upper)
        below = ranges(middle) < np.maximum(normals.daily_range, least)
        lower, upper = np.where(below, middle, lower), np.where(below, upper, middle)
    return 0.5 * (lower + upper)


def _direction(driven: Drivers, rain: FloatArray, normals: Normals) -> FloatArray:
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


def generated_hours(normals: Normals, years: int = 1, seed: int = 1) -> dict[str, FloatArray]:
    """Make hours of weather that have the normals of a place.

    Parameters
    ----------
    normals : Normals
        The climate table.
    years : int
        How many, of 8760 h.
    seed : int
        Another seed, other years of the same climate.

    Returns
    -------
    dict of str to array, each of shape (8760 * years,)
        Columns of hygro's own CSV, rounded as they are written; wind direction is NaN where calm.

    Raises
    ------
    ClimateError
        Where the normals contradict each other, or the number of years is impossible.
    """
    if not 1 <= years <= MOST_YEARS:
        raise ClimateError("the number of years is impossible", found=years, expected=f"1 to {MOST_YEARS}")
    found = calibrated(normals)
    driven, hours = drivers(seed, years), clock(normals, years)
    above, rain = _rain(driven, hours, found.wet_share, found.rain_scale)
    okta = cloud_okta(driven.fronts, driven.cloud, rain, found.cloud_power[hours.month])
    temperature, daily = _temperature(driven, hours, okta, found.course, found.daily_wave)
    wetness = nearness_to_rain(above)
    humidity = humidity_of(temperature, daily, found.dew_gap[hours.month], driven.dew, wetness, rain)
    speed = np.round(_speed(driven, hours, found.wind_scale), 1)
    direction = np.round(_direction(driven, rain, normals)) % 360.0
    standard = 101325.0 * (1.0 - 2.25577e-5 * normals.altitude) ** 5.25588
    return {
        "air_temperature_C": np.round(temperature, 1),
        "relative_humidity_percent": np.round(100.0 * humidity),
        "air_pressure_Pa": np.round(standard - 500.0 * driven.fronts + 700.0 * driven.pressure, -1),
        "wind_speed_m_s": speed,
        "wind_direction_deg": np.where(speed == 0.0, np.nan, np.where(direction == 0.0, 360.0, direction)),
        "rain_mm": rain,
        "solar_global_W_m2": np.round(_sun(hours, okta)),
        "cloud_okta": okta,
    }


def write_generated(normals: Normals, path: str | Path, years: int = 1, seed: int = 1) -> Path:
    """Write hours made from monthly normals in hygro's own CSV.

    Parameters
    ----------
    normals : Normals
        The climate table.
    path : str or Path
        Where to; an existing file is replaced.
    years, seed : int
        As in `generated_hours`.

    Returns
    -------
    Path
        The file, stamped from 2001 on without any 29 February.

    Raises
    ------
    ClimateError
        As `generated_hours`, or where it cannot be written.
    """
    columns = generated_hours(normals, years, seed)
    comments = {
        "name": f"hours made from {normals.title}",
        "source": "GENERATED from monthly normals by hygro.climate.stochastic, no measured hours; "
        f"seed {seed}; normals: {normals.source}",
        "latitude": f"{normals.latitude:.10g}",
        "longitude": f"{normals.longitude:.10g}",
        "altitude": f"{normals.altitude:.10g}",
    }
    begin: NDArray[np.datetime64] = np.datetime64("2001-01-01T00", "h") + np.arange(
        years * 8784 + 24
    ) * np.timedelta64(1, "h")
    end = begin[~is_leap_day(begin)][: years * HOURS] + np.timedelta64(1, "h")
    return write_weather_csv(Path(path), comments, end.astype("datetime64[m]"), columns, DIGITS)
