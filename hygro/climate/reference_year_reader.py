"""Test reference year of the German weather service (text, file heading ends at `***`) to a `Record`.

Layouts of 2010 (by station, geographic coordinates) and of 2015 (by grid, projected coordinates), as their
headings describe them. There is no rain depth in either.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.finding import Finding
from hygro.climate.options import ReadOptions
from hygro.climate.record import Record
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

NOMINAL_YEAR: Final = 2001
"""Year, not a leap year, on which the months are laid."""

CENTRAL_EUROPE: Final = 1.0
"""Standard time of the stamps less UTC [h]: "HH Stunde (MEZ)"."""

FIELDS: Final[dict[str, tuple[str, float, float, float]]] = {
    "t": ("air_temperature", 1.0, -99.0, 99.0),
    "RF": ("relative_humidity", 0.01, 0.0, 900.0),
    "p": ("air_pressure", 100.0, 0.0, 9000.0),
    "WG": ("wind_speed", 1.0, 0.0, 99.0),
    "WR": ("wind_direction", 1.0, 0.0, 900.0),
    "A": ("longwave_sky", 1.0, 0.0, 9000.0),
    "N": ("cloud", 1.25, 0.0, 9.0),
}
"""Field: (variable, scale to the canonical unit, bounds within which it is no code for missing). Direction
999 is a variable wind; cloud 9, a sky that can't be seen, counts as overcast."""

_PLACE = re.compile(
    r"(\d+)\D{1,3}(\d+)'\s*([NS]).*?(\d+)\D{1,3}(\d+)'\s*([OEW]).*?(-?\d+)\s*Meter", re.DOTALL
)
_ALTITUDE = re.compile(r"Hoehenlage\s*:\s*(-?\d+)")


def read_reference_year(path: Path, options: ReadOptions) -> Record:
    """Read a German test reference year.

    Parameters
    ----------
    path : Path
        The file. Hours 1 to 24 of Central European Time end at the full hour; sun and sky are means of the
        hour that ends there (from memory, unconfirmed; the check for sun at night agrees).
    options : ReadOptions
        Of which the location counts, needed where the heading has projected coordinates only.

    Returns
    -------
    Record
        In canonical units, unchecked, without rain. A leading row of hour 24 of 31 December, which some
        copies have as a start value, is left out.

    Raises
    ------
    ClimateError
        Where heading or rows are not those of such a file.
    """
    try:
        text = path.read_text(encoding="latin-1")
    except OSError as error:
        raise ClimateError("the file cannot be read", where=str(path), found=error.strerror) from error
    rows = text.splitlines()
    stars = next((i for i, row in enumerate(rows) if row.strip() == "***"), None)
    if stars is None or stars == 0:
        raise ClimateError(
            "the file is no test reference year",
            where=str(path),
            expected="a heading that ends with a line ***",
        )
    names = rows[stars - 1].split()
    table, lines = _table(path, names, rows, stars)
    columns = dict(zip(names, table.T, strict=True))
    for name in ("MM", "DD", "HH", "t", "RF", "WG", "WR", "B", "D"):
        if name not in columns:
            raise ClimateError(
                f"the file has no field {name}", where=f"{path}:{stars}", found=" ".join(names)
            )
    begin = _begin(path, columns, lines)
    values = _values(columns)
    latitude, longitude, altitude = options.location or _place(path, "\n".join(rows[:stars]))
    attrs = {
        "source": f"test reference year, {rows[0].strip()}",
        "name": path.stem,
        "nominal_year": f"months of several years laid on {NOMINAL_YEAR}",
        "ignored_columns": ", ".join(name for name in ("x", "W", "E", "IK", "IL") if name in columns),
    }
    offset = CENTRAL_EUROPE if options.utc_offset_hours is None else options.utc_offset_hours
    record = Record(path, begin, lines, values, latitude, longitude, altitude, offset, attrs)
    if (columns["MM"][0], columns["DD"][0], columns["HH"][0]) == (12.0, 31.0, 24.0):
        said = "A leading row of 31 December, 24 h, is left out: a start value, not part of the year."
        record = record.rows(np.arange(1, len(begin))).with_findings(
            Finding("format", "rows", "noted", 1, (), said)
        )
    return record


def _table(path: Path, names: list[str], rows: list[str], stars: int) -> tuple[FloatArray, NDArray[np.int64]]:
    cells, lines = [], []
    for number, row in enumerate(rows[stars + 1 :], start=stars + 2):
        fields = row.split()
        if not fields:
            continue
        if len(fields) != len(names):
            raise ClimateError(
                "the row is cut off or has extra fields",
                where=f"{path}:{number}",
                found=f"{len(fields)} fields",
                expected=f"{len(names)} as in the heading",
            )
        try:
            cells.append([float(cell) for cell in fields])
        except ValueError:
            raise ClimateError(
                "the row holds something that is no number", where=f"{path}:{number}", found=row.strip()
            ) from None
        lines.append(number)
    if not lines:
        raise ClimateError("the file holds no hours", where=str(path), expected="rows below ***")
    return np.array(cells), np.array(lines, dtype=np.int64)


def _begin(path: Path, columns: dict[str, FloatArray], lines: NDArray[np.int64]) -> NDArray[np.datetime64]:
    month, day, hour = (columns[name].astype(int) for name in ("MM", "DD", "HH"))
    wrong = (month < 1) | (month > 12) | (day < 1) | (day > 31) | (hour < 1) | (hour > 24)
    if wrong.any():
        row = int(np.argmax(wrong))
        raise ClimateError(
            "the row has no date",
            where=f"{path}:{lines[row]}",
            found=f"month {month[row]}, day {day[row]}, hour {hour[row]}",
        )
    months = ((NOMINAL_YEAR - 1970) * 12 + month - 1).astype("datetime64[M]")
    days = months.astype("datetime64[D]") + (day - 1).astype("timedelta64[D]")
    return days.astype("datetime64[s]") + (hour - 1).astype("timedelta64[h]")


def _values(columns: dict[str, FloatArray]) -> dict[str, FloatArray]:
    values = {}
    for field, (variable, scale, low, high) in FIELDS.items():
        if field in columns:
            column = np.where((columns[field] >= low) & (columns[field] <= high), columns[field], np.nan)
            if not np.isnan(column).all():
                values[variable] = np.minimum(column, 8.0) * scale if field == "N" else column * scale
    direct, diffuse = (np.where(columns[name] < 0.0, np.nan, columns[name]) for name in ("B", "D"))
    values["solar_global"] = direct + diffuse
    values["solar_diffuse"] = diffuse
    return values


def _place(path: Path, heading: str) -> tuple[float, float, float]:
    found = _PLACE.search(heading)
    if found:
        north = int(found[1]) + int(found[2]) / 60.0
        east = int(found[4]) + int(found[5]) / 60.0
        return (
            north if found[3] == "N" else -north,
            -east if found[6] == "W" else east,
            float(found[7]),
        )
    altitude = _ALTITUDE.search(heading)
    raise ClimateError(
        "the file does not say latitude and longitude",
        where=str(path),
        found="projected coordinates" + (f", altitude {altitude[1]} m" if altitude else ""),
        hint="give latitude, longitude and altitude beside the file name",
    )
