"""Result datasets to netCDF files and back."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import xarray as xr

from hygro.errors import ResultError
from hygro.whole_files import replacing

_COMPRESSION = {"zlib": True, "complevel": 1, "shuffle": True}  # higher levels take longer for a few per cent
_STATES = ("temperature", "relative_humidity")


def save(dataset: xr.Dataset, path: Path | str) -> Path:
    """Write a result dataset as one netCDF-4 file, whole or not at all.

    Parameters
    ----------
    dataset : xarray.Dataset
        As from `hygro.results.build_dataset`.
    path : Path or str
        An existing file is replaced. Missing directories are made.

    Returns
    -------
    Path
        Where it was written.

    Raises
    ------
    ResultError
        Where the place cannot be written to.
    """
    target = Path(path)
    with replacing(target) as temporary:
        dataset.to_netcdf(temporary, format="NETCDF4", engine="netcdf4", encoding=_encoding(dataset))
    return target


def load(path: Path | str) -> xr.Dataset:
    """Read a result file into memory.

    Parameters
    ----------
    path : Path or str
        A netCDF file in the shape of a result dataset: simulated, or logged data brought into it.

    Returns
    -------
    xarray.Dataset

    Raises
    ------
    ResultError
        Where the file is missing, cannot be read or lacks histories of temperature and humidity by place.
    """
    source = Path(path)
    if not source.is_file():
        raise ResultError("there is no such result file", where=str(source), expected="a netCDF file")
    try:
        with xr.open_dataset(source, engine="netcdf4", decode_timedelta=False) as opened:
            dataset = opened.load()
    except (OSError, ValueError, RuntimeError, KeyError) as error:
        raise ResultError(
            "the file cannot be read as netCDF",
            where=str(source),
            found=getattr(error, "strerror", None) or str(error),  # strerror does not repeat the path
            expected="a netCDF file",
            hint="it may be damaged or of another kind; compute it again",
        ) from error
    for name in _STATES:
        if name not in dataset or dataset[name].dims != ("time", "place"):
            raise ResultError(
                "the file is not a result of hygro",
                where=str(source),
                found=f"no variable {name}(time, place)",
                expected="hourly histories of temperature and relative_humidity by place",
            )
    return dataset


def _encoding(dataset: xr.Dataset) -> dict[str, dict[str, Any]]:
    """Compress what is large; write no fill values, for nothing is missing; keep stamps as whole hours."""
    start = str(dataset["time_bounds" if "time_bounds" in dataset else "time"].values.min())[:19]
    encoding: dict[str, dict[str, Any]] = {}
    for name, variable in dataset.variables.items():
        settings: dict[str, Any] = {}
        if variable.dtype.kind == "M":
            stamps = f"hours since {start.replace('T', ' ')}"
            settings = {"units": stamps, "calendar": "proleptic_gregorian", "dtype": "int64"}
        elif variable.dtype.kind == "f":
            settings = {"_FillValue": None}
        if variable.dtype.kind in "fiM" and variable.ndim > 0:
            settings.update(_COMPRESSION)
        encoding[str(name)] = settings
    return encoding
