"""A table with named columns to a `Record`. The unit stands in the column name."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.columns import CODES, COLUMNS, SHORT_NAMES, TIMES
from hygro.climate.daylight import HOUR, local_to_utc
from hygro.climate.finding import Finding
from hygro.climate.options import ReadOptions
from hygro.climate.record import QUANTITIES, Record
from hygro.climate.table import MISSING, Table, read_table
from hygro.errors import ClimateError
from hygro.physics.rain import TERRAINS
from hygro.physics.typing import FloatArray

_SKY_OBSCURED: Final = 9.0
"""Okta code of a sky that fog or snow hides; counts as overcast."""


def read_csv(path: Path, options: ReadOptions) -> Record:
    """Read an hourly weather CSV.

    Parameters
    ----------
    path : Path
        The file; comments before the header (`# latitude: 52`, see docs/climate.md) say what the options
        leave open.
    options : ReadOptions
        Stand over the comments.

    Returns
    -------
    Record
        In canonical units, unchecked.

    Raises
    ------
    ClimateError
        Where time, place or a column can't be made out.
    """
    return read_columns(read_table(path), options)


def read_columns(table: Table, options: ReadOptions) -> Record:
    """Read named columns of any table; as `read_csv`."""
    names = _column_names(table, options.columns)
    begin, offset = _begin(table, names, options)
    missing = MISSING | set(options.missing) | set(_words(table.comments.get("missing", "")))
    values: dict[str, FloatArray] = {}
    for known, name in names.items():
        if known in TIMES:
            continue
        variable, scale, shift = COLUMNS[known]
        if variable in values:
            raise ClimateError(f"two columns give {variable}", where=str(table.path), found=known)
        column = table.numbers(name, missing)
        if known == "cloud_okta":
            column = np.where(column == _SKY_OBSCURED, 8.0, column)
        if not np.isnan(column).all():
            values[variable] = column * scale + shift
            _refuse_codes(table, name, column, values[variable], variable)
    latitude, longitude, altitude = options.location or _location(table)
    ignored = sorted(set(table.columns) - set(names.values()))
    attrs = {"ignored_columns": ", ".join(ignored), "source": table.comments.get("source", "")}
    attrs["name"] = table.comments.get("name", table.path.stem)
    lines = np.array(table.lines, dtype=np.int64)
    record = Record(table.path, begin, lines, values, latitude, longitude, altitude, offset, attrs)
    notes = [
        Finding("format", "file", "noted", 0, (), f"{note[0].upper()}{note[1:]}.") for note in table.notes
    ]
    return replace(record, said=_said(table)).with_findings(*notes)


def _said(table: Table) -> dict[str, float | str]:
    """Return what the comments say about the anemometer and the yearly rain."""
    said: dict[str, float | str] = {}
    for key in ("wind_height", "yearly_rain_mm"):
        if key in table.comments:
            said[key] = _comment_number(table, key)
    if terrain := table.comments.get("wind_terrain"):
        if terrain not in TERRAINS:
            raise ClimateError(
                "the terrain of the anemometer is not known",
                where=str(table.path),
                found=terrain,
                expected=", ".join(TERRAINS),
            )
        said["wind_terrain"] = terrain
    if modelled := table.comments.get("modelled"):
        said["modelled"] = modelled
    return said


def _words(text: str) -> list[str]:
    return text.replace(",", " ").split()


def _refuse_codes(table: Table, name: str, raw: FloatArray, values: FloatArray, variable: str) -> None:
    """Refuse numbers that stand for missing values and were not named as such."""
    limits = QUANTITIES[variable]
    wrong = (values < limits.clip_low) | (values > limits.clip_high)
    coded = wrong & np.isin(raw, CODES)
    if not coded.any() or (wrong & ~coded).any():
        return  # other values are wrong as well: the unit, which the common checks name
    row = int(np.argmax(coded))
    code = f"{raw[row]:g}"
    raise ClimateError(
        f"column {name!r} holds {code} in {int((raw == raw[row]).sum())} cells, which looks like a code for "
        "a missing value",
        where=table.place(row),
        expected="an empty cell or NA",
        hint=f"name the code, in a line '# missing: {code}' before the header or beside the file name",
    )


def _column_names(table: Table, columns: Mapping[str, str]) -> dict[str, str]:
    """Return known name to the file's name; near misses of known names are refused, other columns ignored."""
    known = {*COLUMNS, *TIMES}
    names: dict[str, str] = {}
    for key, name in columns.items():
        if key not in known:
            near = difflib.get_close_matches(key, sorted(known), n=1)
            raise ClimateError(
                "the column map names an unknown quantity",
                where=str(table.path),
                found=key,
                expected="one of " + ", ".join(sorted(known)),
                hint=f"did you mean {near[0]}?" if near else None,
            )
        if name not in table.columns:
            raise ClimateError(
                f"there is no column {name!r}", where=str(table.path), expected=", ".join(table.columns)
            )
        names[key] = name
    for name in table.columns:
        key = SHORT_NAMES.get(name, name)
        if name in names.values():
            continue
        if key in known:
            names.setdefault(key, name)
        else:
            near = difflib.get_close_matches(name, sorted(known), n=1, cutoff=0.85)
            if near:
                raise ClimateError(
                    "a column is not known",
                    where=str(table.path),
                    found=name,
                    hint=f"did you mean {near[0]}?",
                )
    return names


