"""Histories of a place in the terms of the limits: humidity, mould index, moisture content of timber."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal

import numpy as np
from numpy.typing import NDArray

from hygro.constants import HOURS_PER_YEAR
from hygro.errors import ResultError
from hygro.report.plots.common import place_index
from hygro.scores.access import hourly_stamps, labels_of, table_of

if TYPE_CHECKING:
    import xarray as xr

Quantity = Literal["humidity", "mould", "timber"]
"""Relative humidity [%], mould index [1], moisture content of timber in equilibrium [% by mass]."""

AXIS_LABELS: Final[dict[str, str]] = {
    "humidity": "relative humidity φ (%)",
    "mould": "mould index M (1)",
    "timber": "moisture content of timber (% by mass)",
}

UNITS: Final[dict[str, str]] = {"humidity": " %", "mould": "", "timber": " %"}

_HOURS_PER_DAY = 24


def daily_history(
    dataset: xr.Dataset, place: str, quantity: Quantity = "humidity", years: int = 1
) -> tuple[NDArray[np.datetime64], NDArray[np.float64]]:
    """Return a day-by-day history of a place over the last years.

    Parameters
    ----------
    dataset : xarray.Dataset
        Result or logged data.
    place : str
        Label of the place.
    quantity : {"humidity", "mould", "timber"}
        What to show.
    years : int
        How many of the last years; less where the record is shorter.

    Returns
    -------
    days : array of datetime64[D]
        Begin of each block of 24 hours, counted back from the end of the record.
    values : array
        Of each block what is scored: the largest hourly humidity or mould index, the mean of timber.

    Raises
    ------
    ResultError
        The place or a variable is missing, or the record is not hourly.
    """
    stamps = hourly_stamps(dataset)
    column = place_index(dataset, place)
    series = _hourly(dataset, column, quantity)
    count = min(years * HOURS_PER_YEAR, len(series)) // _HOURS_PER_DAY
    if count == 0:
        raise ResultError(
            "the record is shorter than a day", found=f"{len(series)} h", expected="24 h or more"
        )
    blocks = series[len(series) - count * _HOURS_PER_DAY :].reshape(count, _HOURS_PER_DAY)
    ends = stamps[len(series) - count * _HOURS_PER_DAY :: _HOURS_PER_DAY]
    days = (ends - np.timedelta64(1, "h")).astype("datetime64[D]")
    return days, blocks.mean(axis=1) if quantity == "timber" else blocks.max(axis=1)


def _hourly(dataset: xr.Dataset, column: int, quantity: Quantity) -> NDArray[np.float64]:
    humidity = 100.0 * table_of(dataset, "relative_humidity", "time", "place")[:, column]
    if quantity == "humidity":
        return humidity
    temperature = table_of(dataset, "temperature", "time", "place")[:, column]
    if quantity == "timber":
        from hygro.scores.timber import equilibrium_moisture

        return equilibrium_moisture(temperature, humidity)
    from hygro.scores.mould import mould_index

    sensitivity = labels_of(dataset, "place_sensitivity")[column]
    decline = labels_of(dataset, "place_decline")[column]
    return mould_index(temperature, humidity, sensitivity, decline)
