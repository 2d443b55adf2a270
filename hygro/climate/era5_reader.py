"""Hourly reanalysis on a grid (netCDF as the Copernicus data store gives it) to a `Record`.

Names, units and accumulation of ERA5 and ERA5-Land: their public documentation. No real netCDF file was at
hand: tests write real values of a cell into this layout.
"""

from __future__ import annotations

import tempfile
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.finding import Finding
from hygro.climate.options import ReadOptions
from hygro.climate.record import Record
from hygro.constants import ZERO_CELSIUS
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

if TYPE_CHECKING:
    import xarray as xr

HOUR = np.timedelta64(3600, "s")
NAMES: Final = ("t2m", "d2m", "u10", "v10", "sp", "tp", "ssrd", "fdir", "strd")
REQUIRED: Final = ("t2m", "d2m", "u10", "v10", "tp", "ssrd")
ACCUMULATED: Final = ("tp", "ssrd", "fdir", "strd")
EXTRA_DIMENSIONS: Final = ("number", "expver")
"""Member of an ensemble, and early against final data: the first value that is there is taken."""


def read_era5(paths: Sequence[Path], options: ReadOptions) -> Record:
    """Read one place out of gridded hourly data.

    Parameters
    ----------
    paths : sequence of Path
        netCDF files, or zips of them, that together hold t2m, d2m, u10, v10, sp, tp, ssrd and, where there,
        fdir and strd. Stamps are UTC; sums belong to the hour that ends at the stamp.
    options : ReadOptions
        Location (needed) and `grid`: the cell next to it, or the four around it by bilinear weights.

    Returns
    -------
    Record
        In canonical units, unchecked. Sums that run from 00 UTC on, as in ERA5-Land, are taken apart; the
        first hour of such a file can't be. Total precipitation includes snow.

    Raises
    ------
    ClimateError
        Where a variable is missing or the place lies outside the grid.
    """
    where = str(paths[0])
    if options.location is None:
        raise ClimateError(
            "gridded data need a place", where=where, hint="give latitude, longitude and altitude"
        )
    series: dict[str, FloatArray] = {}
    end: NDArray[np.datetime64] | None = None
    for path in paths:
        for dataset in _opened(path):
            stamps, columns = _at_place(dataset, path, options)
            end, series = _joined(series, end, columns, stamps, path)
    assert end is not None
    absent = [name for name in REQUIRED if name not in series]
    if absent:
        raise ClimateError(
            "the files lack variables",
            where=where,
            found=", ".join(sorted(series)) or "none of those known",
            expected=", ".join(absent),
        )
    findings = []
    for name in ACCUMULATED:
        if name in series and runs_through_the_day(end, series[name]):
            series[name] = hourly_sums(end, series[name])
            text = f"Sums of {name} run from 00 UTC on and are taken apart hour by hour."
            findings.append(Finding("sums", name, "noted", len(end), (), text))
    values = _canonical(series)
    latitude, longitude, altitude = options.location
    attrs = {"source": f"gridded reanalysis, {options.grid}", "name": paths[0].stem, "ignored_columns": ""}
    lines = np.full(len(end), -1, dtype=np.int64)
    record = Record(paths[0], end - HOUR, lines, values, latitude, longitude, altitude, 0.0, attrs)
    text = (
        "Values are those of a grid cell of ten to thirty kilometres, at its mean altitude; rain includes "
        "snow, and wind is that above the cell's own roughness."
    )
    return record.with_findings(Finding("grid", "file", "noted", 0, (), text), *findings)


def runs_through_the_day(end: NDArray[np.datetime64], sums: FloatArray) -> bool:
    """Tell whether sums run from 00 UTC to 24 UTC rather than over each hour.

    Parameters
    ----------
    end : array of datetime64, shape (hours,)
        Stamps.
    sums : array, shape (hours,)
        As in the file.

    Returns
    -------
    bool
        True where they never fall from one stamp to the next but after 00 UTC, and do rise.
    """
    hour = _hour(end)
    steps = np.diff(sums)
    within = (hour[1:] != 1) & (np.diff(end) == HOUR)
    scale = float(np.nanmax(np.abs(sums))) if np.isfinite(sums).any() else 0.0
    return bool((steps[within] >= -1e-6 * scale).all() and (steps[within] > 0.0).any())


