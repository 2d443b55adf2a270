"""Hourly CSV that is laid over a weather record by its times: rain from elsewhere, a logged room."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hygro.climate.columns import COLUMNS
from hygro.climate.record import QUANTITIES
from hygro.climate.table import TextTable, read_table
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray


def read_series(path: Path, columns: tuple[str, ...], end: NDArray[np.datetime64]) -> tuple[FloatArray, ...]:
    """Read columns for given hours.

    Parameters
    ----------
    path : Path
        CSV with `hour_ending_utc` and the columns.
    columns : tuple of str
        Names from `hygro.climate.columns.COLUMNS`.
    end : array of datetime64, shape (hours,)
        End of each hour wanted, UTC.

    Returns
    -------
    tuple of array, each of shape (hours,)
        In canonical units.

    Raises
    ------
    ClimateError
        Where an hour or a value is missing or impossible, or a time comes twice.
    """
    table = read_table(path)
    for name in ("hour_ending_utc", *columns):
        if name not in table.columns:
            raise ClimateError(
                f"there is no column {name!r}",
                where=str(path),
                expected=", ".join(("hour_ending_utc", *columns)),
            )
    times = table.times("hour_ending_utc")
    if (np.diff(times) <= np.timedelta64(0, "s")).any():
        row = int(np.argmax(np.diff(times) <= np.timedelta64(0, "s"))) + 1
        raise ClimateError(
            "the hour comes again or goes back in time", where=table.place(row), found=str(times[row])
        )
    rows = _rows(path, times, end.astype("datetime64[s]"))
    return tuple(_column(table, column, rows) for column in columns)


def _rows(path: Path, times: NDArray[np.datetime64], wanted: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Return the row of each wanted hour."""
    rows = np.minimum(np.searchsorted(times, wanted), len(times) - 1)
    absent = times[rows] != wanted
    if absent.any():
        raise ClimateError(
            "the times do not match those of the weather",
            where=str(path),
            found=f"{int(absent.sum())} of {len(wanted)} hours missing, the first {wanted[absent][0]}",
            expected=f"each hour from {wanted[0]} to {wanted[-1]}",
        )
    return rows


def _column(table: TextTable, column: str, rows: NDArray[np.int64]) -> FloatArray:
    """Return a column at some rows, in the canonical unit and within its limits."""
    name, scale, offset = COLUMNS[column]
    values = table.numbers(column)[rows] * scale + offset
    limits = QUANTITIES[name]
    wrong = ~((values >= limits.low) & (values <= limits.high))
    if wrong.any():
        row = int(rows[np.argmax(wrong)])
        raise ClimateError(
            f"{limits.long_name} is missing or impossible",
            where=table.place(row),
            found=table.columns[column][row],
            expected=f"{limits.low:g} to {limits.high:g} {limits.units}",
        )
    return values
