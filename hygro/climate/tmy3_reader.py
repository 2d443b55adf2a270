"""Typical meteorological year TMY3 (CSV of 71 fields) to a `Record`, parsed by pvlib.

Layout: Wilcox and Marion 2008, Users Manual for TMY3 Data Sets. Rain needs care, see `_rain`.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hygro.climate.finding import Finding
from hygro.climate.options import ReadOptions
from hygro.climate.record import Record
from hygro.climate.table import read_text
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

if TYPE_CHECKING:
    import pandas as pd

NOMINAL_YEAR: Final = 2001
"""Year, not a leap year, on which months of different years are laid."""

SECOND_LINE: Final = "Date (MM/DD/YYYY),Time (HH:MM),"
"""How the second line of every such file begins."""

MISSING: Final = -9900.0

FIELDS: Final[dict[str, tuple[str, float]]] = {
    "air_temperature": ("Dry-bulb (C)", 1.0),
    "dew_point": ("Dew-point (C)", 1.0),
    "relative_humidity": ("RHum (%)", 0.01),
    "air_pressure": ("Pressure (mbar)", 100.0),
    "wind_speed": ("Wspd (m/s)", 1.0),
    "wind_direction": ("Wdir (degrees)", 1.0),
    "solar_global": ("GHI (W/m^2)", 1.0),
    "solar_direct_normal": ("DNI (W/m^2)", 1.0),
    "solar_diffuse": ("DHI (W/m^2)", 1.0),
    "cloud": ("OpqCld (tenths)", 1.0),
}
"""Variable: (field, scale to the canonical unit)."""

DEPTH: Final = "Lprecip depth (mm)"
PERIOD: Final = "Lprecip quantity (hr)"

WHOLE_YEAR: Final = 2000.0
"""Sum of whole numbers above which they can't be millimetres of rain in a year in the country of these files
but for its rain forests. Own rule; a column map stands over it."""


def read_tmy3(path: Path, options: ReadOptions) -> Record:
    """Read a TMY3 file.

    Parameters
    ----------
    path : Path
        The file. Hours 1 to 24 end at the full hour in local standard time.
    options : ReadOptions
        Of which `utc_offset_hours` counts, and of `columns` the entry `rain_mm` or `rain_tenths_mm`, which
        settles the unit of the rain.

    Returns
    -------
    Record
        In canonical units, unchecked, laid on `NOMINAL_YEAR`; without rain where the file has none by the
        hour.

    Raises
    ------
    ClimateError
        Where the file is damaged.
    """
    from pvlib.iotools import read_tmy3 as pvlib_read_tmy3

    rows = read_text(path).splitlines()
    fields = rows[1].count(",")
    for number, row in enumerate(rows[2:], start=3):
        if row.strip() and row.count(",") != fields:
            raise ClimateError(
                "the row is cut off or has extra fields",
                where=f"{path}:{number}",
                found=f"{row.count(',') + 1} fields",
                expected=f"{fields + 1}",
            )
    try:
        data, place = pvlib_read_tmy3(str(path), coerce_year=NOMINAL_YEAR, map_variables=False)
        values = {name: _column(data, field) * scale for name, (field, scale) in FIELDS.items()}
    except (ValueError, KeyError, TypeError, IndexError) as error:
        raise ClimateError(
            "the file can't be read as TMY3", where=str(path), found=str(error).splitlines()[0]
        ) from error
    lines = np.array([n for n, row in enumerate(rows[2:], start=3) if row.strip()], dtype=np.int64)
    offset = place["TZ"] if options.utc_offset_hours is None else options.utc_offset_hours
    attrs = {
        "source": f"TMY3, {place['Name']}, {place['State']}, USA",
        "name": path.stem,
        "nominal_year": f"months of several years laid on {NOMINAL_YEAR}",
        "ignored_columns": "",
    }
    ends = data.index.tz_localize(None).to_numpy().astype("datetime64[s]")
    record = Record(
        path,
        ends - np.timedelta64(3600, "s"),
        lines,
        {name: column for name, column in values.items() if not np.isnan(column).all()},
        place["latitude"],
        place["longitude"],
        place["altitude"],
        offset,
        attrs,
    )
    return _rain(record, data, options)


def _column(data: pd.DataFrame, field: str) -> FloatArray:
    column = data[field].to_numpy(dtype=float, copy=True)
    column[column <= MISSING] = np.nan
    return column


def _rain(record: Record, data: Any, options: ReadOptions) -> Record:
    """Add the rain of the hour, or say why there is none.

    The column is headed mm. Revised files hold tenths of a millimetre for every hour; unrevised ones have
    most hours missing and sums over 6 and 24 h in others.
    """
    depth, period = _column(data, DEPTH), _column(data, PERIOD)
    hourly = np.isfinite(depth) & (period == 1.0)
    if not hourly.all():
        text = (
            f"Rain is left out: only {int(hourly.sum())} of {len(depth)} hours state the rain of that hour, "
            "others nothing or a sum over several hours."
        )
        return record.with_findings(Finding("rain by the hour", "rain", "noted", len(depth), (), text))
    asked = set(options.columns) & {"rain_mm", "rain_tenths_mm"}
    whole = bool((depth == np.round(depth)).all())
    tenths = asked == {"rain_tenths_mm"} if asked else whole and float(depth.sum()) > WHOLE_YEAR
    if not asked and whole and not tenths:
        raise ClimateError(
            "it is not clear whether rain stands in millimetres or tenths of them",
            where=str(record.path),
            found=f"whole numbers that add up to {depth.sum():g}",
            hint=f'map the column: rain_tenths_mm = "{DEPTH}" (revised files) or rain_mm = "{DEPTH}"',
        )
    record = record.with_values(rain=depth * (0.1 if tenths else 1.0))
    if not tenths:
        return record
    text = (
        "Rain is read as tenths of a millimetre though its column is headed mm: "
        f"{depth.sum() / 10.0:.0f} mm a year."
    )
    return record.with_findings(Finding("unit", "rain", "changed", int((depth > 0.0).sum()), (), text))