def hourly_sums(end: NDArray[np.datetime64], sums: FloatArray) -> FloatArray:
    """Return sums over each hour from sums that run from 00 UTC on.

    Parameters
    ----------
    end : array of datetime64, shape (hours,)
        Stamps; the one at 00 UTC closes the day before.
    sums : array, shape (hours,)
        Running sums.

    Returns
    -------
    array, shape (hours,)
        NaN where the hour before is not there.
    """
    hourly = np.full(len(sums), np.nan)
    follows = np.diff(end) == HOUR
    hourly[1:][follows] = np.diff(sums)[follows]
    first = _hour(end) == 1
    hourly[first] = sums[first]
    return hourly


def _hour(end: NDArray[np.datetime64]) -> NDArray[np.int64]:
    return (end - end.astype("datetime64[D]")).astype("timedelta64[h]").astype(np.int64)


def _canonical(series: dict[str, FloatArray]) -> dict[str, FloatArray]:
    u, v = series["u10"], series["v10"]
    values = {
        "air_temperature": series["t2m"] - ZERO_CELSIUS,
        "dew_point": series["d2m"] - ZERO_CELSIUS,
        "wind_speed": np.hypot(u, v),
        "wind_direction": (180.0 + np.degrees(np.arctan2(u, v))) % 360.0,
        "rain": series["tp"] * 1000.0,
        "solar_global": series["ssrd"] / 3600.0,
    }
    if "sp" in series:
        values["air_pressure"] = series["sp"]
    if "strd" in series:
        values["longwave_sky"] = series["strd"] / 3600.0
    if "fdir" in series:
        values["solar_diffuse"] = np.maximum((series["ssrd"] - series["fdir"]) / 3600.0, -0.5)
    return values


def _unpacked(path: Path) -> list[xr.Dataset]:
    """Read the netCDF members of a zip by way of a temporary folder, under names of our own."""
    import xarray as xr

    found = []
    with zipfile.ZipFile(path) as archive, tempfile.TemporaryDirectory() as folder:
        members = [name for name in archive.namelist() if name.endswith((".nc", ".nc4"))]
        for number, name in enumerate(members):
            copy = Path(folder) / f"{number}.nc"
            copy.write_bytes(archive.read(name))
            with xr.open_dataset(copy) as dataset:
                found.append(dataset.load())
    return found


def _opened(path: Path) -> list[xr.Dataset]:
    import xarray as xr

    if not path.exists():
        raise ClimateError("the file cannot be read", where=str(path), found="no such file")
    try:
        if zipfile.is_zipfile(path):
            return _unpacked(path)
        with xr.open_dataset(path) as dataset:
            return [dataset.load()]
    except ValueError as error:  # its text speaks of the libraries that were tried
        raise ClimateError(
            "the file can't be read as netCDF",
            where=str(path),
            expected="a netCDF file, or a zip of some",
            hint="it may be damaged or of another kind",
        ) from error
    except (OSError, KeyError, zipfile.BadZipFile) as error:
        raise ClimateError(
            "the file can't be read as netCDF", where=str(path), found=str(error).splitlines()[0]
        ) from error


def _at_place(
    dataset: xr.Dataset, path: Path, options: ReadOptions
) -> tuple[NDArray[np.datetime64], dict[str, FloatArray]]:
    """Return stamps and series of a place."""
    axes = {
        what: next((name for name in names if name in dataset.coords or name in dataset.variables), None)
        for what, names in (
            ("time", ("valid_time", "time")),
            ("latitude", ("latitude", "lat")),
            ("longitude", ("longitude", "lon")),
        )
    }
    lacking = [what for what, name in axes.items() if name is None]
    if lacking:
        raise ClimateError(
            f"the file has no {lacking[0]}", where=str(path), found=", ".join(map(str, dataset.coords))
        )
    time, north, east = (str(axes[what]) for what in ("time", "latitude", "longitude"))
    weights = _weights(dataset, north, east, path, options)
    columns = {}
    for name in NAMES:
        if name in dataset.data_vars:
            columns[name] = _series(dataset[name], time, north, east, weights)
    stamps = np.atleast_1d(dataset[time].to_numpy()).astype("datetime64[s]")
    return stamps, columns


