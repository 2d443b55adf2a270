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
from scipy.special import ndtri

from hygro.climate.csv_writer import write_weather_csv
from hygro.climate.processes import (
    HOURS,
    STARTING_SPEED,
    Noise,
    burst_amount,
    cloud_okta,
    fronts_of,
    humidity_of,
    nearness_to_rain,
    rounded_direction,
    smoothed,
    wind_share,
)
from hygro.climate.sun import sun_position
from hygro.physics.solar import clear_sky_global, cloud_transmission
from hygro.physics.typing import FloatArray

YEAR: Final = "2001"
"""Year on the stamps: any that is no leap year."""

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
    noise = Noise(place.seed)
    hour: FloatArray = np.arange(HOURS, dtype=np.float64) + 0.5
    winter = np.cos(2.0 * np.pi * (hour / 24.0 - 20.0) / 365.0)  # 1 about 20 January, -1 in July
    fronts = fronts_of(noise.series(72.0), noise.series(5.0))
    rain, wetness = _rain(place, noise, fronts, winter)
    okta = cloud_okta(fronts, noise.series(6.0), rain)
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
        "wind_direction_deg": np.where(speed == 0.0, np.nan, rounded_direction(direction)),
        "rain_mm": rain,
        "solar_global_W_m2": np.round(clear_sky_global(zenith) * cloud_transmission(1.25 * okta)),
        "cloud_okta": okta,
    }


def _rain(
    place: InventedPlace, noise: Noise, fronts: FloatArray, winter: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return rain [mm] and how near to rain each hour is [1]; summer rain is rarer and heavier."""
    share = place.wet_share * (1.0 + 0.25 * winter)
    above = fronts - ndtri(1.0 - share)
    amount = place.rain_scale * (1.0 - 0.25 * winter) * burst_amount(above, noise.series(2.0))
    return np.round(amount, 1), nearness_to_rain(above)


def _wind(
    place: InventedPlace,
    noise: Noise,
    fronts: FloatArray,
    wetness: FloatArray,
    winter: FloatArray,
    hour: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    weibull = wind_share(fronts, noise.series(18.0))
    day = 1.0 + place.daily_wind * np.cos(2.0 * np.pi * (hour - 14.0) / 24.0)
    speed = place.mean_wind * weibull * day * (1.0 + 0.15 * winter)
    spread = place.spread_dry + (place.spread_wet - place.spread_dry) * wetness
    speed = np.where(speed < STARTING_SPEED, 0.0, speed)
    return speed, np.mod(place.prevailing + spread * noise.series(30.0), 360.0)


def _temperature(
    place: InventedPlace,
    noise: Noise,
    okta: FloatArray,
    direction: FloatArray,
    winter: FloatArray,
    hour: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Return temperature and what it would be without the daily wave [degC]."""
    mild = np.cos(np.radians(direction - 225.0))
    slow = place.mean_temperature - place.yearly_wave * np.roll(winter, 24 * 8)
    slow = slow + (3.0 + 0.4 * winter) * noise.series(96.0) + 1.2 * winter * smoothed(mild)
    clear = 1.0 - 0.7 * (smoothed(okta) / 8.0) ** 2
    wave = place.daily_wave * (1.0 - 0.5 * winter) / 1.5 * clear
    return slow + wave * np.cos(2.0 * np.pi * (hour - 15.0) / 24.0), slow


def _humidity(
    place: InventedPlace,
    noise: Noise,
    temperature: FloatArray,
    daily: FloatArray,
    wetness: FloatArray,
    rain: FloatArray,
) -> FloatArray:
    return humidity_of(temperature, daily, place.dew_gap, noise.series(36.0), wetness, rain)


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
    comments = {
        "name": place.title,
        "source": f"INVENTED by hygro.climate.generator, seed {place.seed}; no measurement of any place",
        "licence": "CC0-1.0",
        "latitude": f"{place.latitude:g}",
        "longitude": f"{place.longitude:g}",
        "altitude": f"{place.altitude:g}",
    }
    end = np.datetime64(f"{YEAR}-01-01T00:00", "m") + np.arange(1, HOURS + 1) * np.timedelta64(60, "m")
    return write_weather_csv(folder / f"{place.name}.csv", comments, end, invented_year(place), DIGITS)


DIGITS: Final = {"air_temperature_C": 1, "wind_speed_m_s": 1, "rain_mm": 1}
"""Decimals of the columns that are not whole numbers."""
