"""Invented weather years: hourly, of a temperate maritime climate, from a seed. Nothing here was measured.

Three autoregressive Gaussian processes of an hour's step carry the weather: fronts (cloud and rain), wind,
and warmth.

* Fronts `x`: the sum of a slow part (three days) and a fast one (five hours), standard normal. It rains while
`x` is
  above a threshold; the intensity of a wet hour follows from a second process of two hours' memory, so that
  bursts last. Cloud follows from `x` as well, and is at least six oktas in rain.
* Wind: its speed follows a Weibull distribution of shape 2, correlated with `x`; its direction swings about a
prevailing
  one, less widely the higher `x` is, so that rain comes from the prevailing quarter.
* Warmth: a yearly and a daily wave, the daily one smaller under cloud, and a part of four days' memory that
is milder
  with wind from the south-west in winter. Humidity follows from a dew point that lies closer to the
  temperature in rain.

Sun: clear sky times transmission of cloud. Numbers are a choice by eye, without a published source; they were
set to give plausible means and sums, and not to fit any station. Only uniform numbers are drawn from PCG64
and turned into normal ones here, so that the years do not change with a numpy version.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from scipy.signal import lfilter
from scipy.special import ndtr, ndtri

from hygro.climate.sky import dew_point_pressure
from hygro.climate.sun import sun_position
from hygro.physics.solar import clear_sky_global, cloud_transmission
from hygro.physics.typing import FloatArray

HOURS: Final = 8760
YEAR: Final = "2001"
"""Year on the stamps: any that is no leap year."""

STARTING_SPEED: Final = 0.5
"""Wind [m/s] below which a cup anemometer stands still; common practice."""

HEADER: Final = (
    "hour_ending_utc",
    "air_temperature_C",
    "relative_humidity_percent",
    "air_pressure_Pa",
    "wind_speed_m_s",
    "wind_direction_deg",
    "rain_mm",
    "solar_global_W_m2",
    "cloud_okta",
)


@dataclass(frozen=True)
class InventedPlace:
    """What sets an invented year apart.

    Parameters
    ----------
    name : str
        File name without suffix.
    title : str
        In plain words.
    seed : int
        Of the random numbers.
    altitude : float
        [m].
    mean_temperature, yearly_wave, daily_wave : float
        Mean, and half the range of the yearly and of the cloudless summer's daily wave [degC].
    mean_wind : float
        [m/s].
    daily_wind : float
        Half the range of the daily wave of wind over its mean [1]; inland nights are calm.
    prevailing : float
        Direction the wind comes from most [degrees from north].
    spread_dry, spread_wet : float
        Standard deviation of the direction in fair weather and in rain [degrees].
    wet_share : float
        Share of hours in which it rains [1], before amounts that round to nothing are lost.
    rain_scale : float
        Scale of hourly rain [mm].
    dew_gap : float
        Dew point below the daily mean temperature in fair weather [K].
    latitude, longitude : float
        Where the sun is taken [degrees].
    """

    name: str
    title: str
    seed: int
    altitude: float
    mean_temperature: float
    yearly_wave: float
    daily_wave: float
    mean_wind: float
    daily_wind: float
    prevailing: float
    spread_dry: float
    spread_wet: float
    wet_share: float
    rain_scale: float
    dew_gap: float
    latitude: float = 52.0
    longitude: float = 0.0


PLACES: Final = (
    InventedPlace(
        name="sheltered-inland",
        title="invented year of a sheltered inland place",
        seed=5201,
        altitude=80.0,
        mean_temperature=10.3,
        yearly_wave=7.0,
        daily_wave=7.0,
        mean_wind=2.5,
        daily_wind=0.35,
        prevailing=235.0,
        spread_dry=85.0,
        spread_wet=70.0,
        wet_share=0.14,
        rain_scale=0.46,
        dew_gap=3.6,
    ),
    InventedPlace(
        name="exposed-coast",
        title="invented year of an exposed coast",
        seed=5202,
        altitude=10.0,
        mean_temperature=11.0,
        yearly_wave=5.2,
        daily_wave=2.4,
        mean_wind=6.5,
        daily_wind=0.08,
        prevailing=230.0,
        spread_dry=80.0,
        spread_wet=45.0,
        wet_share=0.18,
        rain_scale=0.6,
        dew_gap=3.0,
    ),
)
"""The years that ship."""


class _Noise:
    """Standard normal series with memory, from uniform numbers only."""

    def __init__(self, seed: int) -> None:
        self._generator = np.random.Generator(np.random.PCG64(seed))

    def series(self, memory: float) -> FloatArray:
        """Return a year's series, mean 0 and deviation 1, whose correlation is 1/e after `memory` hours."""
        white = ndtri(np.clip(self._generator.random(2 * HOURS), 1e-12, 1.0 - 1e-12))
        keep = float(np.exp(-1.0 / memory))
        series = lfilter([1.0], [1.0, -keep], white)[HOURS:]  # the first year lets it run in
        return (series - series.mean()) / series.std()


