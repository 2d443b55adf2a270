"""Years of a record, and the columns of rain and wind that several modules take from it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import xarray as xr

from hygro.climate.checks import HOUR, years_later
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray


class WindAndRain(NamedTuple):
    """Columns of a record.

    Attributes
    ----------
    wind_speed, wind_direction, rain : array, shape (hours,)
        [m/s], [degrees from north; NaN where calm or unknown], [mm/h].
    """

    wind_speed: FloatArray
    wind_direction: FloatArray
    rain: FloatArray


def wind_and_rain(weather: xr.Dataset) -> WindAndRain:
    """Return wind and rain of a record.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`.

    Returns
    -------
    WindAndRain
        As arrays.
    """
    return WindAndRain(
        weather["wind_speed"].to_numpy(), weather["wind_direction"].to_numpy(), weather["rain"].to_numpy()
    )


def year_slices(weather: xr.Dataset) -> list[slice]:
    """Return the hours of each year of a record, counted from its first hour.

    Parameters
    ----------
    weather : xarray.Dataset
        From `hygro.climate.load_weather`: whole years.

    Returns
    -------
    list of slice
        In order.

    Raises
    ------
    ClimateError
        Where the record does not hold whole years.
    """
    end = weather["time"].to_numpy().astype("datetime64[s]")
    first = end[0] - HOUR
    last = end[-1]
    count = max(1, round(float((last - first) / np.timedelta64(365, "D"))))
    edges = [np.searchsorted(end, years_later(first, year), side="right") for year in range(count + 1)]
    lengths = np.diff(edges)
    if edges[-1] != len(end) or last != years_later(first, count) or (lengths < 8760).any():
        raise ClimateError(
            "the record does not hold whole years",
            where=str(weather.attrs.get("file", "")) or None,
            found=f"{len(end)} h from {first} to {last}",
            expected="whole years, hour by hour",
        )
    return [slice(int(start), int(stop)) for start, stop in zip(edges[:-1], edges[1:], strict=True)]


def months_of(weather: xr.Dataset) -> np.ndarray:
    """Return the month of each hour, 0 for January, by the time at which the hour begins, UTC.

    Parameters
    ----------
    weather : xarray.Dataset
        With a time axis of ends of hours.

    Returns
    -------
    array of int, shape (hours,)
        0 to 11.
    """
    begin = weather["time"].to_numpy().astype("datetime64[s]") - HOUR
    return begin.astype("datetime64[M]").astype(int) % 12
