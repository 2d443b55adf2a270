"""Weather and site to the climate of one elevation, in SI units, as the solver takes it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import xarray as xr
from numpy.typing import NDArray

from hygro.climate.site import SiteFactors
from hygro.climate.sun import SunPosition, sun_position
from hygro.constants import SECONDS_PER_HOUR, ZERO_CELSIUS
from hygro.errors import ClimateError
from hygro.physics.moist_air import saturation_pressure
from hygro.physics.rain import airfield_index, hourly_airfield_rain
from hygro.physics.solar import incidence_cosine, wall_irradiance
from hygro.physics.surfaces import (
    convective_coefficient,
    equivalent_temperature,
    longwave_gain,
    radiative_coefficient,
    vapour_coefficient,
)
from hygro.physics.typing import FloatArray


@dataclass(frozen=True)
class WallClimate:
    """Climate of one elevation, hour by hour.

    Attributes
    ----------
    air_temperature : array, shape (hours,)
        [K].
    vapour_pressure : array, shape (hours,)
        [Pa].
    equivalent_temperature : array, shape (hours,)
        Air temperature with absorbed sun and net long-wave folded in [K].
    heat_coefficient : array, shape (hours,)
        Convection and linearised long-wave together [W/(m2 K)].
    vapour_coefficient : array, shape (hours,)
        [kg/(m2 s Pa)].
    solar : array, shape (hours,)
        Sun on the wall, before absorption [W/m2].
    longwave_gain : array, shape (hours,)
        Net long-wave of a surface at air temperature, emissivity included [W/m2].
    driving_rain : array, shape (hours,)
        Rain that hits the wall, before splash [kg/(m2 s)].
    start : datetime64
        Begin of the first hour, UTC.
    annual_index, wall_index : float
        Airfield annual index and wall annual index [l/(m2 a)].
    """

    air_temperature: FloatArray
    vapour_pressure: FloatArray
    equivalent_temperature: FloatArray
    heat_coefficient: FloatArray
    vapour_coefficient: FloatArray
    solar: FloatArray
    longwave_gain: FloatArray
    driving_rain: FloatArray
    start: np.datetime64
    annual_index: float
    wall_index: float


def wall_climate(
    weather: xr.Dataset,
    *,
    elevation: float,
    site: SiteFactors,
    solar_absorptance: float,
    emissivity: float,
    ground_reflectance: float = 0.2,
    sky_view: float = 0.5,
) -> WallClimate:
    """Work out the climate of one elevation.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    elevation : float
        Direction the wall faces [degrees from north].
    site : SiteFactors
        Terrain, obstacles, kind of wall.
    solar_absorptance, emissivity : float
        Of the external surface [1].
    ground_reflectance : float
        Of what lies in front [1]; 0.2 is common practice.
    sky_view : float
        Share of the half-space in front of the wall that is sky [1].

    Returns
    -------
    WallClimate
        Arrays as long as the weather.

    Raises
    ------
    ClimateError
        Where a share is not within 0 and 1.

    Notes
    -----
    Wind for convection is the wind at 10 m in the open times C_R and C_T at the height of the wall (common
    practice). Precipitation counts as rain at any temperature, which is on the safe side. Vapour pressure
    takes humidity relative to `saturation_pressure`, over ice below 0 degC.
    """
    for name, share in (
        ("solar absorptance", solar_absorptance),
        ("emissivity", emissivity),
        ("ground reflectance", ground_reflectance),
        ("sky view", sky_view),
    ):
        if not 0.0 <= share <= 1.0:
            raise ClimateError(f"the {name} is out of range", found=share, expected="0 to 1")
    air = weather["air_temperature"].to_numpy() + ZERO_CELSIUS
    convective = convective_coefficient(weather["wind_speed"].to_numpy() * site.wind_factor)
    heat = convective + radiative_coefficient(emissivity, air)
    solar = solar_on_wall(weather, elevation, ground_reflectance, sky_view)
    longwave = longwave_gain(emissivity, sky_view, weather["longwave_sky"].to_numpy(), air)
    wind = (
        weather["wind_speed"].to_numpy(),
        weather["wind_direction"].to_numpy(),
        weather["rain"].to_numpy(),
    )
    index = airfield_index(*wind, elevation)
    return WallClimate(
        air_temperature=air,
        vapour_pressure=weather["relative_humidity"].to_numpy() * saturation_pressure(air),
        equivalent_temperature=equivalent_temperature(air, solar_absorptance * solar + longwave, heat),
        heat_coefficient=heat,
        vapour_coefficient=vapour_coefficient(convective, air),
        solar=solar,
        longwave_gain=longwave,
        driving_rain=hourly_airfield_rain(*wind, elevation) * site.rain_factor / SECONDS_PER_HOUR,
        start=weather["time"].to_numpy()[0] - np.timedelta64(1, "h"),
        annual_index=index,
        wall_index=index * site.rain_factor,
    )


def solar_on_wall(
    weather: xr.Dataset, elevation: float, ground_reflectance: float = 0.2, sky_view: float = 0.5
) -> FloatArray:
    """Return sun on a vertical wall, with the sun where it stands at mid-hour.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    elevation : float
        Direction the wall faces [degrees from north].
    ground_reflectance, sky_view : float
        [1].

    Returns
    -------
    array, shape (hours,)
        [W/m2].
    """
    end: NDArray[np.datetime64] = weather["time"].to_numpy().astype("datetime64[s]")
    sun = _sun_at_mid_hour(end.tobytes(), weather.attrs["latitude"], weather.attrs["longitude"])
    return wall_irradiance(
        weather["solar_direct_normal"].to_numpy(),
        weather["solar_diffuse"].to_numpy(),
        weather["solar_global"].to_numpy(),
        sun.extraterrestrial,
        sun.zenith,
        incidence_cosine(sun.zenith, sun.azimuth, elevation),
        sky_view=sky_view,
        ground_reflectance=ground_reflectance,
    )


@lru_cache(maxsize=4)
def _sun_at_mid_hour(ends: bytes, latitude: float, longitude: float) -> SunPosition:
    """Return where the sun stands; all elevations of a record share it. `ends`: datetime64[s] as bytes."""
    end: NDArray[np.datetime64] = np.frombuffer(ends, dtype="datetime64[s]")
    return sun_position(end - np.timedelta64(1800, "s"), latitude, longitude)
