"""Which format a weather file has: by its suffix and, for `.csv`, by its first lines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Final

from hygro.climate import midas_reader, tmy3_reader
from hygro.climate.csv_reader import read_csv
from hygro.climate.epw_reader import read_epw
from hygro.climate.era5_reader import read_era5
from hygro.climate.midas_reader import read_midas
from hygro.climate.options import ReadOptions
from hygro.climate.parquet_reader import read_parquet
from hygro.climate.record import Record
from hygro.climate.reference_year_reader import read_reference_year
from hygro.climate.table import BYTE_ORDER_MARK
from hygro.climate.tmy3_reader import read_tmy3
from hygro.errors import ClimateError

SINGLE: Final[dict[str, Callable[[Path, ReadOptions], Record]]] = {
    "CSV": read_csv,
    "Parquet": read_parquet,
    "EPW": read_epw,
    "TMY3": read_tmy3,
    "test reference year": read_reference_year,
}
"""Formats of one file."""

JOINED: Final[dict[str, Callable[[Sequence[Path], ReadOptions], Record]]] = {
    "BADC-CSV": read_midas,
    "netCDF": read_era5,
}
"""Formats of which several files make one record."""

SUFFIXES: Final = {
    ".csv": "CSV",
    ".parquet": "Parquet",
    ".epw": "EPW",
    ".dat": "test reference year",
    ".nc": "netCDF",
    ".nc4": "netCDF",
    ".zip": "netCDF",
}

_PLACED: Final = ("CSV", "Parquet", "netCDF", "test reference year", "BADC-CSV")
_MAPPED: Final = ("CSV", "Parquet", "TMY3")


def format_of(path: Path) -> str:
    """Return the format of a file.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        A key of `SINGLE` or `JOINED`.

    Raises
    ------
    ClimateError
        Where the suffix is not known.
    """
    found = SUFFIXES.get(path.suffix.lower())
    if found is None:
        raise ClimateError(
            "the format of the weather file is not known",
            where=str(path),
            expected=", ".join(SUFFIXES),
        )
    if found != "CSV":
        return found
    try:
        with path.open(encoding="utf-8", errors="replace") as file:
            first = file.readline(1000).removeprefix(BYTE_ORDER_MARK)
            second = file.readline(1000)
    except OSError:
        return found  # the reader says why
    if first.startswith(midas_reader.FIRST_LINE):
        return "BADC-CSV"
    return "TMY3" if second.startswith(tmy3_reader.SECOND_LINE) else found


def read_weather(paths: Sequence[Path], options: ReadOptions) -> Record:
    """Read a record in whatever format.

    Parameters
    ----------
    paths : sequence of Path
        One file, or several of a format that is joined.
    options : ReadOptions
        What the files do not say.

    Returns
    -------
    Record
        As read.

    Raises
    ------
    ClimateError
        Where the files can't be read, don't belong together, or an option does not go with the format.
    """
    kinds = [format_of(path) for path in paths]
    kind = kinds[0]
    where = str(paths[0])
    if len(set(kinds)) > 1:
        raise ClimateError("files of several formats are not joined", where=where, found=", ".join(kinds))
    if options.columns and kind not in _MAPPED:
        raise ClimateError(f"columns are fixed in {kind}", where=where, hint="leave the column map out")
    if options.location and kind not in _PLACED:
        raise ClimateError(
            f"the place is fixed in {kind}", where=where, hint="leave out latitude, longitude and altitude"
        )
    if options.time_zone and kind not in ("CSV", "Parquet"):
        raise ClimateError(
            f"a time zone with daylight saving does not go with {kind}",
            where=where,
            hint="its stamps are standard time or UTC; give their offset from UTC if that is wrong",
        )
    if kind in JOINED:
        return JOINED[kind](paths, options)
    if len(paths) > 1:
        raise ClimateError(f"{kind} comes in one file", where=where, found=f"{len(paths)} files")
    return SINGLE[kind](paths[0], options)
