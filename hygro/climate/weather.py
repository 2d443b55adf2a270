"""One weather file to the canonical hourly dataset."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Literal

import numpy as np
import xarray as xr

from hygro.climate.checks import checked, gap_text, runs
from hygro.climate.csv_reader import read_csv
from hygro.climate.epw_reader import read_epw
from hygro.climate.record import CANONICAL, QUANTITIES, Record
from hygro.climate.series import read_series
from hygro.climate.sky import completed, settled_direction
from hygro.climate.sun import refuse_sun_in_the_dark
from hygro.errors import ClimateError

RAIN_HINT = 'give rain = "file.csv" with hour_ending_utc and rain_mm, or rain = "none" on purpose'


def load_weather(
    path: str | Path,
    *,
    rain: str | Path | Literal["none"] | None = None,
    columns: Mapping[str, str] | None = None,
    location: tuple[float, float, float] | None = None,
    utc_offset_hours: float | None = None,
) -> xr.Dataset:
    """Read, check and complete a weather file.

    Parameters
    ----------
    path : str or Path
        `.epw` or `.csv`.
    rain : str or Path, optional
        A CSV that supplies hourly rain, or "none" where rain is left out on purpose.
    columns : mapping, optional
        For CSV: known column name to the file's own.
    location : (float, float, float), optional
        For CSV: latitude [degrees north], longitude [degrees east], altitude [m].
    utc_offset_hours : float, optional
        For CSV with times in standard time, or EPW whose header is wrong: standard time less UTC [h].

    Returns
    -------
    xarray.Dataset
        Dimension `time`: end of each hour, UTC. Variables: `hygro.climate.record.CANONICAL`, hour means;
        degC, Pa, 1, m/s, degrees, mm, W/m2. Direction is NaN where calm or unknown. Attributes say where it
        came from and what was changed or worked out.

    Raises
    ------
    ClimateError
        Where the file can't be used, with file and line or the times.
    """
    path = Path(path)
    record = _read(path, columns, location, utc_offset_hours)
    _check_place(record)
    record = _settled_rain(checked(record), rain)
    if "solar_global" in record.values:
        begin = record.end_utc() - np.timedelta64(3600, "s")
        sun = record.values["solar_global"]
        refuse_sun_in_the_dark(str(path), sun, begin, record.latitude, record.longitude)
    return _dataset(settled_direction(completed(record)))


def _read(
    path: Path,
    columns: Mapping[str, str] | None,
    location: tuple[float, float, float] | None,
    utc_offset_hours: float | None,
) -> Record:
    suffix = path.suffix.lower()
    if suffix == ".csv":
        return read_csv(path, columns=columns, location=location, utc_offset_hours=utc_offset_hours)
    if suffix != ".epw":
        raise ClimateError(
            "the format of the weather file is not known", where=str(path), expected=".epw or .csv"
        )
    if columns or location:
        raise ClimateError(
            "columns and place are fixed in an EPW file", where=str(path), hint="leave them out"
        )
    return read_epw(path, utc_offset_hours=utc_offset_hours)


def _check_place(record: Record) -> None:
    for what, value, low, high in (
        ("latitude", record.latitude, -90.0, 90.0),
        ("longitude", record.longitude, -180.0, 180.0),
        ("altitude", record.altitude, -500.0, 9000.0),
        ("time zone", record.utc_offset, -12.0, 14.0),
    ):
        if not low <= value <= high:
            raise ClimateError(
                f"the {what} is impossible",
                where=str(record.path),
                found=value,
                expected=f"{low:g} to {high:g}",
            )


def _settled_rain(record: Record, rain: str | Path | None) -> Record:
    if rain is not None and str(rain) == "none":
        return _with_rain(record, np.zeros(len(record.begin)), "none")
    if rain is not None:
        (supplied,) = read_series(Path(rain), ("rain_mm",), record.end_utc())
        digest = hashlib.sha256(Path(rain).read_bytes()).hexdigest()
        record = replace(record, attrs={**record.attrs, "rain_source": str(rain), "rain_sha256": digest})
        return _with_rain(record, supplied, "supplied")
    measured = record.values.get("rain")
    if measured is None:
        raise ClimateError("the record holds no rain", where=str(record.path), hint=RAIN_HINT)
    missing = np.isnan(measured)
    if missing.any():
        raise ClimateError(
            "rain is missing in some hours and is not made up",
            where=str(record.path),
            found=f"{int(missing.sum())} hours, {gap_text(record, runs(missing))}",
            hint=RAIN_HINT,
        )
    if not (measured > 0.0).any():
        raise ClimateError(
            "rain is zero in every hour, which is no dry year but a record without rain",
            where=str(record.path),
            hint=RAIN_HINT,
        )
    return _with_rain(record, measured, "measured")


def _with_rain(record: Record, rain: np.ndarray, said: str) -> Record:
    return replace(record.with_values(rain=rain), attrs={**record.attrs, "rain": said})


def _dataset(record: Record) -> xr.Dataset:
    variables = {}
    for name in CANONICAL:
        quantity = QUANTITIES[name]
        attrs = {"units": quantity.units, "long_name": quantity.long_name}
        if quantity.standard_name:
            attrs["standard_name"] = quantity.standard_name
        values = np.asarray(record.values[name], dtype=np.float64)
        if not np.isfinite(values).all() and name != "wind_direction":
            raise ClimateError(f"{quantity.long_name} is not finite in every hour", where=str(record.path))
        variables[name] = ("time", values, attrs)
    time = record.end_utc().astype("datetime64[ns]")
    attrs = {"standard_name": "time", "long_name": "end of the hour, UTC"}
    return xr.Dataset(variables, {"time": ("time", time, attrs)}, _attributes(record))


def _attributes(record: Record) -> dict[str, str | float]:
    counts = {
        kind: ", ".join(f"{name} {number}" for name, number in sorted(changed.items()))
        for kind, changed in record.counts.items()
    }
    return {
        **record.attrs,
        "latitude": record.latitude,
        "longitude": record.longitude,
        "altitude": record.altitude,
        "utc_offset_hours": record.utc_offset,
        "file": record.path.name,
        "sha256": hashlib.sha256(record.path.read_bytes()).hexdigest(),
        "interpolated": counts.get("interpolated", ""),
        "clipped": counts.get("clipped", ""),
        "missing_rows": record.counts.get("missing", {}).get("rows", 0),
        "hours_without_direction": record.counts.get("without direction", {}).get("wind_direction", 0),
    }