def invented_year(place: InventedPlace) -> dict[str, FloatArray]:
    """Return the columns of an invented year, rounded as they are written.

    Parameters
    ----------
    place : InventedPlace
        Which.

    Returns
    -------
    dict of str to array, each of shape (8760,)
        By the names in `HEADER`, without the time; wind direction is NaN where calm.
    """
    noise = _Noise(place.seed)
    hour: FloatArray = np.arange(HOURS, dtype=np.float64) + 0.5
    winter = np.cos(2.0 * np.pi * (hour / 24.0 - 20.0) / 365.0)  # 1 about 20 January, -1 in July
    fronts = 0.4 * noise.series(72.0) + 0.917 * noise.series(5.0)
    rain, wetness = _rain(place, noise, fronts, winter)
    okta = _cloud(noise, fronts, rain)
    speed, direction = _wind(place, noise, fronts, wetness, winter, hour)
    temperature, daily = _temperature(place, noise, okta, direction, winter, hour)
    humidity = _humidity(place, noise, temperature, daily, wetness, rain)
    end = np.datetime64(f"{YEAR}-01-01T00:00:00", "s") + (hour * 3600.0).astype("timedelta64[s]")
    zenith = sun_position(end, place.latitude, place.longitude).zenith
    pressure = 101325.0 * (1.0 - 2.25577e-5 * place.altitude) ** 5.25588 - 500.0 * fronts
    pressure += 700.0 * noise.series(96.0)
    speed = np.round(speed, 1)
    return {
        "air_temperature_C": np.round(temperature, 1),
        "relative_humidity_percent": np.round(100.0 * humidity),
        "air_pressure_Pa": np.round(pressure, -1),
        "wind_speed_m_s": speed,
        "wind_direction_deg": np.where(speed == 0.0, np.nan, _rounded_direction(direction)),
        "rain_mm": rain,
        "solar_global_W_m2": np.round(clear_sky_global(zenith) * cloud_transmission(1.25 * okta)),
        "cloud_okta": okta,
    }