def _begin(
    table: Table, names: Mapping[str, str], options: ReadOptions
) -> tuple[NDArray[np.datetime64], float]:
    """Return begin of each hour as stamped, and how far that is ahead of UTC [h]."""
    present = [name for name in TIMES if name in names]
    if len(present) != 1:
        raise ClimateError(
            "the time column is not clear",
            where=str(table.path),
            found=", ".join(present) or "none",
            expected="one of " + ", ".join(TIMES),
        )
    key = present[0]
    times = table.times(names[key])
    shift = HOUR if key.startswith("hour_ending") else np.timedelta64(0, "s")
    zone = options.time_zone or (
        table.comments.get("time_zone") if options.utc_offset_hours is None else None
    )
    if key.endswith("_utc") and options.time_zone is None:
        if options.utc_offset_hours:
            raise ClimateError(
                "its times are UTC by the name of their column, and another offset is given",
                where=str(table.path),
                found=f"{key} and {options.utc_offset_hours:+g} h",
                hint=f"rename the column to {key.removesuffix('_utc')}, or leave the offset out",
            )
        return times - shift, 0.0
    if zone is not None:
        return _clock_begin(times, shift, zone, str(table.path)), 0.0
    if key.endswith("_local"):
        raise ClimateError(
            "the times follow daylight saving and their time zone is not given",
            where=str(table.path),
            found=key,
            hint="give time_zone, such as Europe/London, or use hour_ending_utc",
        )
    if options.utc_offset_hours is not None:
        return times - shift, options.utc_offset_hours
    if table.comments.get("utc_offset_hours") is None:
        raise ClimateError(
            "the times are not UTC and their time zone is not given",
            where=str(table.path),
            found=key,
            hint="give the offset of its times from UTC, or use hour_ending_utc",
        )
    return times - shift, _comment_number(table, "utc_offset_hours")


def _clock_begin(
    times: NDArray[np.datetime64], shift: np.timedelta64, zone: str, where: str
) -> NDArray[np.datetime64]:
    """Return begin of each hour in UTC from stamps of a clock.

    Where the clock changes, the end of an hour is written in two ways: as its begin and one hour, or as the
    clock showed when it ended. The stamps around the change tell which.
    """
    try:
        return local_to_utc(times - shift, zone, where)
    except ClimateError as first:
        try:
            return local_to_utc(times, zone, where) - shift
        except ClimateError:
            raise first from None


def _location(table: Table) -> tuple[float, float, float]:
    latitude, longitude, altitude = (
        _comment_number(table, key) for key in ("latitude", "longitude", "altitude")
    )
    return latitude, longitude, altitude


def _comment_number(table: Table, key: str) -> float:
    text = table.comments.get(key)
    try:
        return float(text)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise ClimateError(
            f"the file does not say its {key}",
            where=str(table.path),
            found=text,
            expected=f"a comment line '# {key}: number' before the header",
            hint="or give latitude, longitude and altitude beside the file name"
            if key in ("latitude", "longitude", "altitude")
            else None,
        ) from None
