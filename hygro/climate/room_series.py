"""A logged room: hourly temperature and humidity laid over a weather record, short gaps filled on request."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hygro.climate.csv_reader import read_columns
from hygro.climate.daylight import HOUR
from hygro.climate.gaps import filled
from hygro.climate.options import ReadOptions
from hygro.climate.record import QUANTITIES, Record
from hygro.climate.table import TextTable, read_table
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

NEEDED = {"air_temperature": "air_temperature_C", "relative_humidity": "relative_humidity_percent"}
"""What a logged room holds, and the usual column of it."""


def read_logged_room(
    path: Path,
    end: NDArray[np.datetime64],
    *,
    fill_hours: int = 0,
    utc_offset_hours: float | None = None,
    time_zone: str | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Read a logged room.

    Parameters
    ----------
    path : Path
        CSV with a column of times and one each of temperature and humidity, by the names of
        `hygro.climate.columns`.
    end : array of datetime64, shape (hours,)
        End of each hour wanted, UTC.
    fill_hours : int
        Longest gap that is filled [h]: up to 3 h along a straight line, beyond that, up to a day, by the mean
        of the same hours of the day before and after; never more than 1 % of the hours in all. Own rules,
        those of weather records. 0 fills none.
    utc_offset_hours : float, optional
        Standard time of the stamps less UTC [h].
    time_zone : str, optional
        Where stamps follow daylight saving.

    Returns
    -------
    temperature, humidity : array, shape (hours,)
        [degC], [1].

    Raises
    ------
    ClimateError
        Where an hour or a value is missing beyond what may be filled, or impossible, or a time comes twice.
    """
    table = read_table(path)
    options = ReadOptions(
        location=(0.0, 0.0, 0.0),
        utc_offset_hours=utc_offset_hours,
        time_zone=time_zone,
        fill_hours=fill_hours,
    )
    record = read_columns(table, options)
    for name, column in NEEDED.items():
        if name not in record.values:
            raise ClimateError(
                f"there is no column {column!r} with values",
                where=str(path),
                expected=f"hour_ending_utc, {', '.join(NEEDED.values())}",
            )
    begin = record.begin_utc().astype("datetime64[s]")
    if (np.diff(begin) <= np.timedelta64(0, "s")).any():
        row = int(np.argmax(np.diff(begin) <= np.timedelta64(0, "s"))) + 1
        raise ClimateError(
            "the hour comes again or goes back in time", where=table.place(row), found=str(begin[row] + HOUR)
        )
    wanted: NDArray[np.datetime64] = np.subtract(end.astype("datetime64[s]"), HOUR)
    laid = _laid(record, table, begin, wanted, fill_hours)
    for name in NEEDED:
        laid = filled(laid, name, fill_hours)
    return laid.values["air_temperature"], laid.values["relative_humidity"]


def _laid(
    record: Record,
    table: TextTable,
    begin: NDArray[np.datetime64],
    wanted: NDArray[np.datetime64],
    fill_hours: int,
) -> Record:
    """Lay a record over the hours wanted; what is missing is NaN where it may be filled, else refused."""
    rows = np.minimum(np.searchsorted(begin, wanted), len(begin) - 1)
    absent = begin[rows] != wanted
    if absent.any() and (fill_hours == 0 or absent.all()):
        raise ClimateError(
            "the times do not match those of the weather",
            where=str(record.path),
            found=f"{int(absent.sum())} of {len(wanted)} hours missing, the first {wanted[absent][0] + HOUR}",
            expected=f"each hour from {wanted[0] + HOUR} to {wanted[-1] + HOUR}",
        )
    values = {}
    for name in NEEDED:
        limits, column = QUANTITIES[name], record.values[name][rows]
        wrong = ~absent & ~((column >= limits.low) & (column <= limits.high))
        if fill_hours > 0:
            wrong &= np.isfinite(column)
        if wrong.any():
            row = int(rows[np.argmax(wrong)])
            cells = {key: cell[row] for key, cell in table.columns.items()}
            raise ClimateError(
                f"{limits.long_name} is missing or impossible",
                where=table.place(row),
                found=next((cell for key, cell in cells.items() if key.startswith(name)), None),
                expected=f"{limits.low:g} to {limits.high:g} {limits.units}",
            )
        values[name] = np.where(absent, np.nan, column)
    return replace(record, begin=wanted, lines=record.lines[rows], values=values, utc_offset=0.0)