def _series(
    values: xr.DataArray,
    time: str,
    north: str,
    east: str,
    weights: list[tuple[int, int, float]],
) -> FloatArray:
    for extra in EXTRA_DIMENSIONS:
        if extra in values.dims:
            # early and final data stand side by side, each NaN where the other holds
            parts = [values.isel({extra: i}) for i in range(values.sizes[extra])]
            values = parts[0]
            for part in parts[1:]:
                values = values.fillna(part)
    step = next((str(d) for d in values.dims if d not in (north, east)), time)
    grid = values.transpose(step, *[d for d in (north, east) if d in values.dims]).to_numpy().astype(float)
    if grid.ndim == 1:
        return np.asarray(grid)
    return np.asarray(sum(share * grid[:, i, j] for i, j, share in weights))


def _weights(
    dataset: xr.Dataset, north: str, east: str, path: Path, options: ReadOptions
) -> list[tuple[int, int, float]]:
    """Return cells and their shares for a place."""
    assert options.location is not None
    latitude, longitude, _ = options.location
    rows = np.atleast_1d(dataset[north].to_numpy().astype(float))
    columns = np.atleast_1d(dataset[east].to_numpy().astype(float))
    away = (columns - longitude + 180.0) % 360.0 - 180.0  # east of the place, whatever 0 or 360 starts at
    _refuse_outside(rows - latitude, "latitude", latitude, path)
    _refuse_outside(away, "longitude", longitude, path)
    if options.grid == "nearest":
        return [(int(np.argmin(np.abs(rows - latitude))), int(np.argmin(np.abs(away))), 1.0)]
    return [(i, j, a * b) for i, a in _two(rows - latitude) for j, b in _two(away) if a * b > 0.0]


def _two(away: FloatArray) -> list[tuple[int, float]]:
    """Return the two points around zero with linear weights; one where zero lies beyond the last."""
    below = [i for i in range(len(away)) if away[i] <= 0.0]
    above = [i for i in range(len(away)) if away[i] > 0.0]
    if not below or not above:
        return [(int(np.argmin(np.abs(away))), 1.0)]
    low, high = max(below, key=lambda i: away[i]), min(above, key=lambda i: away[i])
    share = float(-away[low] / (away[high] - away[low]))
    return [(low, 1.0 - share), (high, share)]


def _refuse_outside(away: FloatArray, what: str, place: float, path: Path) -> None:
    step = float(np.min(np.abs(np.diff(np.sort(away))))) if len(away) > 1 else 0.25
    nearest = float(np.min(np.abs(away)))
    inside = away.min() <= 0.0 <= away.max()
    if not inside and nearest > 0.5 * step + 1e-6:
        raise ClimateError(
            "the place lies outside the grid",
            where=str(path),
            found=f"{what} {place:g}, {nearest:.2f} degrees from the nearest cell",
            expected=f"at most half a cell ({0.5 * step:g} degrees)",
            hint="fetch the cell of the place",
        )


def _joined(
    series: dict[str, FloatArray],
    end: NDArray[np.datetime64] | None,
    columns: dict[str, FloatArray],
    stamps: NDArray[np.datetime64],
    path: Path,
) -> tuple[NDArray[np.datetime64], dict[str, FloatArray]]:
    """Return the series on all stamps of the files read so far."""
    if end is None:
        return stamps, dict(columns)
    whole = np.union1d(end, stamps)
    joined: dict[str, Any] = {}
    for known, at in ((series, end), (columns, stamps)):
        rows = np.searchsorted(whole, at)
        for name, values in known.items():
            target = joined.setdefault(name, np.full(len(whole), np.nan))
            both = np.isfinite(target[rows]) & np.isfinite(values)
            if (target[rows][both] != values[both]).any():
                raise ClimateError(
                    f"two files hold different values of {name} for the same hour", where=str(path)
                )
            target[rows] = np.where(np.isfinite(values), values, target[rows])
    return whole, joined
