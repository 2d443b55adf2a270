"""Figures that describe a weather year at a glance."""

from __future__ import annotations

import xarray as xr

from hygro.physics.rain import airfield_index

WET = 0.1
"""Rain [mm] from which an hour counts as wet: the resolution of common rain gauges."""

DIRECTIONS = {"N": 0.0, "NE": 45.0, "E": 90.0, "SE": 135.0, "S": 180.0, "SW": 225.0, "W": 270.0, "NW": 315.0}


def weather_statistics(weather: xr.Dataset) -> dict[str, float]:
    """Return figures of a weather record, per year.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.

    Returns
    -------
    dict of str to float
        Means, sums and airfield annual indices; the unit is in each name.
    """
    years = weather.sizes["time"] / 8760.0
    rain = weather["rain"].to_numpy()
    wind = weather["wind_speed"].to_numpy()
    direction = weather["wind_direction"].to_numpy()
    figures = {
        "mean_air_temperature_C": float(weather["air_temperature"].mean()),
        "least_air_temperature_C": float(weather["air_temperature"].min()),
        "greatest_air_temperature_C": float(weather["air_temperature"].max()),
        "mean_relative_humidity_percent": 100.0 * float(weather["relative_humidity"].mean()),
        "mean_wind_speed_m_s": float(wind.mean()),
        "rain_mm": float(rain.sum()) / years,
        "wet_hours": float((rain >= WET).sum()) / years,
        "solar_global_kWh_m2": float(weather["solar_global"].sum()) / 1000.0 / years,
    }
    for name, degrees in DIRECTIONS.items():
        figures[f"airfield_index_{name}_l_m2"] = airfield_index(wind, direction, rain, degrees)
    return figures
