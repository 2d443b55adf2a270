"""A weather record in figures: the year, its months, the wind when it rains, each elevation."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import xarray as xr

from hygro.climate.exposure import ElevationExposure, exposure_table
from hygro.climate.finding import Finding
from hygro.climate.site import POINTS, SiteFactors
from hygro.climate.statistics import weather_statistics
from hygro.physics.rain import driving_rain
from hygro.physics.typing import FloatArray

WET: Final = 0.1
"""Rain [mm] from which an hour counts as wet: the resolution of common gauges."""


@dataclass(frozen=True)
class Month:
    """Means and sums of a month, over all years of the record.

    Attributes
    ----------
    month : int
        1 to 12.
    air_temperature, coldest_day, warmest_day : float
        Mean, and least and greatest daily mean [degC].
    relative_humidity, wind_speed : float
        Means [%], [m/s].
    rain, wet_hours : float
        Sum of the month [mm] and hours with at least `WET`.
    solar_global, longwave_sky : float
        Sun on the horizontal [kWh/m2], mean long-wave from the sky [W/m2].
    """

    month: int
    air_temperature: float
    coldest_day: float
    warmest_day: float
    relative_humidity: float
    wind_speed: float
    rain: float
    wet_hours: float
    solar_global: float
    longwave_sky: float


@dataclass(frozen=True)
class Sector:
    """Wind of one direction while it rains, a year.

    Attributes
    ----------
    name : str
        Point of the compass, sixteen of them.
    degrees : float
        Where the wind comes from.
    wet_hours : float
        Hours with rain [h a].
    rain : float
        Rain in them, on the ground [mm a].
    driving : float
        Rain through a plane that always faces the wind [l/(m2 a)].
    wind_speed : float
        Mean wind in them [m/s]; 0 where there are none.
    """

    name: str
    degrees: float
    wet_hours: float
    rain: float
    driving: float
    wind_speed: float


@dataclass(frozen=True)
class Overview:
    """All that a site sheet shows.

    Attributes
    ----------
    figures : dict of str to float
        From `hygro.climate.weather_statistics`.
    months : tuple of Month
        January first.
    rose : tuple of Sector
        North first; empty where the record has no rain on purpose.
    undirected : float
        Rain while it was calm or the direction was unknown [mm a].
    elevations : tuple of ElevationExposure
        The eight main ones; empty where there is no rain.
    findings : tuple of Finding
        As listed when the record was read.
    years : float
        Years of 8760 h.
    """

    figures: dict[str, float]
    months: tuple[Month, ...]
    rose: tuple[Sector, ...]
    undirected: float
    elevations: tuple[ElevationExposure, ...]
    findings: tuple[Finding, ...]
    years: float


def overview(weather: xr.Dataset, site: SiteFactors) -> Overview:
    """Work out the figures of a site sheet.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    site : SiteFactors
        Of the wall.

    Returns
    -------
    Overview
    """
    years = weather.sizes["time"] / 8760.0
    wet = weather.attrs["rain"] != "none"
    rose, undirected = _rose(weather, years) if wet else ((), 0.0)
    return Overview(
        figures=weather_statistics(weather),
        months=_months(weather),
        rose=rose,
        undirected=undirected,
        elevations=exposure_table(weather, site) if wet else (),
        findings=findings_of(weather),
        years=years,
    )


def findings_of(weather: xr.Dataset) -> tuple[Finding, ...]:
    """Return the findings that a dataset carries.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.
    """
    entries: list[dict[str, Any]] = json.loads(weather.attrs.get("findings", "[]"))
    return tuple(Finding(**{**entry, "times": tuple(entry["times"])}) for entry in entries)


def _months(weather: xr.Dataset) -> tuple[Month, ...]:
    # an hour belongs to the month in which it begins, in the standard time of the record
    shift = np.timedelta64(round(3600.0 * (float(weather.attrs["utc_offset_hours"]) - 1.0)), "s")
    begin = weather["time"].to_numpy().astype("datetime64[s]") + shift
    number = begin.astype("datetime64[M]").astype(int) % 12 + 1
    days = begin.astype("datetime64[D]")
    columns = {str(name): weather[name].to_numpy() for name in weather.data_vars}
    rows = []
    for month in range(1, 13):
        of_month = number == month
        # every month of a record of whole years is there as often as there are years
        times = max(1, len(np.unique(begin[of_month].astype("datetime64[Y]"))))
        values = {name: column[of_month] for name, column in columns.items()}
        daily = _daily_means(values["air_temperature"], days[of_month])
        rows.append(
            Month(
                month=month,
                air_temperature=float(values["air_temperature"].mean()),
                coldest_day=float(daily.min()),
                warmest_day=float(daily.max()),
                relative_humidity=100.0 * float(values["relative_humidity"].mean()),
                wind_speed=float(values["wind_speed"].mean()),
                rain=float(values["rain"].sum()) / times,
                wet_hours=float((values["rain"] >= WET).sum()) / times,
                solar_global=float(values["solar_global"].sum()) / 1000.0 / times,
                longwave_sky=float(values["longwave_sky"].mean()),
            )
        )
    return tuple(rows)


def _daily_means(values: FloatArray, days: np.ndarray) -> FloatArray:
    _, position, count = np.unique(days, return_inverse=True, return_counts=True)
    return np.asarray(np.bincount(position, values) / count, dtype=float)


def _rose(weather: xr.Dataset, years: float) -> tuple[tuple[Sector, ...], float]:
    wind, direction, rain = (weather[name].to_numpy() for name in ("wind_speed", "wind_direction", "rain"))
    known = np.isfinite(direction)
    sector = np.full(len(rain), -1)
    sector[known] = np.round(direction[known] / 22.5).astype(int) % 16
    through = driving_rain(wind, rain)
    wet = rain >= WET
    rows = []
    for number, name in enumerate(POINTS):
        here = sector == number
        hours = here & wet
        rows.append(
            Sector(
                name=name,
                degrees=22.5 * number,
                wet_hours=float(hours.sum()) / years,
                rain=float(rain[here].sum()) / years,
                driving=float(through[here].sum()) / years,
                wind_speed=float(wind[hours].mean()) if hours.any() else 0.0,
            )
        )
    return tuple(rows), float(rain[~known].sum()) / years