def _rain(
    place: InventedPlace, noise: _Noise, fronts: FloatArray, winter: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return rain [mm] and how near to rain each hour is [1]; summer rain is rarer and heavier."""
    share = place.wet_share * (1.0 + 0.25 * winter)
    above = fronts - ndtri(1.0 - share)
    burst: FloatArray = -np.log1p(-np.clip(ndtr(noise.series(2.0)), 0.0, 1.0 - 1e-12))
    amount: FloatArray = place.rain_scale * (1.0 - 0.25 * winter) * burst**1.4 * (0.4 + above)
    amount = np.where(above > 0.0, amount, 0.0)
    return np.round(amount, 1), np.clip(1.0 + above, 0.0, 1.0)


def _cloud(noise: _Noise, fronts: FloatArray, rain: FloatArray) -> FloatArray:
    rank = ndtr(0.85 * fronts + 0.53 * noise.series(6.0))
    okta = np.round(8.0 * np.clip(1.25 * rank**0.7 - 0.05, 0.0, 1.0))
    return np.where(rain > 0.0, np.maximum(okta, 6.0), okta)


def _wind(
    place: InventedPlace,
    noise: _Noise,
    fronts: FloatArray,
    wetness: FloatArray,
    winter: FloatArray,
    hour: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    rank = ndtr(0.35 * fronts + 0.937 * noise.series(18.0))
    weibull = np.sqrt(-np.log1p(-np.minimum(rank, 1.0 - 1e-12))) / (np.sqrt(np.pi) / 2.0)
    day = 1.0 + place.daily_wind * np.cos(2.0 * np.pi * (hour - 14.0) / 24.0)
    speed = place.mean_wind * weibull * day * (1.0 + 0.15 * winter)
    spread = place.spread_dry + (place.spread_wet - place.spread_dry) * wetness
    speed = np.where(speed < STARTING_SPEED, 0.0, speed)
    return speed, np.mod(place.prevailing + spread * noise.series(30.0), 360.0)


def _rounded_direction(direction: FloatArray) -> FloatArray:
    """Round to 10 degrees; north is 360, as stations write it."""
    tens = np.mod(np.round(direction, -1), 360.0)
    return np.where(tens == 0.0, 360.0, tens)


def _temperature(
    place: InventedPlace,
    noise: _Noise,
    okta: FloatArray,
    direction: FloatArray,
    winter: FloatArray,
    hour: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Return temperature and what it would be without the daily wave [degC]."""
    mild = np.cos(np.radians(direction - 225.0))
    slow = place.mean_temperature - place.yearly_wave * np.roll(winter, 24 * 8)
    slow = slow + (3.0 + 0.4 * winter) * noise.series(96.0) + 1.2 * winter * _smoothed(mild)
    clear = 1.0 - 0.7 * (_smoothed(okta) / 8.0) ** 2
    wave = place.daily_wave * (1.0 - 0.5 * winter) / 1.5 * clear
    return slow + wave * np.cos(2.0 * np.pi * (hour - 15.0) / 24.0), slow


def _smoothed(values: FloatArray) -> FloatArray:
    """Return the mean of the last 12 hours; the year closes on itself."""
    around = np.concatenate((values[-11:], values))
    return np.convolve(around, np.full(12, 1.0 / 12.0), mode="valid")


def _humidity(
    place: InventedPlace,
    noise: _Noise,
    temperature: FloatArray,
    daily: FloatArray,
    wetness: FloatArray,
    rain: FloatArray,
) -> FloatArray:
    gap = place.dew_gap * np.exp(0.35 * noise.series(36.0)) * (1.0 - 0.65 * wetness)
    point = daily - gap + 0.25 * (temperature - daily)
    humidity = dew_point_pressure(point) / dew_point_pressure(temperature)
    humidity = np.where(rain > 0.0, np.maximum(humidity, 0.85), humidity)
    return np.clip(humidity, 0.25, 1.0)


def write_invented_year(place: InventedPlace, folder: Path) -> Path:
    """Write an invented year in hygro's own CSV layout.

    Parameters
    ----------
    place : InventedPlace
        Which.
    folder : Path
        Where to.

    Returns
    -------
    Path
        The file.
    """
    columns = invented_year(place)
    begin = np.datetime64(f"{YEAR}-01-01T00:00", "m")
    lines = [
        f"# name: {place.title}",
        f"# source: INVENTED by hygro.climate.generator, seed {place.seed}; no measurement of any place",
        "# licence: CC0-1.0",
        f"# latitude: {place.latitude:g}",
        f"# longitude: {place.longitude:g}",
        f"# altitude: {place.altitude:g}",
        ",".join(HEADER),
    ]
    rows = zip(*(columns[name] for name in HEADER[1:]), strict=True)
    for row, cells in enumerate(rows, start=1):
        text = [_cell(value, digits) for value, digits in zip(cells, _DIGITS, strict=True)]
        lines.append(",".join([f"{begin + np.timedelta64(row, 'h')}Z", *text]))
    path = folder / f"{place.name}.csv"
    temporary = path.with_suffix(".csv.part")
    temporary.write_text("\n".join(lines) + "\n", encoding="utf-8")
    temporary.replace(path)
    return path


_DIGITS: Final = (1, 0, 0, 1, 0, 1, 0, 0)
"""Decimals of each column of `HEADER` after the time."""


def _cell(value: float, digits: int) -> str:
    return "" if np.isnan(value) else f"{value + 0.0:.{digits}f}"
