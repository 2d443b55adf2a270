"""EPW weather file to a `Record`, parsed by pvlib. Layout and codes for missing: EPW data dictionary."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.options import ReadOptions
from hygro.climate.record import Record
from hygro.climate.table import read_text
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

if TYPE_CHECKING:
    import pandas as pd

HEADER_LINES: Final = 8
FIELDS: Final = 35

NOMINAL_YEAR: Final = 2001
"""Year, not a leap year, on which months of different years are laid."""

FIELD_CODES: Final[dict[str, tuple[str, float, float]]] = {
    "air_temperature": ("temp_air", 99.9, 1.0),
    "relative_humidity": ("relative_humidity", 999.0, 0.01),
    "dew_point": ("temp_dew", 99.9, 1.0),
    "air_pressure": ("atmospheric_pressure", 999999.0, 1.0),
    "longwave_sky": ("ghi_infrared", 9999.0, 1.0),
    "solar_global": ("ghi", 9999.0, 1.0),
    "solar_direct_normal": ("dni", 9999.0, 1.0),
    "solar_diffuse": ("dhi", 9999.0, 1.0),
    "wind_direction": ("wind_direction", 999.0, 1.0),
    "wind_speed": ("wind_speed", 999.0, 1.0),
    "cloud": ("opaque_sky_cover", 99.0, 1.0),
    "rain": ("liquid_precipitation_depth", 999.0, 1.0),
}
"""Variable: (pvlib's name of the field, code for missing, scale to the canonical unit)."""


def read_epw(path: Path, options: ReadOptions) -> Record:
    """Read an EPW file.

    Parameters
    ----------
    path : Path
        The file. Hours 1 to 24 end at the full hour, in local standard time.
    options : ReadOptions
        Of which `utc_offset_hours` counts, where that of the header is wrong.

    Returns
    -------
    Record
        In canonical units, unchecked. Months of different years are laid on `NOMINAL_YEAR`.

    Raises
    ------
    ClimateError
        Where the header or a row is damaged, or rain was summed over more than its hour.
    """
    text = read_text(path)
    lines = _row_lines(path, text)
    data, place = _parsed(path, text)
    values = {}
    for name, (field, code, scale) in FIELD_CODES.items():
        column = _numbers(path, data, field, lines)
        column[column >= code] = np.nan
        if not np.isnan(column).all():
            values[name] = column * scale
    if "rain" in values:
        _refuse_sums(path, lines, values["rain"], data["liquid_precipitation_quantity"].to_numpy(dtype=float))
    begin, keep, year = _begin(path, data, lines)
    attrs = {"source": f"EPW, {place['city']}, {place['country']}, {place['data_type']}"}
    attrs |= {"ignored_columns": "", "nominal_year": year, "name": path.stem}
    return Record(
        path,
        begin,
        lines[keep],
        {name: column[keep] for name, column in values.items()},
        place["latitude"],
        place["longitude"],
        place["altitude"],
        place["TZ"] if options.utc_offset_hours is None else options.utc_offset_hours,
        attrs,
    )


def _row_lines(path: Path, text: str) -> NDArray[np.int64]:
    """Return the line number of each data row, after counting the cells of all."""
    rows = text.splitlines()
    if not rows or not rows[0].startswith("LOCATION"):
        raise ClimateError("the file is no EPW file", where=f"{path}:1", expected="a line LOCATION,...")
    lines = []
    for number, row in enumerate(rows[HEADER_LINES:], start=HEADER_LINES + 1):
        if not row.strip():
            continue
        fields = row.count(",") + 1
        if fields != FIELDS:
            raise ClimateError(
                "the row is cut off or has extra fields",
                where=f"{path}:{number}",
                found=f"{fields} fields",
                expected=f"{FIELDS}",
            )
        lines.append(number)
    if not lines:
        raise ClimateError(
            "the file holds no hours", where=str(path), expected=f"rows from line {HEADER_LINES + 1}"
        )
    return np.array(lines, dtype=np.int64)


def _parsed(path: Path, text: str) -> tuple[pd.DataFrame, dict[str, Any]]:
    from pvlib.iotools import read_epw as pvlib_read_epw

    try:
        data, place = pvlib_read_epw(io.StringIO(text))
    except (ValueError, KeyError, TypeError, OverflowError) as error:
        raise ClimateError(
            "header or date can't be read as EPW", where=str(path), found=str(error).splitlines()[0]
        ) from error
    return data, place


def _numbers(path: Path, data: pd.DataFrame, field: str, lines: NDArray[np.int64]) -> FloatArray:
    try:
        return data[field].to_numpy(dtype=float, copy=True)
    except ValueError:
        for row, cell in enumerate(data[field]):
            try:
                float(cell)
            except ValueError:
                raise ClimateError(
                    f"field {field!r} holds no number",
                    where=f"{path}:{lines[row]}",
                    found=cell,
                    expected="a number",
                ) from None
        raise


def _refuse_sums(path: Path, lines: NDArray[np.int64], rain: FloatArray, period: FloatArray) -> None:
    """Refuse depths summed over several hours; 0, 1 and 99 stand where the depth is that of the hour."""
    sums = (period > 1.0) & (period < 99.0) & (rain > 0.0)
    if sums.any():
        row = int(np.argmax(sums))
        raise ClimateError(
            f"rain is summed over more than an hour ({int(sums.sum())} such rows)",
            where=f"{path}:{lines[row]}",
            found=f"{rain[row]:g} mm in {period[row]:g} h",
            expected="the depth of each hour",
            hint='give rain = "file.csv" with hour_ending_utc and rain_mm',
        )


def _begin(
    path: Path, data: pd.DataFrame, lines: NDArray[np.int64]
) -> tuple[NDArray[np.datetime64], NDArray[np.bool_], str]:
    years = data["year"].to_numpy(dtype=int)
    month = data["month"].to_numpy(dtype=int)
    day = data["day"].to_numpy(dtype=int)
    typical = _months_of_several_years(years, month)
    keep = np.ones(len(years), dtype=bool)
    if typical:
        years = np.full(len(years), NOMINAL_YEAR)
        keep = ~((month == 2) & (day == 29))
    months = (years - 1970) * 12 + month - 1
    begin = months.astype("datetime64[M]").astype("datetime64[D]") + (day - 1).astype("timedelta64[D]")
    begin = begin.astype("datetime64[s]") + (data["hour"].to_numpy(dtype=int) - 1).astype("timedelta64[h]")
    said = f"months of several years laid on {NOMINAL_YEAR}" if typical else ""
    return begin[keep], keep, said


def _months_of_several_years(years: NDArray[np.int64], month: NDArray[np.int64]) -> bool:
    """Return whether this is a typical year: several years, yet no more than one January."""
    return (
        len(np.unique(years)) > 1
        and len(np.unique(years[month == 1])) <= 1
        and bool((np.diff(month) >= 0).all())
    )
