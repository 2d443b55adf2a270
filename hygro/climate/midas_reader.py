"""Hourly station observations in BADC-CSV, as MIDAS Open gives them, to a `Record`.

One file a year for weather (temperature, humidity, wind, pressure, cloud), for rain and for radiation; any
number of them is joined on time. Layout: BADC-CSV convention and the tables of MIDAS Open, from their public
documentation and in part from memory; no real file was at hand, so tests write real values into this layout.
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hygro.climate.daylight import HOUR
from hygro.climate.finding import Finding, spell_times
from hygro.climate.options import ReadOptions
from hygro.climate.record import Record
from hygro.climate.table import TextTable, read_text
from hygro.errors import ClimateError
from hygro.physics.typing import FloatArray

FIRST_LINE: Final = "Conventions,G,BADC-CSV"
KNOT: Final = 1852.0 / 3600.0
KILOJOULES: Final = 1000.0 / 3600.0

COLUMNS: Final[dict[str, tuple[str, float]]] = {
    "air_temperature": ("air_temperature", 1.0),
    "dewpoint": ("dew_point", 1.0),
    "rltv_hum": ("relative_humidity", 0.01),
    "stn_pres": ("air_pressure", 100.0),
    "msl_pressure": ("pressure_sea_level", 100.0),
    "wind_speed": ("wind_speed", KNOT),
    "wind_direction": ("wind_direction", 1.0),
    "cld_ttl_amt_id": ("cloud", 1.25),
    "prcp_amt": ("rain", 1.0),
    "glbl_irad_amt": ("solar_global", KILOJOULES),
    "difu_irad_amt": ("solar_diffuse", KILOJOULES),
}
"""Column: (variable, scale to the canonical unit). Wind in knots unless the file says m/s; radiation in kJ/m2
of the hour."""

METRES: Final = (0.0, 1.0)
KNOTS: Final = (3.0, 4.0)
"""`wind_speed_unit_id`, WMO code table 1855: 0 and 1 m/s, 3 and 4 knots."""


@dataclass(frozen=True)
class _Station:
    """One file: what its heading says, and its rows."""

    table: TextTable
    heading: dict[tuple[str, str], list[str]]

    @property
    def end(self) -> NDArray[np.datetime64]:
        name = "ob_end_time" if "ob_end_time" in self.table.columns else "ob_time"
        return self.table.times(name)

    def said(self, key: str, column: str = "G") -> list[str]:
        return self.heading.get((key, column), [])


def read_midas(paths: Sequence[Path], options: ReadOptions) -> Record:
    """Read observations of one station.

    Parameters
    ----------
    paths : sequence of Path
        Files of any kind and year, in any order. Stamps are UTC and end the hour; values of `ob_time` are
        taken as those of the hour that ends there.
    options : ReadOptions
        Of which location and `missing` count.

    Returns
    -------
    Record
        In canonical units, unchecked, from the first to the last hour of any file. Rows that sum over more
        than an hour and rows of lower quality control are left out, and values whose quality flag says that
        they were queried count as missing; each is counted in a finding.

    Raises
    ------
    ClimateError
        Where a file is damaged, two files are of different stations, or two rows contradict each other.
    """
    stations = [_read(path) for path in paths]
    places = [options.location or _place(station) for station in stations]
    first = stations[0]
    for station, place in zip(stations, places, strict=True):
        if place != places[0]:
            raise ClimateError(
                "the files are of different stations",
                where=str(station.table.path),
                found=f"{place[0]:g}, {place[1]:g}",
                expected=f"{places[0][0]:g}, {places[0][1]:g} as in {first.table.path.name}",
            )
    merged = _Merge()
    for station in stations:
        merged.add(station, options.missing)
    return merged.record(first, places[0])


def _read(path: Path) -> _Station:
    """Split a file into heading and rows."""
    lines = read_text(path).splitlines()
    if not lines or not lines[0].startswith(FIRST_LINE):
        raise ClimateError(
            "the file is no BADC-CSV", where=f"{path}:1", expected=f"a first line {FIRST_LINE}"
        )
    start = next((i for i, line in enumerate(lines) if line.strip() == "data"), None)
    stop = next((i for i, line in enumerate(lines) if line.strip() == "end data"), None)
    if start is None or stop is None:
        what = "data" if start is None else "end data"
        raise ClimateError(
            "the file is cut off",
            where=f"{path}:{len(lines)}",
            expected=f"a line '{what}'",
            hint="fetch it again",
        )
    heading: dict[tuple[str, str], list[str]] = {}
    for row in csv.reader(lines[:start]):
        if len(row) >= 3:
            heading.setdefault((row[0], row[1]), row[2:])
    names, *rows = csv.reader(lines[start + 1 : stop])
    for number, row in enumerate(rows, start=start + 3):
        if len(row) != len(names):
            raise ClimateError(
                "the row is cut off or has extra cells",
                where=f"{path}:{number}",
                found=f"{len(row)} cells",
                expected=f"{len(names)} as in the header",
            )
    if not rows:
        raise ClimateError("the file holds no rows", where=str(path), expected="rows below 'data'")
    columns: dict[str, Sequence[str]] = {
        name.strip(): [cell.strip() for cell in column]
        for name, column in zip(names, zip(*rows, strict=True), strict=True)
    }
    if not {"ob_time", "ob_end_time"} & set(columns):
        raise ClimateError(
            "the file has no column of times",
            where=f"{path}:{start + 2}",
            expected="ob_time or ob_end_time",
        )
    return _Station(TextTable(path, {}, columns, list(range(start + 3, start + 3 + len(rows)))), heading)


def _place(station: _Station) -> tuple[float, float, float]:
    try:
        latitude, longitude = (float(word) for word in station.said("location")[:2])
        return latitude, longitude, float(station.said("height")[0])
    except (ValueError, IndexError):
        raise ClimateError(
            "the file does not say where its station is",
            where=str(station.table.path),
            expected="lines location,G,latitude,longitude and height,G,metres,m",
            hint="or give latitude, longitude and altitude beside the file name",
        ) from None


class _Merge:
    """Hours gathered from files; each value is remembered with its file and line."""

    def __init__(self) -> None:
        self.values: dict[str, dict[np.datetime64, tuple[float, int]]] = {}
        self.paths: dict[str, Path] = {}
        self.sums = 0
        self.older = 0
        self.queried: dict[str, list[np.datetime64]] = {}

    def add(self, station: _Station, missing: tuple[str, ...]) -> None:
        """Take over the hours of a file."""
        table = station.table
        end = station.end
        keep = self._kept(table)
        for column, (variable, scale) in COLUMNS.items():
            if column not in table.columns:
                continue
            values = table.numbers(column, frozenset({"", "NA", "nan", "NaN", *missing}))
            if column == "wind_speed":
                values = values / KNOT * _wind_unit(station)
            if column == "cld_ttl_amt_id":
                values = np.where(values == 9.0, 8.0, values)
            queried = _queried(table, column) & np.isfinite(values)
            self.queried.setdefault(variable, []).extend(end[queried & keep])
            good = keep & np.isfinite(values) & ~queried
            self._put(table, variable, end, values * scale, good)

    def _kept(self, table: TextTable) -> NDArray[np.bool_]:
        keep = np.ones(len(table.lines), dtype=bool)
        if "ob_hour_count" in table.columns:
            sums = table.numbers("ob_hour_count") != 1.0
            self.sums += int(sums.sum())
            keep &= ~sums
        if "version_num" in table.columns:
            older = table.numbers("version_num") == 0.0
            self.older += int((older & keep).sum())
            keep &= ~older
        return keep

    def _put(
        self,
        table: TextTable,
        variable: str,
        end: NDArray[np.datetime64],
        values: FloatArray,
        good: NDArray[np.bool_],
    ) -> None:
        known = self.values.setdefault(variable, {})
        self.paths.setdefault(variable, table.path)
        for row in np.flatnonzero(good):
            stamp, value = end[row], float(values[row])
            before = known.get(stamp)
            if before is not None and before[0] != value:
                raise ClimateError(
                    "two rows of the same hour contradict each other",
                    where=table.place(int(row)),
                    found=f"{value:g} and {before[0]:g} for {variable.replace('_', ' ')}",
                    hint="keep the row of the better quality",
                )
            known[stamp] = (value, table.lines[int(row)] if table.path == self.paths[variable] else 0)

    def record(self, first: _Station, place: tuple[float, float, float]) -> Record:
        """Return all hours as one record."""
        stamps: NDArray[np.datetime64] = np.unique(
            np.array([s for known in self.values.values() for s in known], dtype="datetime64[s]")
        )
        begin: NDArray[np.datetime64] = stamps - HOUR
        values, origins = {}, {}
        for variable, known in self.values.items():
            if not known:
                continue
            at = np.searchsorted(stamps, np.array(list(known), "datetime64[s]"))
            values[variable] = np.full(len(stamps), np.nan)
            values[variable][at] = [value for value, _ in known.values()]
            lines = np.zeros(len(stamps), dtype=np.int64)
            lines[at] = [line for _, line in known.values()]
            origins[variable] = (self.paths[variable], lines)
        name = " ".join(first.said("observation_station")) or first.table.path.stem
        attrs = {
            "source": f"MIDAS, station {name}",
            "name": name,
            "ignored_columns": "",
        }
        record = Record(
            first.table.path, begin, np.full(len(begin), -1, dtype=np.int64), values, *place, 0.0, attrs
        )
        record = Record(**{**record.__dict__, "origins": origins})
        return record.with_findings(*self._findings())

    def _findings(self) -> list[Finding]:
        found = []
        if self.sums:
            text = f"{self.sums} rows sum over more than an hour and are left out."
            found.append(Finding("sums", "rows", "noted", self.sums, (), text))
        if self.older:
            text = f"{self.older} rows without quality control (version 0) are left out."
            found.append(Finding("quality version", "rows", "noted", self.older, (), text))
        for variable, stamps in self.queried.items():
            if not stamps:
                continue
            begin = [stamp - HOUR for stamp in stamps]
            what = variable.replace("_", " ")
            text = f"{len(stamps)} values of {what} are flagged as queried and count as missing."
            times = spell_times(
                np.array(begin, dtype="datetime64[s]"), [(i, i + 1) for i in range(len(begin))]
            )
            found.append(Finding("quality flag", variable, "changed", len(stamps), times, text))
        return found


def _wind_unit(station: _Station) -> float:
    """Return m/s for one unit of the wind column."""
    said = [word.strip().lower() for word in station.said("long_name", "wind_speed")]
    heading = KNOT if "knots" in said or "knot" in said else 1.0 if "m/s" in said or "m s-1" in said else None
    rows = None
    if "wind_speed_unit_id" in station.table.columns:
        codes = station.table.numbers("wind_speed_unit_id")
        codes = np.unique(codes[np.isfinite(codes)])
        if len(codes) and np.isin(codes, METRES).all():
            rows = 1.0
        elif len(codes) and np.isin(codes, KNOTS).all():
            rows = KNOT
        elif len(codes):
            raise ClimateError(
                "the unit of the wind changes within the file",
                where=str(station.table.path),
                found=", ".join(f"{code:g}" for code in codes),
                expected="one wind_speed_unit_id: 0 or 1 for m/s, 3 or 4 for knots",
            )
    if heading is not None and rows is not None and heading != rows:
        raise ClimateError(
            "heading and rows disagree on the unit of the wind",
            where=str(station.table.path),
            found="knots and m/s",
            expected="one unit",
        )
    return heading or rows or KNOT


def _queried(table: TextTable, column: str) -> NDArray[np.bool_]:
    """Tell which values the quality control has queried.

    The flag `<column>_q` has five digits, E M Q S L; a third digit that is not 0 says that the value was
    queried (from memory, unconfirmed).
    """
    name = f"{column}_q"
    if name not in table.columns:
        return np.zeros(len(table.lines), dtype=bool)
    flags = np.nan_to_num(table.numbers(name), nan=0.0).astype(np.int64)
    return flags // 100 % 10 != 0
