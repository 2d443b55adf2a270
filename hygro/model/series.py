"""Hourly boundary series from a text table."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path
from typing import Final

import numpy as np

from hygro.climate.table import TextTable, read_table
from hygro.constants import ZERO_CELSIUS
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

TIME: Final = "hour_ending_utc"
"""Column of the end of each hour, in UTC."""

QUANTITIES: Final = {
    "temperature_C": ("temperature", 1.0, ZERO_CELSIUS),
    "air_temperature_C": ("air_temperature", 1.0, ZERO_CELSIUS),
    "relative_humidity_percent": ("relative_humidity", 0.01, 0.0),
    "vapour_pressure_Pa": ("vapour_pressure", 1.0, 0.0),
    "heat_coefficient_W_m2K": ("heat_coefficient", 1.0, 0.0),
    "vapour_coefficient_kg_m2sPa": ("vapour_coefficient", 1.0, 0.0),
    "rain_kg_m2s": ("rain", 1.0, 0.0),
}
"""Columns of a boundary series: name in SI, factor and offset to SI."""

COLUMNS: Final = (TIME, *QUANTITIES)
"""All columns that a boundary series may have."""


SOURCE_QUANTITIES: Final = ("heat_W_m3", "moisture_kg_m3h")
"""Columns of the series of a source, beside `TIME`."""


@dataclass(frozen=True)
class BoundarySeries:
    """Hourly values of one side.

    Parameters
    ----------
    path : pathlib.Path
        The file.
    values : dict of str to array, shape (hours,)
        SI values by the names that `hygro.model.boundary.series_boundary` takes.
    start : datetime64 or None
        Begin of the first hour, where the file has times.
    """

    path: Path
    values: dict[str, FloatArray]
    start: np.datetime64 | None


def read_series(path: Path) -> BoundarySeries:
    """Read hourly values of a boundary.

    Parameters
    ----------
    path : pathlib.Path
        CSV with a header row of names out of `COLUMNS`; `TIME` may be left out.

    Returns
    -------
    BoundarySeries
        In SI units.

    Raises
    ------
    ClimateError
        A column is unknown, a value is missing or no number, or the hours do not follow one another.
    """
    table = read_table(path)
    for name in table.columns:
        if name not in COLUMNS:
            close = get_close_matches(name, COLUMNS, n=1)
            hint = f"did you mean {close[0]!r}?" if close else f"known are {', '.join(COLUMNS)}"
            raise ClimateError(f"unknown column {name!r} in a boundary series", where=str(path), hint=hint)
    values = {}
    for name in table.columns:
        if name != TIME:
            si_name, factor, offset = QUANTITIES[name]
            values[si_name] = factor * _complete(table, name) + offset
    return BoundarySeries(path, values, _start(table))


def _complete(table: TextTable, name: str) -> FloatArray:
    values = table.numbers(name)
    missing = np.isnan(values)
    if missing.any():
        raise ClimateError(f"column {name!r} has no value", where=table.place(int(np.argmax(missing))))
    return values


def _start(table: TextTable) -> np.datetime64 | None:
    """Return the begin of the first hour, after a check that the hours follow one another."""
    if TIME not in table.columns:
        return None
    hour = np.timedelta64(1, "h")
    ends = table.times(TIME)
    wrong = np.diff(ends) != hour
    if wrong.any():
        row = int(np.argmax(wrong)) + 1
        raise ClimateError(
            "the hours of a boundary series do not follow one another",
            where=table.place(row),
            found=str(ends[row]),
            expected=str(ends[row - 1] + hour),
        )
    return ends[0] - hour


def source_series(path: Path) -> dict[str, FloatArray]:
    """Read hourly values of a source.

    Parameters
    ----------
    path : pathlib.Path
        CSV with a header row of names out of `SOURCE_QUANTITIES`; `TIME` may stand there too.

    Returns
    -------
    dict of str to array, shape (hours,)
        As in the file.

    Raises
    ------
    ClimateError
        A column is unknown or there is none, a value is missing, no number or moisture below 0, or the hours
        do not follow one another.
    """
    table = read_table(path)
    _start(table)
    found = {}
    for name in table.columns:
        if name == TIME:
            continue
        if name not in SOURCE_QUANTITIES:
            raise ClimateError(
                f"unknown column {name!r} in the series of a source",
                where=str(path),
                hint=f"known are {', '.join((TIME, *SOURCE_QUANTITIES))}",
            )
        found[name] = _complete(table, name)
    if not found:
        raise ClimateError(
            "the series of a source has no column of values",
            where=str(path),
            expected=" or ".join(SOURCE_QUANTITIES),
        )
    taken = found.get("moisture_kg_m3h", np.zeros(1)) < 0.0
    if taken.any():
        raise ClimateError("a source takes water away", where=table.place(int(np.argmax(taken))))
    return found
